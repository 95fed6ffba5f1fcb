"""What a golfer reads distances and speeds in. Everything is stored in SI units."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, cast

from assessments.stations.base import MeasureKind, Measures, MeasureValue
from assessments.statistics.sizes import SIZES

if TYPE_CHECKING:
    from school.models import Golfer

DistanceUnit = Literal["yd", "m"]
SpeedUnit = Literal["mph", "m/s"]


@dataclass(frozen=True)
class Units:
    """Who reads yards reads short distances, as of a chip, in feet."""

    distance: DistanceUnit = "m"
    speed: SpeedUnit = "m/s"


def units_of(golfer: Golfer) -> Units:
    return Units(
        cast("DistanceUnit", golfer.distances_in),
        cast("SpeedUnit", golfer.speeds_in),
    )


def unit_and_size(kind: MeasureKind, units: Units) -> tuple[str, float]:
    """The unit that a measure is read in, and how much of its own unit one of that is.

    What is no distance, area or speed in SI units stays as it is.
    """
    if kind.unit == "m/s":
        return units.speed, SIZES[units.speed]
    if units.distance == "yd" and kind.unit in ("m", "m2"):
        unit = "yd" if kind.is_long else "ft"
        return (f"{unit}2", SIZES[unit] ** 2) if kind.unit == "m2" else (unit, SIZES[unit])
    return kind.unit, 1.0


def kind_in(kind: MeasureKind, units: Units) -> MeasureKind:
    """The kind as it is read: a hundredth of a foot is finer than anybody measures."""
    unit, _ = unit_and_size(kind, units)
    decimals = min(kind.decimals, 1) if unit == "ft" else kind.decimals
    return replace(kind, unit=unit, decimals=decimals)


def in_units(
    kind: MeasureKind, value: MeasureValue, units: Units
) -> tuple[MeasureKind, MeasureValue]:
    """A measure and its kind as the golfer reads them."""
    unit, size = unit_and_size(kind, units)
    number, u, low, high = (
        None if part is None else part / size
        for part in (value.value, value.standard_uncertainty, value.low, value.high)
    )
    assert number is not None
    scaled = replace(value, value=number, unit=unit, standard_uncertainty=u, low=low, high=high)
    return kind_in(kind, units), scaled


def measures_in(kinds: Iterable[MeasureKind], measures: Measures, units: Units) -> Measures:
    """All of the kinds that were measured, as the golfer reads them."""
    return {
        kind.name: in_units(kind, measures[kind.name], units)[1]
        for kind in kinds
        if kind.name in measures
    }
