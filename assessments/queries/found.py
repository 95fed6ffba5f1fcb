"""All that was found of one attendee, for the page of findings."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from assessments.models import Entry
from assessments.queries.entries import current_entries
from assessments.queries.findings import Finding, Group, Side, findings_from, group_of
from assessments.queries.placings import Placing, placings_from
from assessments.queries.ranking import Ranking, is_claimed, ranked
from assessments.stations import registry
from assessments.stations.base import MeasureKind
from assessments.stations.readings import Reading, reading
from assessments.units import Units, units_of
from school.models import Enrolment


@dataclass(frozen=True)
class Row:
    """One measure: what it was at intake and at exit, the change, and how it lies."""

    title: str
    intake: Reading | None
    exit: Reading | None
    finding: Finding | None
    placing: Placing | None


@dataclass(frozen=True)
class Part:
    """What belongs to one station and club, with every entry that it was made of."""

    group: Group
    title: str
    rows: tuple[Row, ...]
    entries: tuple[Entry, ...]
    costs_source: str


@dataclass(frozen=True)
class Found:
    """`changed` are the changes that may be claimed, the clearest first; `flagged` is what a
    licensed professional should see, in sentences."""

    ranking: Ranking
    changed: tuple[Finding, ...]
    parts: tuple[Part, ...]
    flagged: tuple[str, ...]

    @property
    def compares(self) -> bool:
        """Whether there is an intake and an exit of anything."""
        return any(row.intake and row.exit for part in self.parts for row in part.rows)


def found_of(enrolment: Enrolment) -> Found:
    """Everything that stands of one attendee, compared. 4 queries at most."""
    golfer = enrolment.golfer
    units = units_of(golfer)
    entries = list(current_entries([enrolment]))
    findings, placings = findings_from(entries, units), placings_from(entries, golfer)
    claimed = sorted(filter(is_claimed, findings), key=lambda one: -one.weight)
    by_group: defaultdict[Group, list[Entry]] = defaultdict(list)
    for entry in entries:
        by_group[group_of(entry)].append(entry)
    parts = (
        _part(group, of_group, findings, placings, units)
        for group, of_group in sorted(by_group.items(), key=lambda item: item[0])
        if group.kind in registry()
    )
    return Found(ranked(findings, placings), tuple(claimed), tuple(parts), _flagged(entries))


def _flagged(entries: list[Entry]) -> tuple[str, ...]:
    """Each sentence once, in the order in which it was found."""
    words = (
        station.warning_words[code]
        for entry in entries
        if (station := registry().get(entry.kind)) is not None and station.for_professionals
        for code in entry.warnings
    )
    return tuple(dict.fromkeys(words))


def _part(
    group: Group,
    entries: list[Entry],
    findings: list[Finding],
    placings: list[Placing],
    units: Units,
) -> Part:
    station = registry()[group.kind]
    changed = {one.measure.name: one for one in findings if one.group == group}
    placed = {one.measure.name: one for one in placings if one.group == group}
    rows = tuple(
        _row(kind, changed.get(kind.name), placed.get(kind.name), units)
        for kind in station.measures
        if kind.name in changed or kind.name in placed
    )
    title = f"{station.title}, {group.club}" if group.club else station.title
    has_costs = any(row.placing and row.placing.cost_strokes is not None for row in rows)
    return Part(group, title, rows, tuple(entries), station.costs_source if has_costs else "")


def _row(kind: MeasureKind, finding: Finding | None, placing: Placing | None, units: Units) -> Row:
    def read(side: Side | None) -> Reading | None:
        return reading(kind, side.mean, units=units) if side is not None else None

    return Row(
        kind.heading,
        read(finding.intake if finding else None),
        read(finding.exit if finding else None),
        finding,
        placing,
    )
