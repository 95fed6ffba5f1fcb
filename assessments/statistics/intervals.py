"""What a few shots or putts say of a golfer, with 95 % intervals.

Shots are taken as independent draws of one normal distribution. The typical shot is their mean
and not their median: change between sessions is decided on means, and with three to ten shots
the worth of a median cannot be told without assuming more. One stray shot moves the mean, and
widens its interval with it. The error that an instrument makes in the same way on every shot is
not seen in their scatter and is not in here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.special import chdtri, ndtri, stdtrit

TAIL = 0.025
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

    u² = s²/(2(n - 1)) + resolution²/12, after JCGM 100:2008, E.4.3; the interval is that of the
    chi-squared distribution and reaches much farther up than down.

    Raises
    ------
    ValueError
        For fewer than two values.
    """
    n, centre = _count_and_mean(values)
    s, df = _deviation(values, centre), n - 1
    u = math.hypot(s / math.sqrt(2 * df), resolution / math.sqrt(12))
    low, high = (s * math.sqrt(df / float(chdtri(df, tail))) for tail in (TAIL, 1 - TAIL))
    return Estimate(s, u, low, high)


def _count_and_mean(values: Sequence[float]) -> tuple[int, float]:
    if len(values) < 2:
        raise ValueError("Fewer than two values do not scatter.")
    return len(values), math.fsum(values) / len(values)


def _deviation(values: Sequence[float], centre: float) -> float:
    return math.sqrt(math.fsum((value - centre) ** 2 for value in values) / (len(values) - 1))
