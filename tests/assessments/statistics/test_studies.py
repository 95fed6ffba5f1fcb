"""What a study draws, what of it is analysed, and that its interval holds what it says."""

from collections import Counter
from random import Random

import numpy as np
import pytest

from assessments.statistics.repeatability import repeatability
from assessments.statistics.studies import (
    Candidate,
    by_still,
    draw,
    known_within,
    widest_table,
)

MANY = [
    Candidate(f"{golfer}-{number}", golfer, ("intake", "exit")[number % 2])
    for golfer in range(10)
    for number in range(golfer + 2)
]


@pytest.mark.parametrize("seed", range(5))
def test_golfers_and_phases_are_mixed(seed: int) -> None:
    drawn = draw(MANY, 20, Random(seed))
    kinds = {one.still: one.kind for one in MANY}
    assert Counter(still.split("-")[0] for still in drawn) == dict.fromkeys(map(str, range(10)), 2)
    assert all(9 <= n <= 11 for n in Counter(kinds[still] for still in drawn).values())


def test_a_still_is_drawn_once_and_no_more_than_there_are() -> None:
    assert sorted(draw(MANY[:9], 20, Random(1))) == sorted(one.still for one in MANY[:9])


def test_the_order_is_drawn_too() -> None:
    assert draw(MANY, 20, Random(1)) != draw(MANY, 20, Random(2))


def test_a_whole_study_is_its_own_table() -> None:
    marked = {still: {1: still, 2: still + 0.5, 3: still + 1} for still in range(6)}
    assert widest_table(marked) == [[s, s + 0.5, s + 1] for s in range(6)]


def test_a_turn_that_was_broken_off_is_left_out() -> None:
    marked = by_still([(s, t, float(t)) for s in range(20) for t in (1, 2, 3) if t < 3 or s < 5])
    assert widest_table(marked) == [[1.0, 2.0]] * 20


def test_a_still_that_misses_a_turn_is_left_out() -> None:
    marked = by_still([(s, t, float(t)) for s in range(20) for t in (1, 2, 3) if t < 3 or s > 0])
    assert widest_table(marked) == [[1.0, 2.0, 3.0]] * 19


@pytest.mark.parametrize(("stills", "turns"), [(4, 3), (20, 1), (0, 0)])
def test_too_little_gives_no_table(stills: int, turns: int) -> None:
    assert widest_table({s: dict.fromkeys(range(turns), 1.0) for s in range(stills)}) == []


def test_how_well_the_error_is_known_without_habits() -> None:
    assert known_within(20, 3) == pytest.approx((0.817, 1.289), abs=0.001)


def _studies(rng: np.random.Generator, number: int, habit: float, slip: float) -> np.ndarray:
    """Tables of 20 stills by 3 people: golfers, habits and slips of known spreads."""
    return (
        rng.normal(0, 1.8, (number, 20, 1))
        + rng.normal(0, habit, (number, 1, 3))
        + rng.normal(0, slip, (number, 20, 3))
    )


@pytest.mark.parametrize(("habit", "slip"), [(0.0, 0.55), (0.15, 0.55), (0.45, 0.95)])
def test_the_error_lies_in_its_interval_about_95_times_in_100(habit: float, slip: float) -> None:
    """With habits the interval is Satterthwaite's, which is not exact."""
    true = np.hypot(habit, slip)
    found = [
        repeatability(table).sem for table in _studies(np.random.default_rng(5), 600, habit, slip)
    ]
    held = np.mean([sem.low <= true <= sem.high for sem in found])
    assert 0.925 <= held <= 0.975
    assert np.median([sem.value for sem in found]) == pytest.approx(true, rel=0.05)


def test_the_coefficient_lies_in_its_interval_too() -> None:
    true = 1.8**2 / (1.8**2 + 0.15**2 + 0.55**2)
    tables = _studies(np.random.default_rng(6), 600, 0.15, 0.55)
    found = [repeatability(table).icc_agreement for table in tables]
    assert 0.925 <= np.mean([icc.low <= true <= icc.high for icc in found]) <= 0.975
