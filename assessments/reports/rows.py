"""A measure as a line of the report: what it was, what is usual, what may be said."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from assessments.impact.words import MEASURE_WORDS
from assessments.queries.findings import Finding, Group, Side
from assessments.queries.placings import Placing
from assessments.stations.base import MeasureKind, Measures
from assessments.stations.charts import change_chart
from assessments.stations.readings import Reading, reading, unit_label
from assessments.units import Units, kind_in, measures_in


@dataclass(frozen=True)
class Row:
    """A measure as a line of a table or as a headline, in the golfer's units.

    `once` is its only reading where the first and the last day have none.
    """

    place: str
    title: str
    meaning: str
    unit: str
    intake: Reading | None
    exit: Reading | None
    once: Reading | None
    usual: str
    sentence: str
    chart: dict[str, Any]

    @property
    def in_steps(self) -> str:
        """Both sides in the school's steps on one line; empty where a step is one ball."""
        sides = [side.steps for side in (self.intake, self.exit) if side and side.steps]
        if len(sides) < len((self.intake, self.exit)):
            return "".join(sides)
        return gettext("{first} to {last}").format(first=sides[0], last=sides[1])


def row_of(finding: Finding, units: Units, placing: Placing | None = None) -> Row:
    measure = finding.measure
    step = finding.basis.step_mm if finding.basis else None
    place = titled(finding.station_title, finding.group)
    sides = [_measures(side, measure, units) for side in (finding.intake, finding.exit)]
    return Row(
        place=place,
        title=measure.heading,
        meaning=_meaning(measure.name),
        unit=_unit(measure, units),
        intake=_reading(finding.intake, measure, units, step),
        exit=_reading(finding.exit, measure, units, step),
        once=None,
        usual=_usual(placing),
        sentence=finding.sentence,
        chart=change_chart(place, [measure], *sides),
    )


def row_of_one(
    measure: MeasureKind, side: Side, units: Units, place: str, placing: Placing | None
) -> Row:
    """Of a measure that was taken between the first day and the last."""
    return Row(
        place=place,
        title=measure.heading,
        meaning=_meaning(measure.name),
        unit=_unit(measure, units),
        intake=None,
        exit=None,
        once=_reading(side, measure, units, None),
        usual=_usual(placing),
        sentence="",
        chart={},
    )


def titled(station: str, group: Group) -> str:
    """`Ball flight: 7-iron`, in the language that is read."""
    name = gettext(station)
    return f"{name}: {group.club}" if group.club else name


def _reading(
    side: Side | None, measure: MeasureKind, units: Units, step: float | None
) -> Reading | None:
    return None if side is None else reading(measure, side.mean, step, units)


def _measures(side: Side | None, measure: MeasureKind, units: Units) -> Measures | None:
    return None if side is None else measures_in([measure], {measure.name: side.mean}, units)


def _unit(measure: MeasureKind, units: Units) -> str:
    """A sign alone beside a title is easily missed."""
    unit = unit_label(kind_in(measure, units).unit)
    return gettext("degrees") if unit == "°" else unit


def _usual(placing: Placing | None) -> str:
    return placing.words.get("usual", "") if placing is not None else ""


def _meaning(name: str) -> str:
    words = MEASURE_WORDS.get(name)
    return (
        gettext("+ means {plus}").format(plus=gettext(words.plus)) if words and words.plus else ""
    )
