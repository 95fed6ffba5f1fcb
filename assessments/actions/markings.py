"""Marking a still once more, without sight of the first marks."""

from __future__ import annotations

from uuid import UUID

from assessments.actions.recording import lock_attendee, refuse_unless_filmed, refuse_unless_taught
from assessments.actions.studies import refuse_unless_of_study
from assessments.errors import MarkingConflict
from assessments.models import Marking, Still, Study
from assessments.stations.base import Payload
from assessments.stations.impact import filmed
from assessments.stations.impact_settings import settings_of
from school.actions.audit import note
from school.actions.retry import in_a_fresh_transaction
from school.models import Account


def record_marking(
    *,
    id: UUID,  # noqa: A002
    still: Still,
    payload: Payload,
    marked_by: Account,
    study: Study | None = None,
    turn: int = 1,
) -> Marking:
    """Keep one more marking of a still; sending the same one again changes nothing.

    It is no entry: what was measured first stands. What is known of the filming place joins the
    payload, and the measures are kept by name as they came out.

    Raises StillRefused or EntryRefused if the marks cannot be right, MarkingConflict if the id or
    the turn of the study holds other marks, StudyRefused, ConsentMissing, NotTaughtHere,
    NotEnrolled.
    """
    whole = {**settings_of(still), **payload}
    result = filmed(still, whole).result
    wanted = Marking(
        id=id,
        still=still,
        study=study,
        turn=turn,
        payload=whole,
        values={name: measure.value for name, measure in result.measures.items()},
        definitions_version=result.definitions_version,
        marked_by=marked_by,
    )
    return in_a_fresh_transaction(lambda: _record(wanted, payload))


def _record(wanted: Marking, sent: Payload) -> Marking:
    attendee = lock_attendee(wanted.still.enrolment)
    known = Marking.objects.filter(pk=wanted.pk).first()
    if known is not None:
        return _same_or_conflict(known, wanted, sent)
    refuse_unless_taught(attendee, wanted.marked_by)
    refuse_unless_filmed(attendee)
    if wanted.study is not None:
        refuse_unless_of_study(wanted.study, wanted.still, wanted.turn, wanted.marked_by)
        _refuse_marked_in_this_turn(wanted)
    wanted.save(force_insert=True)
    note(
        actor=wanted.marked_by,
        verb="mark_again",
        subject=wanted.still,
        study=wanted.study.name if wanted.study else None,
    )
    return wanted


def _same_or_conflict(known: Marking, wanted: Marking, sent: Payload) -> Marking:
    """What is known of the place may have changed since; what was sent is held to be the same."""
    columns = ("still_id", "study_id", "turn", "marked_by_id")
    is_same = all(getattr(known, each) == getattr(wanted, each) for each in columns)
    # of two frames, the second alone is not the same marks
    is_same &= known.payload.get("landmarks_before") == sent.get("landmarks_before")
    if not is_same or {**known.payload, **sent} != known.payload:
        raise MarkingConflict(
            "Other marks were saved under this number, and stand. Mark the still once more."
        )
    return known


def _refuse_marked_in_this_turn(wanted: Marking) -> None:
    there = Marking.objects.filter(study=wanted.study, still=wanted.still, turn=wanted.turn)
    if there.exists():
        raise MarkingConflict(
            "This still has been marked for this turn already. Go on to the next."
        )
