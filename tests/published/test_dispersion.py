"""The robust ellipse against a published data set and against classical formulas of scipy."""

import math

import numpy as np
import pytest
from scipy import stats

from assessments.statistics.dispersion import CUT_OFF, dispersion

# Body in kg and brain in g of 28 animals: P. J. Rousseeuw and A. M. Leroy, Robust Regression and
# Outlier Detection (Wiley, 1987), p. 57: the three dinosaurs stand out, and less so the human and
# the rhesus monkey, where ordinary distances hide most of them. The values are from memory.
ANIMALS = {
    "mountain beaver": (1.35, 8.1),
    "cow": (465, 423),
    "grey wolf": (36.33, 119.5),
    "goat": (27.66, 115),
    "guinea pig": (1.04, 5.5),
    "diplodocus": (11700, 50),
    "Asian elephant": (2547, 4603),
    "donkey": (187.1, 419),
    "horse": (521, 655),
    "potar monkey": (10, 115),
    "cat": (3.3, 25.6),
    "giraffe": (529, 680),
    "gorilla": (207, 406),
    "human": (62, 1320),
    "African elephant": (6654, 5712),
    "triceratops": (9400, 70),
    "rhesus monkey": (6.8, 179),
    "kangaroo": (35, 56),
    "golden hamster": (0.12, 1),
    "mouse": (0.023, 0.4),
    "rabbit": (2.5, 12.1),
    "sheep": (55.5, 175),
    "jaguar": (100, 157),
    "chimpanzee": (52.16, 440),
    "rat": (0.28, 1.9),
    "brachiosaurus": (87000, 154.5),
    "mole": (0.122, 3),
    "pig": (192, 180),
}
DINOSAURS, PRIMATES = {"diplodocus", "triceratops", "brachiosaurus"}, {"human", "rhesus monkey"}


def logs() -> list[tuple[float, float]]:
    return [(math.log10(body), math.log10(brain)) for body, brain in ANIMALS.values()]


def test_the_dinosaurs_stand_out() -> None:
    names = list(ANIMALS)
    marked = {names[place] for place in dispersion(logs()).wild}
    assert marked >= DINOSAURS
    assert marked <= DINOSAURS | PRIMATES


def test_ordinary_distances_hide_them() -> None:
    points = np.array(logs())
    off = points - points.mean(axis=0)
    squares = np.einsum("ni,ij,nj->n", off, np.linalg.inv(np.cov(points.T)), off)
    past = {name for name, square in zip(ANIMALS, squares, strict=True) if square > 9.21}
    assert past < DINOSAURS


def clean(n: int) -> list[tuple[float, float]]:
    """Shots on a circle: none is farther than another."""
    turns = np.linspace(0, 2 * math.pi, n, endpoint=False)
    return [(3 * math.cos(turn), 140 + 8 * math.sin(turn)) for turn in turns]


@pytest.mark.parametrize("n", [7, 12, 21])
def test_the_half_axes_are_those_of_the_prediction_region(n: int) -> None:
    """p (n^2 - 1)/(n (n - p)) F_0.95(p, n - p) with p = 2: Chew (1966)."""
    found, scatter = dispersion(clean(n)), np.cov(np.array(clean(n)).T) * CUT_OFF
    reach = 2 * (n * n - 1) / (n * (n - 2)) * stats.f.ppf(0.95, 2, n - 2)
    assert found.wild == ()
    assert found.semi_major == pytest.approx(math.sqrt(reach * scatter[1, 1]))
    assert found.semi_minor == pytest.approx(math.sqrt(reach * scatter[0, 0]))


def test_the_factor_of_a_cut_at_99_per_cent() -> None:
    """0.99 over the chi-squared distribution with 4 at the quantile of that with 2."""
    assert pytest.approx(0.99 / stats.chi2.cdf(stats.chi2.ppf(0.99, 2), 4)) == CUT_OFF


def test_the_area_is_right_on_average_and_within_its_interval() -> None:
    """Anderson (2003), 7.5.3, by drawing shots whose ellipse is known."""
    chance, true = np.random.default_rng(11), math.pi * stats.chi2.ppf(0.95, 2) * 6 * 9
    found = [
        dispersion([(6 * x, 9 * y) for x, y in chance.normal(size=(8, 2))]).area for _ in range(300)
    ]
    assert np.mean([area.value for area in found]) == pytest.approx(true, rel=0.1)
    assert sum(area.low <= true <= area.high for area in found) >= 0.92 * len(found)
