"""The clubs of one golfer by carry, and how far they lie apart."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch
from django.utils.text import capfirst
from django.utils.translation import gettext, gettext_noop

from assessments.clubs import CLUBS, club_title
from assessments.models import Entry, Measure
from assessments.queries.entries import value_of
from assessments.queries.sentences import valued
from assessments.stations.base import MeasureKind
from assessments.stations.readings import reading
from assessments.statistics.gapping import Apart, Carry, Gap, gaps
from assessments.units import Units, kind_in, unit_and_size, units_of
from lessons.models import Phase
from school.models import Enrolment

NEWEST_LAST = (Phase.PRACTICE, Phase.INTAKE, Phase.EXIT)


@dataclass(frozen=True)
class GappingRow:
    """A club, its carry with its worth, and the gap to the next shorter one, if there is one."""

    club: str
    phase: str
    carry: str
    gap: str


@dataclass(frozen=True)
class Gapping:
    """From the longest club to the shortest; `sentences` say where two overlap or leave a hole."""

    rows: tuple[GappingRow, ...]
    sentences: tuple[str, ...]


def gapping_of(enrolment: Enrolment, kind: str, carry: MeasureKind) -> Gapping | None:
    """The newest entry of each club that was named; None of fewer than two. 2 queries.

    What was measured last is newest, however late something earlier was corrected.
    """
    measured = Prefetch("measures", Measure.objects.filter(name=carry.name))
    entries = (
        Entry.objects.filter(enrolment=enrolment, kind=kind, superseded_by__isnull=True)
        .prefetch_related(measured)
        .order_by("recorded_at", "pk")
    )
    by_day = sorted(entries, key=lambda entry: NEWEST_LAST.index(entry.phase))
    newest = {club: entry for entry in by_day if (club := entry.payload.get("club")) in CLUBS}
    found = {club: (entry, row) for club, entry in newest.items() for row in entry.measures.all()}
    if len(found) < 2:
        return None
    return _gapping(found, carry, units_of(enrolment.golfer))


def gapping_beside(carry: MeasureKind, entry: Entry) -> dict[str, Any] | None:
    """What the page of an entry shows of the golfer's set."""
    found = gapping_of(entry.enrolment, entry.kind, carry)
    return None if found is None else {"rows": found.rows, "sentences": found.sentences}


def _gapping(found: dict[str, tuple[Entry, Measure]], carry: MeasureKind, units: Units) -> Gapping:
    between = gaps(_carry(club, row) for club, (_, row) in found.items())
    to_shorter = {gap.longer.club: gap for gap in between}
    ordered = [between[0].shorter.club, *(gap.longer.club for gap in between)]
    rows = []
    for club in reversed(ordered):
        entry, row = found[club]
        gap = to_shorter.get(club)
        rows.append(
            GappingRow(
                capfirst(club_title(club)),
                gettext(entry.phase),
                reading(carry, value_of(row), units=units).text,
                _amount(carry, gap.size, units) if gap else "",
            )
        )
    return Gapping(tuple(rows), tuple(_sentences(reversed(between), carry, units)))


def _carry(club: str, row: Measure) -> Carry:
    if row.low is None or row.high is None:
        return Carry(club, row.value)
    return Carry(club, row.value, (row.low, row.high))


_SAID = {
    Apart.OVERLAP: gettext_noop(
        "{shorter} and {longer} lie {gap} apart: one of them does the other's work."
    ),
    Apart.HOLE: gettext_noop(
        "{shorter} and {longer} lie {gap} apart: that leaves a hole between them."
    ),
}


def _sentences(between: Iterable[Gap], carry: MeasureKind, units: Units) -> Iterable[str]:
    for gap in between:
        pattern = gettext(_SAID[gap.apart]) if gap.apart in _SAID else ""
        if not pattern and gap.is_small:
            pattern = gettext(
                "{shorter} and {longer} lie {gap} apart, but it may be more: "
                "only more shots can say whether both are needed."
            )
        if pattern:
            clubs = {"shorter": club_title(gap.shorter.club), "longer": club_title(gap.longer.club)}
            yield capfirst(pattern.format(gap=_amount(carry, gap.size, units), **clubs))


def _amount(carry: MeasureKind, metres: float, units: Units) -> str:
    return valued(kind_in(carry, units), metres / unit_and_size(carry, units)[1])
