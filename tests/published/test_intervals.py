"""Intervals against published tables and against other implementations."""

import numpy as np
import pytest
from scipy import stats

from assessments.statistics.intervals import (
    mean,
    median,
    proportion,
    robust_spread,
    spread,
)

# R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3 (score)
NEWCOMBE = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0000, 0.1611),
    (1, 29, 0.0061, 0.1718),
]
# Student (W. S. Gosset), Biometrika 6 (1908) 1-25: extra hours of sleep by the second drug
SLEEP = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]


@pytest.mark.parametrize(("successes", "trials", "low", "high"), NEWCOMBE)
def test_the_score_interval_is_newcombes(
    successes: int, trials: int, low: float, high: float
) -> None:
    share = proportion(successes, trials)
    assert (round(share.low, 4), round(share.high, 4)) == (low, high)


@pytest.mark.parametrize("trials", [1, 2, 5, 10, 50])
def test_the_score_interval_is_scipys(trials: int) -> None:
    for successes in range(trials + 1):
        theirs = stats.binomtest(successes, trials).proportion_ci(method="wilson")
        ours = proportion(successes, trials)
        assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


@pytest.mark.parametrize(("trials", "apart"), [(5, 0.06), (10, 0.065), (20, 0.045), (50, 0.025)])
def test_the_score_interval_is_near_that_of_jeffreys(trials: int, apart: float) -> None:
    """H. Jeffreys' prior, Beta(1/2, 1/2), after L. D. Brown, T. T. Cai and A. DasGupta (Statistical
    Science 16, 2001, 101-133), who take an end as exact where none or all succeed."""
    for successes in range(trials + 1):
        theirs = stats.beta(successes + 0.5, trials - successes + 0.5).interval(0.95)
        low, high = (theirs[0] if successes else 0), (theirs[1] if successes < trials else 1)
        ours = proportion(successes, trials)
        assert (ours.low, ours.high) == pytest.approx((low, high), abs=apart)


@pytest.mark.parametrize("trials", [5, 8, 10, 20, 50])
def test_the_score_interval_holds_its_95_percent_on_average(trials: int) -> None:
    """By exact binomial probabilities, over all shares alike."""
    shares, counts = np.linspace(0.001, 0.999, 999)[:, None], np.arange(trials + 1)
    ends = [proportion(int(count), trials) for count in counts]
    low, high = (np.array([getattr(end, side) for end in ends]) for side in ("low", "high"))
    holds = (low <= shares) & (shares <= high)
    covered = (stats.binom.pmf(counts, trials, shares) * holds).sum(axis=1).mean()
    assert 0.95 <= covered <= 0.956


def test_the_mean_and_its_standard_error_are_students() -> None:
    estimate = mean(SLEEP, resolution=0)
    # 2.33 stands in the paper; its standard deviation divides by n, ours by n - 1
    assert round(estimate.value, 2) == 2.33
    assert estimate.standard_uncertainty == pytest.approx(stats.sem(SLEEP), rel=1e-12)


def test_the_interval_of_the_mean_is_scipys() -> None:
    estimate = mean(SLEEP, resolution=0)
    theirs = stats.ttest_1samp(SLEEP, 0).confidence_interval(0.95)
    assert (estimate.low, estimate.high) == pytest.approx(tuple(theirs), rel=1e-9)


def test_the_interval_of_the_spread_is_that_of_chi_squared() -> None:
    estimate, df = spread(SLEEP, resolution=0), len(SLEEP) - 1
    low, high = stats.chi2(df).interval(0.95)
    assert estimate.value == pytest.approx(stats.tstd(SLEEP), rel=1e-12)
    assert df * estimate.value**2 / estimate.high**2 == pytest.approx(low, rel=1e-9)
    assert df * estimate.value**2 / estimate.low**2 == pytest.approx(high, rel=1e-9)


def test_the_spreads_uncertainty_is_that_of_the_guide() -> None:
    """JCGM 100:2008, table E.1: 24 % of the standard deviation for ten observations."""
    estimate = spread(SLEEP, resolution=0)
    assert estimate.standard_uncertainty / estimate.value == pytest.approx(0.24, abs=0.005)


def test_a_rounded_reading_is_in_doubt_by_029_of_its_step() -> None:
    """JCGM 100:2008, F.2.2.1: 0.29 of the step for an indication that does not change."""
    assert mean([140.0, 140.0, 140.0], 1.0).standard_uncertainty == pytest.approx(0.29, abs=0.002)


@pytest.mark.parametrize("n", [6, 7, 10, 15, 20, 30])
def test_the_interval_of_a_median_lies_between_two_of_scipys(n: int) -> None:
    """scipy takes whole order statistics: the last that hold 95 % enclose ours, and those one
    farther in, which hold less, lie within it."""
    shots = sorted(np.random.default_rng(n).gumbel(140, 8, size=n).tolist())
    test = stats.quantile_test(shots, q=140, p=0.5)
    outer, ours = test.confidence_interval(0.95), median(shots, 0.0)
    first = shots.index(outer.low)
    assert shots[first] <= ours.low < shots[first + 1]
    assert shots[n - 2 - first] < ours.high <= shots[n - 1 - first] == outer.high


# The share of samples whose d-th values from both ends enclose the median, from tables of the
# binomial distribution with p = 1/2: n, d, share.
SIGN_TABLE = [(6, 1, 0.969), (8, 1, 0.992), (10, 2, 0.979), (15, 4, 0.965), (20, 6, 0.959)]


@pytest.mark.parametrize(("n", "d", "share"), SIGN_TABLE)
def test_the_ends_of_a_median_follow_the_sign_test(n: int, d: int, share: float) -> None:
    """Of the ranks 1 to n the lower end lies past rank d, as its share is above 95 %."""
    assert 2 * stats.binom.cdf(d - 1, n, 0.5) == pytest.approx(1 - share, abs=5e-4)
    ranks = [float(rank) for rank in range(1, n + 1)]
    assert d <= median(ranks, 0.0).low < d + 1


@pytest.mark.parametrize("draw", ["normal", "laplace", "exponential"])
def test_a_median_is_enclosed_19_times_in_20_whatever_the_distribution(draw: str) -> None:
    true = {"exponential": np.log(2)}.get(draw, 0.0)
    shots = getattr(np.random.default_rng(3), draw)(size=(2000, 9)).tolist()
    held = sum(found.low <= true <= found.high for found in (median(one, 0.0) for one in shots))
    assert 0.93 < held / 2000 < 0.97


@pytest.mark.parametrize("n", [6, 7, 10, 15, 30])
def test_the_robust_spread_is_right_on_average_and_its_interval_holds(n: int) -> None:
    """Rousseeuw and Croux (1993): consistent for the standard deviation of a normal law."""
    shots = np.random.default_rng(n).normal(140, 8, size=(1500, n)).tolist()
    found = [robust_spread(one, 0.0) for one in shots]
    assert np.mean([one.value for one in found]) == pytest.approx(8, rel=0.03)
    assert sum(one.low <= 8 <= one.high for one in found) / 1500 > 0.935


def test_the_robust_spread_of_a_small_sample_by_hand() -> None:
    """1 2 4 7 11 16: the sixth of the fifteen distances 1 2 3 3 4 5 5 5 6 7 9 9 10 12 14 is 5."""
    estimate = robust_spread([1, 2, 4, 7, 11, 16], 0.0)
    assert estimate.value == pytest.approx(2.2219 * 0.611 * 5)
