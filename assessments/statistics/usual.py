"""Whether a golfer lies outside what is usual of others, or only seems to.

Usual is what eight in ten have: from the 10th to the 90th percentile. Both the golfer's value and
the percentiles of a few dozen others are estimates. A golfer is called low or high only when the
distance to the nearer end of the range passes what both may be out by, put together.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc, ndtri, stdtrit

LOWEST, HIGHEST = 0.1, 0.9
FEWEST = 12
Z_95 = float(ndtri(0.975))
Z_10 = float(ndtri(LOWEST))


@dataclass(frozen=True)
class UsualRange:
    """From `low` to `high`, each with its standard error; an end that is open is None.

    `n` values stand behind it. It is 0 for a range that was published, whose own error is not known
    and counts as nothing.
    """

    low: float | None
    high: float | None
    low_sd: float = 0.0
    high_sd: float = 0.0
    n: int = 0


@dataclass(frozen=True)
class Outside:
    """How far past the nearer end of the range a value lies, and what it must pass.

    `beyond` is below 0 for a value under the range, above 0 for one over it and 0 within; `past`
    is the distance that may be chance, in the same unit.
    """

    beyond: float
    past: float

    @property
    def is_sure(self) -> bool:
        return abs(self.beyond) > self.past


def usual_range(values: Sequence[float]) -> UsualRange:
    """The 10th and the 90th percentile of what others have.

    Percentiles are those of F. E. Harrell and C. E. Davis (Biometrika 69, 1982, 635-640), which
    weigh all values and are steadier than one or two of them. Their error is the larger of two:
    that of J. S. Maritz and R. G. Jarrett (J. Am. Stat. Assoc. 73, 1978, 194-196), which supposes
    no shape, and that of a normal spread, because so few values say little of a tail.

    Raises
    ------
    ValueError
        For fewer than twelve values.
    """
    n = len(values)
    if n < FEWEST:
        raise ValueError(f"Fewer than {FEWEST} values do not say what is usual.")
    ordered = np.sort(np.asarray(values, dtype=float))
    of_normal = float(np.std(ordered, ddof=1)) * math.sqrt(1 / n + Z_10**2 / (2 * (n - 1)))
    (low, low_sd), (high, high_sd) = (_percentile(ordered, p) for p in (LOWEST, HIGHEST))
    return UsualRange(low, high, max(low_sd, of_normal), max(high_sd, of_normal), n)


def _percentile(ordered: NDArray[np.float64], p: float) -> tuple[float, float]:
    weights = _weights(len(ordered), p)
    centred = ordered - float(np.mean(ordered))
    first, second = float(weights @ centred), float(weights @ centred**2)
    return first + float(np.mean(ordered)), math.sqrt(max(0.0, second - first**2))


@lru_cache(maxsize=256)
def _weights(n: int, p: float) -> NDArray[np.float64]:
    steps = betainc((n + 1) * p, (n + 1) * (1 - p), np.linspace(0, 1, n + 1))
    return np.asarray(np.diff(steps), dtype=float)


def arms(
    value: float, low: float, high: float, standard_uncertainty: float, alpha: float
) -> tuple[float, float]:
    """How far a value may be out, downward and upward, at `alpha` instead of 5 %.

    A stored interval is 95 %. Half its width over the standard uncertainty tells which quantile it
    was made with: 1.96 is the normal one, more is Student's t of few degrees of freedom, and those
    are found from it. Both arms are then stretched by what that quantile grows by. An uneven
    interval stays as uneven as it was.

    Raises
    ------
    ValueError
        If the value does not lie within its interval.
    """
    below, above = value - low, high - value
    if below < 0 or above < 0:
        raise ValueError("A value lies within its own interval.")
    stretch = _stretch((below + above) / 2, standard_uncertainty, alpha)
    return below * stretch, above * stretch


def _stretch(half: float, standard_uncertainty: float, alpha: float) -> float:
    normal = float(ndtri(1 - alpha / 2)) / Z_95
    if standard_uncertainty <= 0 or half <= Z_95 * standard_uncertainty * (1 + 1e-6):
        return normal
    quantile = half / standard_uncertainty
    few, many = 0.5, 1e6  # degrees of freedom between which the quantile falls all the way
    for _ in range(60):
        middle = math.sqrt(few * many)
        if float(stdtrit(middle, 0.975)) > quantile:
            few = middle
        else:
            many = middle
    return float(stdtrit(few, 1 - alpha / 2) / stdtrit(few, 0.975))


def outside(value: float, below: float, above: float, usual: UsualRange, alpha: float) -> Outside:
    """Where a value lies by the range, given how far it may be out to either side.

    The arm of the value that points at the range and that of the end of the range are put together
    as squares (G. Y. Zou and A. Donner, Statistics in Medicine 27, 2008, 1693-1702). The end's is
    Student's t of n - 1 times its standard error.
    """
    quantile = float(stdtrit(usual.n - 1, 1 - alpha / 2)) if usual.n > 1 else 0.0
    if usual.low is not None and value < usual.low:
        return Outside(value - usual.low, math.hypot(above, quantile * usual.low_sd))
    if usual.high is not None and value > usual.high:
        return Outside(value - usual.high, math.hypot(below, quantile * usual.high_sd))
    return Outside(0.0, 0.0)
