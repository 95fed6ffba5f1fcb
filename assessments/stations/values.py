"""What the stations share: whether a number can be right, and an estimate as a stored value.

A fault is words at a place of the payload, `chip.0` for the first ball of the chips.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeGuard

from assessments.errors import EntryRefused
from assessments.stations.base import MeasureValue
from assessments.statistics.intervals import Estimate, proportion

TAPE_M = 0.1  # the step in which a distance to the hole is taken to be read

Faults = Iterator[tuple[str, str]]


def is_number(value: object, low: float, high: float) -> TypeGuard[float]:
    """Whether it is a number, and no truth value, from `low` to `high`, both finite."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return low <= value <= high


def is_count(value: object, low: int, high: int) -> TypeGuard[int]:
    """Whether it is a whole number from `low` to `high`."""
    return type(value) is int and low <= value <= high


def refuse_any(faults: Faults) -> None:
    """Raise EntryRefused if there is a fault; of two at one place the later is said."""
    wrong = dict(faults)
    if wrong:
        raise EntryRefused(wrong)


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


def rate(name: str, hits: int, tries: int, of_what: str) -> MeasureValue:
    """How many of the tries were hits, in per cent; `of_what` says it behind both numbers."""
    source = f"{hits} of {tries} {of_what}; Wilson's interval"
    return measured(name, "%", proportion(hits, tries), source)
