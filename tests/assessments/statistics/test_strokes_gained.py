import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from assessments.statistics.strokes_gained import (
    FARTHEST_PUTT_M,
    NEAREST_PUTT_M,
    OutsideTheTable,
    cost_of_leave,
    expected_putts,
    expected_strokes_from_fairway,
    strokes_gained,
)

DISTANCES = st.floats(NEAREST_PUTT_M, FARTHEST_PUTT_M)
PLAYED = st.lists(st.tuples(DISTANCES, st.integers(1, 4)), min_size=2, max_size=30)


@given(DISTANCES, DISTANCES)
def test_farther_never_takes_fewer_putts(one: float, other: float) -> None:
    near, far = sorted((one, other))
    assert 1 <= expected_putts(near) <= expected_putts(far) <= 2.21


@pytest.mark.parametrize("distance_m", [0, 0.6, 18.3, 100, math.nan])
def test_outside_the_published_distances_nothing_is_said(distance_m: float) -> None:
    with pytest.raises(OutsideTheTable, match=r"0\.61 to 18\.29 m"):
        expected_putts(distance_m)


def test_nothing_is_said_of_a_chip_from_the_fairway() -> None:
    with pytest.raises(OutsideTheTable, match=r"18\.29 to 73\.15 m"):
        expected_strokes_from_fairway(10)


@given(PLAYED)
def test_one_putt_more_a_ball_gains_one_stroke_less(played: list[tuple[float, int]]) -> None:
    more = strokes_gained([(distance, putts + 1) for distance, putts in played])
    assert more.value == pytest.approx(strokes_gained(played).value - 1)


@given(PLAYED)
def test_the_order_of_the_balls_does_not_count(played: list[tuple[float, int]]) -> None:
    assert strokes_gained(sorted(played)).value == pytest.approx(strokes_gained(played).value)


def test_the_interval_is_students() -> None:
    played = [(3.0, 1), (3.0, 2), (6.0, 2), (6.0, 3), (9.0, 2), (9.0, 2)]
    gained = [expected_putts(distance) - putts for distance, putts in played]
    theirs = stats.ttest_1samp(gained, 0).confidence_interval(0.95)
    ours = strokes_gained(played)
    assert (ours.low, ours.high) == pytest.approx(tuple(theirs), rel=1e-9)


def test_five_alike_balls_are_not_certain() -> None:
    alike = strokes_gained([(6.0, 2)] * 5)
    wilson = stats.binomtest(0, 5).proportion_ci(method="wilson")
    assert alike.standard_uncertainty == pytest.approx(wilson.high / 2 / 1.959964, rel=1e-6)


def test_one_ball_does_not_scatter() -> None:
    with pytest.raises(ValueError, match="two values"):
        strokes_gained([(6.0, 2)])


def test_a_leave_costs_what_it_takes_more_than_the_average_shot_leaves() -> None:
    # 40 yd of fairway: 2.60 published, so 1.60 after the shot; 20 ft take 1.87
    assert cost_of_leave(40 * 0.9144, 20 * 0.3048) == pytest.approx(0.27)


@pytest.mark.parametrize(("from_m", "left_m"), [(10, 2), (40, 0.2), (40, 30)])
def test_what_was_not_published_has_no_cost(from_m: float, left_m: float) -> None:
    assert cost_of_leave(from_m, left_m) is None
