"""What the stations share: whether a number can be right, and an estimate as a stored value."""

from __future__ import annotations

import math
from typing import TypeGuard

from assessments.stations.base import MeasureValue
from assessments.statistics.intervals import Estimate


def is_number(value: object, low: float, high: float) -> TypeGuard[float]:
    """Whether it is a number, and no truth value, from `low` to `high`."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return math.isfinite(value) and low <= value <= high


def is_count(value: object, low: int, high: int) -> TypeGuard[int]:
    """Whether it is a whole number from `low` to `high`."""
    return type(value) is int and low <= value <= high


def measured(name: str, unit: str, estimate: Estimate, source: str) -> MeasureValue:
    """The estimate as a measure; shares of 1 become per cent."""
    factor = 100 if unit == "%" else 1
    value, u, low, high = (
        factor * part
        for part in (
            estimate.value,
            estimate.standard_uncertainty,
            estimate.low,
            estimate.high,
        )
    )
    return MeasureValue(name, value, unit, u, low, high, source)
