"""The ellipse of a club: what may not change it, what may move it only so far, what has none."""

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from assessments.statistics.dispersion import (
    Dispersion,
    NoEllipse,
    _distances,
    dispersion,
    far_off,
    smallest_subset,
)

Points = NDArray[np.float64]
Shots = list[tuple[float, float]]
SEEDS, COUNTS = st.integers(0, 2**32 - 1), st.integers(6, 12)


def shots_from(seed: int, n: int) -> Shots:
    """Shots with a club that carries about 140 m and starts a little to the right."""
    drawn = np.random.default_rng(seed).normal(size=(n, 2)) @ np.array([[6.0, 1.0], [0.0, 9.0]])
    return [(float(across) + 3, float(along) + 140) for across, along in drawn]


def shape(found: Dispersion) -> tuple[float, ...]:
    return found.semi_major, found.semi_minor, found.area.value, found.area.low, found.area.high


@settings(max_examples=25)
@given(SEEDS, COUNTS)
def test_the_order_of_the_shots_does_not_matter(seed: int, n: int) -> None:
    shots = shots_from(seed, n)
    shuffled = [shots[place] for place in np.random.default_rng(seed).permutation(n)]
    one, other = dispersion(shots), dispersion(shuffled)
    assert {shots[place] for place in one.wild} == {shuffled[place] for place in other.wild}
    assert shape(other) == pytest.approx(shape(one))
    assert (other.across, other.along) == pytest.approx((one.across, one.along))


@settings(max_examples=25)
@given(SEEDS, COUNTS)
def test_a_mirrored_golfer_has_the_mirrored_ellipse(seed: int, n: int) -> None:
    shots = shots_from(seed, n)
    one, other = dispersion(shots), dispersion([(-across, along) for across, along in shots])
    assert shape(other) == pytest.approx(shape(one))
    assert (other.across, other.turn_deg) == pytest.approx((-one.across, -one.turn_deg))
    assert other.wild == one.wild


@settings(max_examples=25)
@given(SEEDS, COUNTS, st.floats(-100, 100), st.floats(-100, 100))
def test_another_target_moves_the_ellipse_and_nothing_else(
    seed: int, n: int, right: float, on: float
) -> None:
    shots = shots_from(seed, n)
    one = dispersion(shots)
    other = dispersion([(across + right, along + on) for across, along in shots])
    assert (other.across, other.along) == pytest.approx((one.across + right, one.along + on))
    assert shape(other) == pytest.approx(shape(one))


@settings(max_examples=25)
@given(SEEDS, COUNTS, st.floats(0, 2 * math.pi), st.floats(400, 5000))
def test_one_wild_shot_is_marked_and_leaves_the_ellipse_among_the_others(
    seed: int, n: int, heading: float, distance: float
) -> None:
    """Wherever it flies, the centre stays within the box of the other shots."""
    others = shots_from(seed, n)
    wild = 3 + distance * math.cos(heading), 140 + distance * math.sin(heading)
    found = dispersion([*others, wild])
    assert n in found.wild
    across, along = zip(*others, strict=True)
    assert min(across) <= found.across <= max(across)
    assert min(along) <= found.along <= max(along)
    # without it the ellipse is no larger than those that can be made of the others
    assert found.semi_major < 250


@pytest.mark.parametrize(("seed", "n"), [(1, 6), (2, 7), (3, 8), (4, 9), (5, 10), (6, 12)])
def test_no_choice_of_shots_has_a_smaller_determinant(seed: int, n: int) -> None:
    """Against every choice there is, one after the other."""
    points, h = np.array(shots_from(seed, n)), smallest_subset(n)
    every = [np.array(chosen) for chosen in combinations(range(n), h)]
    best = min(every, key=lambda chosen: float(np.linalg.det(np.cov(points[chosen].T))))
    inverse = np.linalg.inv(np.cov(points[best].T))
    off = points - points[best].mean(axis=0)
    assert _distances(points) == pytest.approx(np.einsum("ni,ij,nj->n", off, inverse, off))


@pytest.mark.parametrize(("n", "h"), [(6, 5), (8, 6), (10, 8), (20, 15), (30, 23)])
def test_up_to_a_quarter_of_the_shots_may_be_wild(n: int, h: int) -> None:
    assert smallest_subset(n) == h


@pytest.mark.parametrize("n", [6, 8, 11])
def test_about_one_clean_shot_in_a_hundred_is_marked(n: int) -> None:
    marked = sum(len(dispersion(shots_from(seed, n)).wild) for seed in range(200))
    assert 0.004 < marked / (200 * n) < 0.022


def test_the_ellipse_lies_the_way_the_shots_do() -> None:
    """Long shots go right: the long axis is turned to the right of the target line."""
    shots = [(0.5 * step + (-1) ** step, 140.0 + step) for step in range(-10, 11)]
    found = dispersion(shots)
    assert 20 < found.turn_deg < 35
    assert (found.across, found.along) == pytest.approx((0, 140), abs=0.2)
    assert found.semi_major > 4 * found.semi_minor


@pytest.mark.parametrize(
    ("shots", "words"),
    [
        (shots_from(1, 5), "An ellipse needs 6 shots"),
        (shots_from(1, 31), "up to 30 shots"),
        ([(0.0, 130.0 + step) for step in range(8)], "on one line"),
        ([(2.0, 140.0)] * 6, "on one line"),
        ([*[(0.0, 130.0 + step) for step in range(7)], (9.0, 133.0)], "on one line"),
    ],
)
def test_shots_without_an_ellipse_say_why(shots: Shots, words: str) -> None:
    with pytest.raises(NoEllipse, match=words):
        dispersion(shots)


def test_a_value_far_from_the_median_is_marked() -> None:
    assert far_off([140, 141, 139, 142, 138, 96], 1.0) == (5,)
    assert far_off([140, 141, 139, 142, 96], 1.0) == ()


def test_readings_that_are_alike_mark_only_what_rounding_cannot_explain() -> None:
    assert far_off([140.0, 140.0, 140.0, 140.0, 141.0, 143.0], 1.0) == (5,)


def test_shots_along_a_slanting_line_are_no_division_by_nothing() -> None:
    with np.errstate(all="raise"), pytest.raises(NoEllipse, match="on one line"):
        dispersion([(-200.0, 0.0), (200.0, 400.0)] * 15)
