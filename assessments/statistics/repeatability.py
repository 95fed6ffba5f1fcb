"""How well stills are marked: the same stills, each marked several times over.

Two-way analysis of variance without replication, stills by markings. What a still's measure would
be if marked by everybody for ever is its true value; a marking adds its own habit (the same on
every still) and a slip of the hand. The coefficients say how well stills can be told from each
other and so depend on how mixed the golfers are; the standard error of measurement does not, and
is what to judge by.

Coefficients and their intervals: P. E. Shrout and J. L. Fleiss, Psychological Bulletin 86 (1979)
420-428, and K. O. McGraw and S. P. Wong, Psychological Methods 1 (1996) 30-46. Standard error and
detectable change: J. P. Weir, J. Strength Cond. Res. 19 (2005) 231-240.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri, fdtri

TAIL = 0.025


class StudyTooSmall(ValueError):
    """The table says nothing: too few stills or markings, or gaps in it."""


@dataclass(frozen=True)
class Interval:
    """A value with its 95 % interval; `high` may be infinite."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Repeatability:
    """What a study found; spreads in the unit of the measure.

    `icc_agreement` is ICC(2,1): any of many people marks. `icc_consistency` is ICC(3,1): these
    very people mark, and their habits do not count. `sem` is the standard error of one marking by
    anybody; `mdc95` how far two single markings must differ to mean anything. `rater_sd` is the
    spread of habits and `click_sd` that of the slips, `df` its degrees of freedom.
    """

    stills: int
    markings: int
    icc_agreement: Interval
    icc_consistency: Interval
    sem: Interval
    mdc95: Interval
    rater_sd: float
    click_sd: float
    df: int


def repeatability(table: Sequence[Sequence[float]]) -> Repeatability:
    """Analyse a table of stills (rows) by markings (columns).

    The interval of the standard error is by chi-square with the degrees of freedom of
    F. E. Satterthwaite (Biometrics Bulletin 2 (1946) 110-114), for it sums two mean squares.

    Raises
    ------
    StudyTooSmall
        With fewer than two stills or markings, a ragged table, a value that is not finite, or
        stills that do not differ at all.
    """
    values = _checked(table)
    n, k = values.shape
    stills, markings, slips = _mean_squares(values)
    if stills == 0:
        raise StudyTooSmall("All stills have the same value, so nothing tells them apart.")
    sem = _standard_error(markings, slips, n, k)
    step = 1.96 * math.sqrt(2)
    return Repeatability(
        stills=n,
        markings=k,
        icc_agreement=_agreement(stills, markings, slips, n, k),
        icc_consistency=_consistency(stills, slips, n, k),
        sem=sem,
        mdc95=Interval(step * sem.value, step * sem.low, step * sem.high),
        rater_sd=math.sqrt(max(0.0, (markings - slips) / n)),
        click_sd=math.sqrt(slips),
        df=(n - 1) * (k - 1),
    )


def _checked(table: Sequence[Sequence[float]]) -> NDArray[np.float64]:
    widths = {len(row) for row in table}
    if len(table) < 2 or len(widths) != 1 or min(widths) < 2:
        raise StudyTooSmall("At least two stills are needed, each marked equally often, twice up.")
    values = np.array(table, dtype=float)
    if not np.isfinite(values).all():
        raise StudyTooSmall("A marking gave no number.")
    return values


def _mean_squares(values: NDArray[np.float64]) -> tuple[float, float, float]:
    """Of stills, of markings and of what is left."""
    n, k = values.shape
    middle = values.mean()
    by_still, by_marking = values.mean(axis=1), values.mean(axis=0)
    left = values - by_still[:, None] - by_marking[None, :] + middle
    return (
        float(k * np.sum((by_still - middle) ** 2) / (n - 1)),
        float(n * np.sum((by_marking - middle) ** 2) / (k - 1)),
        float(np.sum(left**2) / ((n - 1) * (k - 1))),
    )


def _consistency(stills: float, slips: float, n: int, k: int) -> Interval:
    if slips == 0:
        return Interval(1.0, 1.0, 1.0)
    ratio, df = stills / slips, ((n - 1), (n - 1) * (k - 1))
    low = ratio / float(fdtri(*df, 1 - TAIL))
    high = ratio * float(fdtri(*df[::-1], 1 - TAIL))
    return Interval(*((f - 1) / (f + k - 1) for f in (ratio, low, high)))


def _agreement(stills: float, markings: float, slips: float, n: int, k: int) -> Interval:
    value = (stills - slips) / (stills + (k - 1) * slips + k * (markings - slips) / n)
    if slips == 0 and markings == 0:
        return Interval(1.0, 1.0, 1.0)
    df = _agreement_df(value, markings, slips, n, k)
    rest = k * markings + (k * n - k - n) * slips
    f_low, f_high = float(fdtri(n - 1, df, 1 - TAIL)), float(fdtri(df, n - 1, 1 - TAIL))
    # with next to no degrees of freedom there is no quantile, and the limits are those of infinity
    low, high = -n * slips / rest, 1.0
    if math.isfinite(f_low):
        low = n * (stills - f_low * slips) / (f_low * rest + n * stills)
    if math.isfinite(f_high):
        high = n * (f_high * stills - slips) / (rest + n * f_high * stills)
    return Interval(value, low, high)


def _agreement_df(value: float, markings: float, slips: float, n: int, k: int) -> float:
    """Satterthwaite's degrees of freedom of what the stills are compared with."""
    a = k * value * markings
    b = (n * (1 + (k - 1) * value) - k * value) * slips
    return (a + b) ** 2 / (a**2 / (k - 1) + b**2 / ((n - 1) * (k - 1)))


def _standard_error(markings: float, slips: float, n: int, k: int) -> Interval:
    """Of one marking by anybody: habits and slips together, no less than the slips alone."""
    habits, alone = max(markings, slips) / n, slips * (n - 1) / n
    variance = habits + alone
    if variance == 0:
        return Interval(0.0, 0.0, 0.0)
    df = variance**2 / (habits**2 / (k - 1) + alone**2 / ((n - 1) * (k - 1)))
    low, high = (variance * df / float(chdtri(df, tail)) for tail in (TAIL, 1 - TAIL))
    return Interval(math.sqrt(variance), math.sqrt(low), math.sqrt(high))
