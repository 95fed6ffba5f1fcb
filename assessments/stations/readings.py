"""Measures of a station as they are written: the number, what it is worth, its unit."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.utils.formats import get_format
from django.utils.translation import gettext

from assessments.impact.geometry import BALL_DIAMETER_MM
from assessments.impact.words import unit_words
from assessments.stations.base import MeasureKind, Measures, MeasureValue
from assessments.units import Units, in_units


@dataclass(frozen=True)
class Reading:
    """`worth` is 95 %: `± 0.6` where the interval is even to both sides, else `45 to 92`.

    `steps` is the same length in the steps of a school that counts in something else than balls.
    """

    title: str
    value: str
    unit: str
    worth: str
    source: str
    steps: str = ""

    @property
    def bare(self) -> str:
        """Without the unit: `+2.4 ± 0.9`, `90 (60 to 98)`."""
        return f"{self.value} {self._worth}".rstrip()

    @property
    def aside(self) -> str:
        """What follows the value: ` ± 0.9 ball diameters`, ` ± 1.2°`, ` (60 to 98) %`."""
        worth = f" {self._worth}" if self.worth else ""
        return f"{worth}{'' if self.unit == '°' else ' '}{self.unit}".rstrip()

    @property
    def text(self) -> str:
        """On one line: `+2.4 ± 0.9 ball diameters`, `5.0 ± 1.2°`."""
        return self.value + self.aside

    @property
    def _worth(self) -> str:
        is_range = self.worth and not self.worth.startswith("±")
        return f"({self.worth})" if is_range else self.worth


def readings(
    kinds: Iterable[MeasureKind],
    measures: Measures,
    step_mm: float | None = None,
    units: Units | None = None,
) -> list[Reading]:
    """Those of the kinds that were measured, in their order."""
    return [
        reading(kind, measures[kind.name], step_mm, units)
        for kind in kinds
        if kind.name in measures
    ]


def reading(
    kind: MeasureKind,
    measure: MeasureValue,
    step_mm: float | None = None,
    units: Units | None = None,
) -> Reading:
    """The measure as written, and in steps of `step_mm` if it is counted in balls.

    Distances and speeds are in SI units unless it is said what the golfer reads.
    """
    if units is not None:
        kind, measure = in_units(kind, measure, units)
    return Reading(
        kind.heading,
        written(measure.value, kind),
        unit_label(kind.unit),
        _worth(kind, measure),
        measure.source,
        "" if step_mm is None or kind.unit != "bd" else _in_steps(kind, measure, step_mm),
    )


def _in_steps(kind: MeasureKind, measure: MeasureValue, step_mm: float) -> str:
    """`+4.0 ± 1.9 steps`; nothing where a step is one ball."""
    balls = BALL_DIAMETER_MM / step_mm
    if math.isclose(balls, 1, rel_tol=1e-4):
        return ""
    low, high, u = (
        None if part is None else part * balls
        for part in (measure.low, measure.high, measure.standard_uncertainty)
    )
    scaled = replace(
        measure, value=measure.value * balls, low=low, high=high, standard_uncertainty=u
    )
    return reading(replace(kind, unit="steps"), scaled).text


def written(value: float, kind: MeasureKind) -> str:
    """A value to the decimals of its kind; a signed one shows its sign unless it reads as 0."""
    return number(value, kind.decimals, is_signed=kind.signed)


def number(value: float, decimals: int, *, is_signed: bool = False) -> str:
    """The same of any number, with the decimal sign of the language it is read in."""
    text = f"{value:{'+' if is_signed else ''}.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("+-")
    return text.replace("-", "−").replace(".", get_format("DECIMAL_SEPARATOR"))


def unit_label(unit: str) -> str:
    """A unit as it is read aloud, in the language that is read."""
    return gettext(unit_words(unit))


def _worth(kind: MeasureKind, measure: MeasureValue) -> str:
    """Two standard uncertainties or the interval, whichever is wider, rounded up.

    With few degrees of freedom the interval is wider than two standard uncertainties.
    """
    if measure.low is None or measure.high is None or measure.standard_uncertainty is None:
        return ""
    below, above = measure.value - measure.low, measure.high - measure.value
    step = 10**-kind.decimals
    if abs(above - below) > step:
        ends = {"low": written(measure.low, kind), "high": written(measure.high, kind)}
        return gettext("{low} to {high}").format(**ends)
    half = max(2 * measure.standard_uncertainty, below, above)
    return f"± {number(math.ceil(half / step - 1e-9) * step, kind.decimals)}"
