"""Rare things counted: how many come on one unit of exposure."""

from __future__ import annotations

from scipy.special import chdtri

from assessments.statistics.intervals import TAIL, Z_95, Estimate


def events(count: int, exposure: int) -> Estimate:
    """Events a unit of exposure, with the exact interval of F. Garwood.

    Biometrika 28 (1936) 437-442, for events that come singly and independently (Poisson). None in
    nine still leaves a width. The standard uncertainty is the width over 2 x 1.96, so never 0.

    Raises
    ------
    ValueError
        Unless count >= 0 and exposure > 0.
    """
    if count < 0 or exposure < 1:
        raise ValueError("Events are counted from 0 up, over at least one unit.")
    low = float(chdtri(2 * count, 1 - TAIL)) / 2 if count else 0.0
    high = float(chdtri(2 * count + 2, TAIL)) / 2
    u = (high - low) / (2 * Z_95)
    return Estimate(count / exposure, u / exposure, low / exposure, high / exposure)
