"""What a few shots or putts say of a golfer, with 95 % intervals.

Shots are taken as independent draws of one distribution. From six shots on the typical one is
their median and their spread is counted robustly: one stray shot moves neither far. A median of
fewer has no 95 % interval at all without assuming more, since even its outermost shots fail to
enclose the truth once in 16 times or oftener; there the mean is all there is, and a stray shot
moves it and widens its interval. Means and spreads assume a normal distribution, medians none. The
error that an instrument makes in the same way on every shot is not seen in their scatter and is
not in here.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from scipy.special import bdtr, chdtri, ndtri, stdtrit

TAIL = 0.025
FEWEST_FOR_MEDIAN = 6
Z_95 = float(ndtri(1 - TAIL))


@dataclass(frozen=True)
class Estimate:
    """A value, its standard uncertainty and its 95 % interval."""

    value: float
    standard_uncertainty: float
    low: float
    high: float


def proportion(successes: int, trials: int) -> Estimate:
    """The share of successes, 0 to 1, with the score interval of E. B. Wilson.

    J. Am. Stat. Assoc. 22 (1927) 209-212; compared with others by R. G. Newcombe, Statistics in
    Medicine 17 (1998) 857-872, method 3. It holds for few trials, and none or all of ten still
    leave a width. The standard uncertainty is half that width over 1.96, so it is never 0.

    Raises
    ------
    ValueError
        Unless 0 <= successes <= trials and trials > 0.
    """
    if not 0 <= successes <= trials or trials < 1:
        raise ValueError("Successes are counted from 0 to the number of trials, at least one.")
    share, z2 = successes / trials, Z_95**2
    centre = (share + z2 / (2 * trials)) / (1 + z2 / trials)
    half = math.sqrt(share * (1 - share) / trials + z2 / (4 * trials**2)) * Z_95
    half /= 1 + z2 / trials
    # at none and at all the end is exact; rounding would leave it just short
    low = 0.0 if successes == 0 else max(0.0, centre - half)
    high = 1.0 if successes == trials else min(1.0, centre + half)
    return Estimate(share, (high - low) / (2 * Z_95), low, high)


def mean(values: Sequence[float], resolution: float) -> Estimate:
    """The mean, with u² = s²/n + resolution²/12 and Student's interval, t(n - 1) u to each side.

    Type A evaluation by JCGM 100:2008, 4.2, and the rounding of a reading by its F.2.2.1. The
    rounding is added once and not divided by n: alike shots are rounded alike.

    Parameters
    ----------
    values
        At least two; of a single one nothing but itself is known.
    resolution
        The step in which readings are written down, >= 0, in the unit of the values.

    Raises
    ------
    ValueError
        For fewer than two values.
    """
    n, centre = _count_and_mean(values)
    u = math.hypot(_deviation(values, centre) / math.sqrt(n), resolution / math.sqrt(12))
    half = float(stdtrit(n - 1, 1 - TAIL)) * u
    return Estimate(centre, u, centre - half, centre + half)


def spread(values: Sequence[float], resolution: float) -> Estimate:
    """The standard deviation of one shot.

    u² = s²/(2(n - 1)) + resolution²/12, after JCGM 100:2008, E.4.3. The interval is that of the
    chi-squared distribution, which reaches much farther up than down, widened by the rounding as
    that of `median` is: readings that are all alike need not come from shots that are.

    Raises
    ------
    ValueError
        For fewer than two values.
    """
    n, centre = _count_and_mean(values)
    return _of_spread(_deviation(values, centre), n - 1, resolution)


def median(values: Sequence[float], resolution: float) -> Estimate:
    """The median, with the interpolated order-statistic interval of Hettmansperger and Sheather.

    Statistics & Probability Letters 4 (1986) 75-79. With the values in order, the d-th from either
    end enclose the median with probability 1 - 2 B(d - 1; n, 1/2), whatever the distribution; the
    ends lie between those of the last d that is past 95 % and of the next. What a reading may be
    rounded by widens both arms, 1.96 resolution/sqrt(12) added in squares. The standard uncertainty
    is half the width over 1.96.

    Parameters
    ----------
    values
        At least six.
    resolution
        The step in which readings are written down, >= 0, in the unit of the values.

    Raises
    ------
    ValueError
        For fewer than six values.
    """
    n, ordered = len(values), sorted(values)
    if n < FEWEST_FOR_MEDIAN:
        raise ValueError("Fewer than six values do not bound their median.")
    d = max(d for d in range(1, n // 2 + 1) if _enclosed(d, n) >= 1 - 2 * TAIL)
    past = _enclosed(d, n) - (1 - 2 * TAIL)
    share = past / (_enclosed(d, n) - _enclosed(d + 1, n))
    inward = (n - d) * share / (d + (n - 2 * d) * share)
    low = ordered[d - 1] + inward * (ordered[d] - ordered[d - 1])
    high = ordered[n - d] - inward * (ordered[n - d] - ordered[n - d - 1])
    centre = statistics.median(ordered)
    below, above = (
        _with_rounding(centre - low, resolution),
        _with_rounding(high - centre, resolution),
    )
    return Estimate(centre, (below + above) / (2 * Z_95), centre - below, centre + above)


def _enclosed(d: int, n: int) -> float:
    """The probability that the d-th values from both ends enclose the median; 0 past the middle."""
    return max(0.0, 1 - 2 * float(bdtr(d - 1, n, 0.5)))


def robust_spread(values: Sequence[float], resolution: float) -> Estimate:
    """The standard deviation of one shot by Q_n of Rousseeuw and Croux.

    J. Am. Stat. Assoc. 88 (1993) 1273-1283: 2.2219 times the k-th smallest distance between two
    values, k = h (h - 1)/2 with h = n // 2 + 1, and a factor for small n; half of the values may
    be wild. The interval is that of the chi-squared distribution with the degrees of freedom that
    the spread of Q_n itself amounts to under a normal distribution: its efficiency of 82 % less
    what few values lose, fitted from below to simulation.

    Parameters
    ----------
    values
        At least six.
    resolution
        As of `median`.

    Raises
    ------
    ValueError
        For fewer than six values.
    """
    n = len(values)
    if n < FEWEST_FOR_MEDIAN:
        raise ValueError("Fewer than six values do not scatter enough for a robust spread.")
    half = n // 2 + 1
    apart = sorted(abs(one - other) for one, other in combinations(values, 2))
    s = 2.2219 * _small(n) * apart[half * (half - 1) // 2 - 1]
    return _of_spread(s, max(0.42 * n, 0.8227 * n - 4), resolution)


def _small(n: int) -> float:
    """What makes Q_n right on average for few values, from the authors' program of 1992."""
    exact = {6: 0.611, 7: 0.857, 8: 0.669, 9: 0.872}
    return exact.get(n, n / (n + 1.4) if n % 2 else n / (n + 3.8))


def _of_spread(s: float, df: float, resolution: float) -> Estimate:
    u = math.hypot(s / math.sqrt(2 * df), resolution / math.sqrt(12))
    low, high = (s * math.sqrt(df / float(chdtri(df, tail))) for tail in (TAIL, 1 - TAIL))
    below, above = _with_rounding(s - low, resolution), _with_rounding(high - s, resolution)
    return Estimate(s, u, max(0.0, s - below), s + above)


def _with_rounding(arm: float, resolution: float) -> float:
    """An arm of a 95 % interval, and what the readings may be rounded by, in squares."""
    return math.hypot(arm, Z_95 * resolution / math.sqrt(12))


def _count_and_mean(values: Sequence[float]) -> tuple[int, float]:
    if len(values) < 2:
        raise ValueError("Fewer than two values do not scatter.")
    return len(values), math.fsum(values) / len(values)


def _deviation(values: Sequence[float], centre: float) -> float:
    return math.sqrt(math.fsum((value - centre) ** 2 for value in values) / (len(values) - 1))
