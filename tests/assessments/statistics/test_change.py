"""The decision between change and noise."""

import math

import numpy as np
import pytest

from assessments.statistics.change import SET_UPS, NothingToCompare, SetUp, Verdict, compare
from assessments.statistics.spreads import ONE_FRAME, TWO_FRAMES

PROTOCOL = SET_UPS["protocol"]


def test_equal_numbers_by_hand() -> None:
    """s² = 1, V = 2/3 + 2/4 = 7/6, df = (49/36) / (4/9 / 4) = 12.25, t = 2.174."""
    change = compare([1.0, 2.0, 3.0], [4.0, 5.0, 6.0], 0.5, 9.9)
    assert change.difference == pytest.approx(3.0)
    assert change.df == pytest.approx(12.25)
    assert change.threshold == pytest.approx(2.174 * math.sqrt(7 / 6), abs=1e-3)
    assert change.verdict is Verdict.REAL_CHANGE


def test_unequal_numbers_by_hand() -> None:
    """Squares 2 and 5 over df 5: s² = 7/5; scatter s² (1/3 + 1/4) = 49/60."""
    change = compare([1.0, 2.0, 3.0], [1.0, 2.0, 3.0, 4.0], 0.5, 9.9)
    scatter, variance = 49 / 60, 49 / 60 + 0.5
    assert change.df == pytest.approx(variance**2 / (scatter**2 / 5))
    assert change.difference == pytest.approx(0.5)
    assert change.verdict is Verdict.WITHIN


def test_few_swings_by_hand() -> None:
    """s² = 1/2, df 2: scatter 1/2 by t = 4.303, set-up 2/4 by z = 1.960."""
    change = compare([1.0, 2.0], [4.0, 5.0], 0.5, 9.9)
    assert change.df == 2
    assert change.threshold == pytest.approx(math.sqrt(4.302653**2 / 2 + 1.959964**2 / 2))
    assert change.verdict is Verdict.WITHIN


def test_with_a_small_set_up_the_rule_is_students_test() -> None:
    """Student's two-sample t test, df 4: threshold 2.776 sqrt(2/3)."""
    change = compare([1.0, 2.0, 3.0], [3.0, 4.0, 5.0], 1e-9, 9.9)
    assert change.df == pytest.approx(4)
    assert change.threshold == pytest.approx(2.7764451 * math.sqrt(2 / 3))


def test_repeats_without_scatter_still_carry_the_set_up() -> None:
    change = compare([2.0, 2.0, 2.0], [2.5, 2.5, 2.5], 0.2, 9.9)
    assert change.df == math.inf
    assert change.threshold == pytest.approx(1.95996 * math.sqrt(2) * 0.2, rel=1e-5)
    assert change.verdict is Verdict.WITHIN


@pytest.mark.parametrize(
    ("intake", "exit_"), [([1.0], [4.0]), ([1.0], [4.0, 4.0]), ([1.0, 1.0], [4.0])]
)
def test_one_swing_gives_an_indication_at_most(intake: list[float], exit_: list[float]) -> None:
    past = compare(intake, exit_, 0.15, 2.7)
    below = compare(intake, exit_, 0.15, 3.1)
    assert (past.verdict, past.df) == (Verdict.INDICATION, None)
    assert past.threshold == pytest.approx(2.7)
    assert below.verdict is Verdict.WITHIN


def test_the_threshold_itself_is_not_past() -> None:
    assert compare([0.0], [2.5], 0.15, 2.5).verdict is Verdict.WITHIN


def test_a_change_for_the_less_is_a_change_too() -> None:
    change = compare([4.0, 5.0, 6.0], [1.0, 2.0, 3.0], 0.5, 9.9)
    assert change.difference == pytest.approx(-3.0)
    assert change.verdict is Verdict.REAL_CHANGE


def test_a_stricter_alpha_asks_for_more() -> None:
    five = [compare(e, [0.0, 1.0] if len(e) > 1 else [1.0], 0.2, 2.7) for e in ([0.0, 1.0], [0.0])]
    one = [
        compare(e, [0.0, 1.0] if len(e) > 1 else [1.0], 0.2, 2.7, alpha=0.01)
        for e in ([0.0, 1.0], [0.0])
    ]
    assert all(strict.threshold > easy.threshold for strict, easy in zip(one, five, strict=True))
    assert one[1].threshold == pytest.approx(2.7 * 2.575829 / 1.959964, rel=1e-6)


@pytest.mark.parametrize(
    ("intake", "exit_", "session_sd", "mdc95", "alpha"),
    [
        ([], [1.0], 0.2, 2.7, 0.05),
        ([1.0], [], 0.2, 2.7, 0.05),
        ([math.nan], [1.0], 0.2, 2.7, 0.05),
        ([1.0], [math.inf, 1.0], 0.2, 2.7, 0.05),
        ([1.0], [1.0], 0.0, 2.7, 0.05),
        ([1.0], [1.0], 0.2, math.nan, 0.05),
        ([1.0], [1.0], 0.2, 2.7, 0.0),
        ([1.0], [1.0], 0.2, 2.7, 1.0),
    ],
)
def test_what_cannot_be_compared(
    intake: list[float], exit_: list[float], session_sd: float, mdc95: float, alpha: float
) -> None:
    with pytest.raises(NothingToCompare):
        compare(intake, exit_, session_sd, mdc95, alpha)


@pytest.mark.parametrize(
    ("name", "same_rater", "mdc"),
    [
        ("protocol", True, {1: 2.7, 3: 1.6, 5: 1.3, 10: 0.95}),
        ("protocol", False, {1: 2.8, 3: 1.7, 5: 1.3, 10: 1.0}),
        ("unmarked", True, {1: 3.5, 3: 2.2, 5: 1.8, 10: 1.4}),
        ("unmarked", False, {1: 3.8, 3: 2.5, 5: 2.2, 10: 1.9}),
        ("casual", True, {1: 5.3, 3: 3.4, 5: 2.9, 10: 2.4}),
        ("casual", False, {1: 5.4, 3: 3.6, 5: 3.1, 10: 2.7}),
    ],
)
def test_detectable_changes_of_the_set_ups(
    name: str, same_rater: bool, mdc: dict[int, float]
) -> None:
    found = {n: SET_UPS[name].mdc95(n, same_rater=same_rater) for n in mdc}
    assert found == pytest.approx(mdc, abs=0.06)
    assert SET_UPS[name].assumed


def share_claimed(
    set_up: SetUp, n: int, true_change: float, *, same_rater: bool = True, golfers: int = 10_000
) -> float:
    """Share of simulated golfers of whom the rule claims a change."""
    rng = np.random.default_rng(n)
    sd, between = math.hypot(set_up.swing_sd, set_up.click_sd), set_up.between_sd
    swings = rng.normal(0, sd, (golfers, 2, n))
    swings += rng.normal(0, between(same_rater=same_rater), (golfers, 2, 1))
    swings[:, 1] += true_change
    mdc = set_up.mdc95(same_rater=same_rater)
    claims = sum(
        compare(intake, exit_, between(same_rater=same_rater), mdc).verdict is not Verdict.WITHIN
        for intake, exit_ in swings.tolist()
    )
    return claims / golfers


IN_USE = [spreads["forearm_line_offset_bd"] for spreads in (ONE_FRAME, TWO_FRAMES)]


@pytest.mark.parametrize("n", [1, 2, 3, 5, 10])
@pytest.mark.parametrize("set_up", IN_USE, ids=["one frame", "two frames"])
def test_unchanged_golfers_are_told_so(set_up: SetUp, n: int) -> None:
    """At 5 % nominal; the report names these shares."""
    assert 0.03 < share_claimed(set_up, n, 0.0) <= 0.06


def test_unchanged_golfers_of_the_roughest_set_up_are_told_so() -> None:
    assert 0.03 < share_claimed(SET_UPS["casual"], 3, 0.0) <= 0.06


def test_other_markers_the_second_time_claim_no_more() -> None:
    assert 0.03 < share_claimed(SET_UPS["unmarked"], 3, 0.0, same_rater=False) <= 0.06


@pytest.mark.parametrize(("n", "power"), [(3, 0.49), (5, 0.79), (10, 0.98)])
def test_a_change_of_two_balls_is_found(n: int, power: float) -> None:
    assert share_claimed(PROTOCOL, n, 2.0) == pytest.approx(power, abs=0.03)
