"""What each station but the stills has to say in the report."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from assessments.queries.findings import Finding
from assessments.queries.placings import Placing
from assessments.reports.gather import ReportContents, StationResult
from assessments.reports.rows import Row, row_of, row_of_one, titled
from assessments.stations import registry
from assessments.stations.base import StationModule
from assessments.stations.charts import change_chart
from assessments.units import Units, measures_in

SENTENCES, CHARTED = 2, 3

Placed = Mapping[str, Placing]  # by the name of the measure


@dataclass(frozen=True)
class StationPart:
    """One station and club. `told` are titles with a sentence each, `notes` go below the table.

    `phases` are those that have a column: intake and exit, or one of them, or `once`.
    """

    title: str
    phases: tuple[str, ...]
    chart: dict[str, Any] | None
    drawing: dict[str, Any] | None
    drawing_template: str
    told: tuple[tuple[str, str], ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...]

    @property
    def has_usual(self) -> bool:
        return any(row.usual for row in self.rows)

    @property
    def heads_rows(self) -> bool:
        return heads_rows(len(self.rows), len(self.phases) + self.has_usual)


def heads_rows(rows: int, columns: int) -> bool:
    """Whether the first cell of a row is a heading: in a table with more headings than values a
    screen reader says little else."""
    return rows * columns >= 1 + columns + rows


def station_parts(contents: ReportContents) -> list[StationPart]:
    """Every station that was visited, in the golfer's units."""
    return [
        _part(
            station,
            {one.measure.name: one for one in contents.placings if one.group == station.group},
            contents.units,
        )
        for station in contents.stations
    ]


def _part(station: StationResult, placed: Placed, units: Units) -> StationPart:
    module = registry()[station.group.kind]
    title = titled(module.title, station.group)
    rows = _rows(station, placed, units, title)
    phases = tuple(
        phase for phase in ("intake", "exit", "once") if any(getattr(row, phase) for row in rows)
    )
    drawing = None
    if module.drawing is not None and station.drawn is not None and any(station.drawn):
        drawing = module.drawing(*station.drawn, units)
    usual = _sources(placed.values()) if any(row.usual for row in rows) else ()
    return StationPart(
        title,
        phases,
        _chart(title, station.findings, units) if len(phases) > 1 else None,
        drawing,
        module.drawing_template or "",
        _told(station, module, placed),
        rows,
        (*_doubts(module, station.doubts), *usual),
    )


def _rows(station: StationResult, placed: Placed, units: Units, title: str) -> tuple[Row, ...]:
    compared = (row_of(one, units, placed.get(one.measure.name)) for one in station.findings)
    once = (
        row_of_one(one.measure, one.side, units, title, placed.get(one.measure.name))
        for one in station.practised
    )
    return (*compared, *once)


def _telling(findings: Iterable[Finding]) -> list[Finding]:
    return sorted(findings, key=lambda one: (not one.measure.primary, -one.weight))


def _chart(title: str, findings: Sequence[Finding], units: Units) -> dict[str, Any]:
    """The measures that tell most, in the order of the table."""
    both = [one for one in findings if one.intake is not None and one.exit is not None]
    chosen = _telling(both)[:CHARTED]
    kinds = [one.measure for one in both if one in chosen]
    intake = {one.measure.name: one.intake.mean for one in chosen if one.intake}
    exit_ = {one.measure.name: one.exit.mean for one in chosen if one.exit}
    return change_chart(
        title, kinds, measures_in(kinds, intake, units), measures_in(kinds, exit_, units)
    )


def _told(
    station: StationResult, module: StationModule, placed: Placed
) -> tuple[tuple[str, str], ...]:
    """What changed; of what was measured once, that it was and where it stands.

    What a licensed professional may have to look at is placed nowhere.
    """
    compared = [one for one in _telling(station.findings) if one.intake and one.exit]
    if compared:
        return tuple((one.measure.heading, one.sentence) for one in compared[:SENTENCES])
    once = gettext("Measured between the first day and the last, so nothing is compared.")
    if station.findings:
        once = station.findings[0].sentence
    elif not station.practised:
        return ()
    if module.for_professionals:
        return (("", once),)
    standing = sorted(
        (one for one in placed.values() if one.yardstick),
        key=lambda one: (not one.measure.primary, -one.weight),
    )
    stands = ((one.measure.heading, f"{one.sentence}") for one in standing[: SENTENCES - 1])
    return (("", once), *stands)


def _doubts(module: StationModule, codes: Iterable[str]) -> tuple[str, ...]:
    words = (gettext(module.warning_words[code]) for code in codes if code in module.warning_words)
    return tuple(dict.fromkeys(words))


def _sources(placings: Iterable[Placing]) -> tuple[str, ...]:
    """Whose ranges are called usual, each once."""
    words = dict.fromkeys(one.yardstick.words for one in placings if one.yardstick)
    return tuple(gettext("What is usual: {words}.").format(words=each) for each in words)
