"""The stills of an attendee with what was measured on them."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet

from assessments.models import Entry, Still
from assessments.queries.entries import Standing, current_entries, standing
from assessments.stations import kinds_on_stills
from school.models import ConsentKind, Enrolment


@dataclass(frozen=True)
class MeasuredStill:
    """A still and what stands measured on it, if it is marked."""

    still: Still
    standing: Standing | None


def stills_of(enrolment: Enrolment, phase: str) -> list[MeasuredStill]:
    """The attendee's stills of one phase, oldest first. 3 queries."""
    entries = current_entries([enrolment]).filter(phase=phase, kind__in=kinds_on_stills())
    by_still = {entry.still_id: standing(entry) for entry in entries}
    stills = Still.objects.filter(enrolment=enrolment, phase=phase)
    return [MeasuredStill(still, by_still.get(still.pk)) for still in stills]


def entry_of(still: Still) -> Entry | None:
    """What stands measured on the still. 1 query."""
    return marked_on(still).filter(superseded_by__isnull=True).first()


def marked_on(still: Still) -> QuerySet[Entry]:
    """What was ever measured on the still; notes that lie beside it are none of it."""
    return still.entries.filter(kind__in=kinds_on_stills())


def may_be_filmed(enrolment: Enrolment) -> bool:
    """Whether somebody agreed to filming, and still does. 1 query."""
    return _agreed(enrolment, ConsentKind.FILMING)


def may_be_shown_in_class(enrolment: Enrolment) -> bool:
    """Whether somebody agreed that others of the school see the stills, and still does. 1 query."""
    return _agreed(enrolment, ConsentKind.SHOWN_IN_CLASS)


def _agreed(enrolment: Enrolment, kind: ConsentKind) -> bool:
    return enrolment.consents.standing().filter(text__kind=kind).exists()
