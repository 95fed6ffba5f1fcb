"""Repeatability of marking: what must hold for any table, and how often the intervals are right."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.typing import NDArray

from assessments.statistics.repeatability import Repeatability, StudyTooSmall, repeatability

Table = NDArray[np.float64]


def drawn(rng: np.random.Generator, n: int, k: int, habit: float, slip: float) -> Table:
    """Golfers of sd 1.8, markings with habits, and slips."""
    golfers, habits = rng.normal(0, 1.8, (n, 1)), rng.normal(0, habit, (1, k))
    table: Table = golfers + habits + rng.normal(0, slip, (n, k))
    return table


@st.composite
def tables(draw: st.DrawFn) -> Table:
    n, k = draw(st.integers(2, 12)), draw(st.integers(2, 5))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    return drawn(rng, n, k, draw(st.floats(0, 2)), draw(st.floats(0.01, 3)))


def numbers(found: Repeatability) -> list[float]:
    """Those that do not have the unit of the table."""
    return [
        *(found.icc_agreement.value, found.icc_agreement.low, found.icc_agreement.high),
        *(found.icc_consistency.value, found.icc_consistency.low, found.icc_consistency.high),
    ]


@given(tables())
def test_values_lie_in_their_intervals(table: Table) -> None:
    found = repeatability(table.tolist())
    assume(found.icc_agreement.value > 0)  # below, the approximation has no meaning
    for each in (found.icc_agreement, found.icc_consistency, found.sem, found.mdc95):
        assert each.low <= each.value + 1e-12
        assert each.value <= each.high + 1e-12
    assert found.sem.value >= found.click_sd - 1e-12


@given(tables(), st.floats(-50, 50), st.floats(0.1, 20))
def test_another_origin_and_unit_change_nothing_but_the_unit(
    table: Table, shift: float, factor: float
) -> None:
    one, other = repeatability(table.tolist()), repeatability((shift + factor * table).tolist())
    assert numbers(other) == pytest.approx(numbers(one), rel=1e-5, abs=1e-6)
    assert other.sem.value == pytest.approx(factor * one.sem.value, rel=1e-6, abs=1e-9)


@given(tables(), st.integers(0, 1000))
def test_the_order_of_stills_and_of_people_does_not_matter(table: Table, seed: int) -> None:
    rng = np.random.default_rng(seed)
    mixed = table[rng.permutation(len(table))][:, rng.permutation(table.shape[1])]
    one, other = repeatability(table.tolist()), repeatability(mixed.tolist())
    assert numbers(other) == pytest.approx(numbers(one), rel=1e-9, abs=1e-9)


def test_stills_less_alike_than_chance_have_limits_all_the_same() -> None:
    found = repeatability([[0.37, 1.11], [0.70, 0.63], [-3.15, 3.96]])
    assert found.icc_agreement.value < 0
    assert np.isfinite([found.icc_agreement.low, found.icc_agreement.high]).all()


def test_a_habit_counts_against_agreement_alone() -> None:
    table = drawn(np.random.default_rng(1), 20, 3, 0, 0.5)
    one = repeatability(table.tolist())
    other = repeatability((table + np.array([0.0, 2.0, -2.0])).tolist())
    assert other.icc_consistency.value == pytest.approx(one.icc_consistency.value)
    assert other.icc_agreement.value < one.icc_agreement.value - 0.2
    assert other.rater_sd == pytest.approx(2.0, abs=0.2)


def test_intervals_cover_the_truth_as_often_as_they_say() -> None:
    """400 studies of 20 stills and 3 markings with habits of 0.15 and slips of 0.55."""
    rng = np.random.default_rng(11)
    golfers, true_sem = 1.8**2, 0.55**2 + 0.15**2
    true_icc, hits_icc, hits_sem = golfers / (golfers + true_sem), 0, 0
    for _ in range(400):
        found = repeatability(drawn(rng, 20, 3, 0.15, 0.55).tolist())
        hits_icc += found.icc_agreement.low <= true_icc <= found.icc_agreement.high
        hits_sem += found.sem.low <= true_sem**0.5 <= found.sem.high
    assert 0.92 <= hits_icc / 400 <= 0.98
    assert 0.90 <= hits_sem / 400 <= 0.98


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ([], "two stills"),
        ([[1, 2]], "two stills"),
        ([[1], [2]], "twice"),
        ([[1, 2], [3]], "equally often"),
        ([[1, 2], [3, float("nan")]], "no number"),
        ([[1, 2], [1, 2]], "same value"),
    ],
)
def test_too_little_is_said(table: list[list[float]], words: str) -> None:
    with pytest.raises(StudyTooSmall, match=words):
        repeatability(table)
