"""The set of stills that the house keeps to compare later cohorts with."""

from __future__ import annotations

from django.db import transaction

from assessments.actions.recording import lock_attendee
from assessments.errors import ReferenceRefused
from assessments.models import ReferenceStill, Still
from assessments.queries.findings import reasons_kept_out
from assessments.queries.stills import entry_of
from school.actions.audit import note
from school.errors import ConsentMissing
from school.models import Account, ConsentKind


def add_reference(*, still: Still, actor: Account) -> ReferenceStill:
    """Keep a still for later schools, without a name; keeping it twice changes nothing.

    Raises ConsentMissing unless its golfer agreed to that and still does, ReferenceRefused for a
    still that is not marked or is doubtful.
    """
    with transaction.atomic(durable=True):
        attendee = lock_attendee(still.enrolment)  # a consent is withdrawn before or after this
        agreed = attendee.consents.standing().filter(text__kind=ConsentKind.REFERENCE)
        if not agreed.exists():
            raise ConsentMissing(
                f"Not kept: {attendee.golfer} has not agreed that stills are kept for later "
                "schools. The front desk can record it."
            )
        _refuse_unless_sure(still)
        kept, is_new = ReferenceStill.objects.get_or_create(
            still=still, defaults={"chosen_by": actor}
        )
        if is_new:
            note(actor=actor, verb="add_reference", subject=still, club=still.club_class)
        return kept


def remove_reference(*, still: Still, actor: Account) -> None:
    """Take a still out of the reference set; one that is not in it stays out."""
    with transaction.atomic(durable=True):
        removed, _ = ReferenceStill.objects.filter(still=still).delete()
        if removed:
            note(actor=actor, verb="remove_reference", subject=still, club=still.club_class)


def _refuse_unless_sure(still: Still) -> None:
    entry = entry_of(still)
    if entry is None:
        raise ReferenceRefused("Not kept: this still is not marked yet. Mark it first.")
    doubts = reasons_kept_out(entry)
    if doubts:
        raise ReferenceRefused(
            f"Not kept: this still is doubtful, and later schools would be compared with it. "
            f"{' '.join(doubts)}"
        )
