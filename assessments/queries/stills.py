"""The stills of an attendee with what was measured on them."""

from __future__ import annotations

from dataclasses import dataclass

from assessments.models import Entry, Still
from assessments.queries.entries import Standing, current_entries, standing
from school.models import ConsentKind, Enrolment


@dataclass(frozen=True)
class MeasuredStill:
    """A still and what stands measured on it, if it is marked."""

    still: Still
    standing: Standing | None


def stills_of(enrolment: Enrolment, phase: str) -> list[MeasuredStill]:
    """The attendee's stills of one phase, oldest first. 3 queries."""
    entries = current_entries([enrolment]).filter(phase=phase, still__isnull=False)
    by_still = {entry.still_id: standing(entry) for entry in entries}
    stills = Still.objects.filter(enrolment=enrolment, phase=phase)
    return [MeasuredStill(still, by_still.get(still.pk)) for still in stills]


def entry_of(still: Still) -> Entry | None:
    """What stands measured on the still. 1 query."""
    return still.entries.filter(superseded_by__isnull=True).first()


def may_be_filmed(enrolment: Enrolment) -> bool:
    """Whether somebody agreed to filming, and still does. 1 query."""
    return _agreed(enrolment, ConsentKind.FILMING)


def may_be_shown_in_class(enrolment: Enrolment) -> bool:
    """Whether somebody agreed that others of the school see the stills, and still does. 1 query."""
    return _agreed(enrolment, ConsentKind.SHOWN_IN_CLASS)


def _agreed(enrolment: Enrolment, kind: ConsentKind) -> bool:
    return enrolment.consents.standing().filter(text__kind=kind).exists()
