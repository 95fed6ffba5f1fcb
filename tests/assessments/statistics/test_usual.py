"""How often somebody who has what is usual is said to be outside it, and how intervals widen."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats
from scipy.stats.mstats import hdquantiles

from assessments.statistics.intervals import mean, proportion, spread
from assessments.statistics.usual import UsualRange, arms, outside, usual_range

Draw = Callable[[np.random.Generator, int], NDArray[np.float64]]
SHAPES: dict[str, Draw] = {
    "normal": lambda rng, n: rng.standard_normal(n),
    "uniform": lambda rng, n: rng.uniform(size=n),
    "long to one side": lambda rng, n: np.exp(0.6 * rng.standard_normal(n)),
}
ALLOWED = {0.05: 0.06, 0.01: 0.015}
ROUNDS = 4000


def claims_at(edge: float, n: int, alpha: float, noise: float) -> float:
    """The share of golfers called low or high whose true value is `edge`."""
    rng, draw = np.random.default_rng(n), SHAPES["normal"]
    arm = float(stats.norm.ppf(1 - alpha / 2)) * noise
    values = edge + noise * rng.standard_normal(ROUNDS)
    ranges = (usual_range(list(draw(rng, n))) for _ in range(ROUNDS))
    found = [
        outside(float(value), arm, arm, usual, alpha).is_sure
        for value, usual in zip(values, ranges, strict=True)
    ]
    return sum(found) / ROUNDS


@pytest.mark.parametrize("alpha", ALLOWED)
@pytest.mark.parametrize("n", [12, 31])
def test_who_stands_at_the_very_end_of_the_range_is_seldom_called_outside(
    n: int, alpha: float
) -> None:
    edge = float(stats.norm.ppf(0.1))
    assert claims_at(edge, n, alpha, 0.25) <= ALLOWED[alpha]


@pytest.mark.parametrize("alpha", ALLOWED)
@pytest.mark.parametrize("shape", SHAPES)
def test_of_those_within_the_range_hardly_any_is_called_outside(shape: str, alpha: float) -> None:
    rng = np.random.default_rng(7)
    draw, noise, n = SHAPES[shape], 0.2, 12
    low, high = np.quantile(draw(rng, 200_000), [0.1, 0.9])
    arm = float(stats.norm.ppf(1 - alpha / 2)) * noise
    wrong = within = 0
    for _ in range(ROUNDS // 4):
        usual = usual_range(list(draw(rng, n)))
        for true in draw(rng, 4):
            if low <= true <= high:
                within += 1
                value = float(true + noise * rng.standard_normal())
                wrong += outside(value, arm, arm, usual, alpha).is_sure
    assert wrong / within <= ALLOWED[alpha]


def test_against_a_published_range_the_claim_is_exact() -> None:
    rng = np.random.default_rng(3)
    arm = float(stats.norm.ppf(0.975))
    published = UsualRange(None, 0.0)
    found = [
        outside(value, arm, arm, published, 0.05).is_sure for value in rng.standard_normal(40_000)
    ]
    assert sum(found) / len(found) == pytest.approx(0.025, abs=0.003)


def test_a_golfer_far_outside_is_called_so() -> None:
    rng = np.random.default_rng(5)
    usual = usual_range(list(rng.standard_normal(31)))
    assert outside(-4.0, 0.4, 0.4, usual, 0.01).is_sure
    assert outside(4.0, 0.4, 0.4, usual, 0.01).is_sure
    assert outside(0.0, 0.4, 0.4, usual, 0.01).beyond == 0


@given(st.lists(st.floats(-1e3, 1e3), min_size=12, max_size=60))
def test_percentiles_are_those_of_an_independent_library(values: list[float]) -> None:
    usual = usual_range(values)
    expected = hdquantiles(values, [0.1, 0.9])
    assert [usual.low, usual.high] == pytest.approx(list(expected), abs=1e-6)


def test_eleven_do_not_say_what_is_usual() -> None:
    with pytest.raises(ValueError, match="Fewer than 12"):
        usual_range([1.0] * 11)


@pytest.mark.parametrize("n", [3, 5, 10, 30])
def test_an_interval_of_student_widens_as_student_does(n: int) -> None:
    values = list(np.random.default_rng(n).normal(150, 8, n))
    found = mean(values, 0.0)
    low, high = stats.t.interval(0.99, n - 1, found.value, stats.sem(values))
    below, above = arms(found.value, found.low, found.high, found.standard_uncertainty, 0.01)
    assert [below, above] == pytest.approx([found.value - low, high - found.value], rel=1e-6)


def test_a_normal_interval_widens_by_the_normal_ratio() -> None:
    below, above = arms(10.0, 10 - 1.959964, 10 + 1.959964, 1.0, 0.01)
    assert [below, above] == pytest.approx([2.575829] * 2, rel=1e-5)


@pytest.mark.parametrize("holed", [3, 5, 9])
def test_an_uneven_interval_of_a_share_stays_uneven(holed: int) -> None:
    found = proportion(holed, 10)
    below, above = arms(found.value, found.low, found.high, found.standard_uncertainty, 0.01)
    wider = stats.binomtest(holed, 10).proportion_ci(0.99, method="wilson")
    assert found.value - below <= wider.low + 0.03
    assert found.value + above >= wider.high - 0.03


@pytest.mark.parametrize("n", [5, 10])
def test_the_interval_of_a_spread_widens_no_less_than_it_should(n: int) -> None:
    found = spread(list(np.random.default_rng(n).normal(0, 8, n)), 0.0)
    below, above = arms(found.value, found.low, found.high, found.standard_uncertainty, 0.01)
    ends = [found.value * ((n - 1) / stats.chi2.ppf(p, n - 1)) ** 0.5 for p in (0.995, 0.005)]
    assert found.value - below <= ends[0]
    assert found.value + above >= 0.95 * ends[1]


@given(st.floats(-50, 50), st.floats(0, 20), st.floats(0, 20), st.floats(0.01, 20))
def test_at_five_percent_an_interval_is_what_it_was(
    value: float, below: float, above: float, u: float
) -> None:
    found = arms(value, value - below, value + above, u, 0.05)
    assert found == pytest.approx((below, above), abs=1e-6)
