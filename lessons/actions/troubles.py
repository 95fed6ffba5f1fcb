"""Noting what upsets a timetable, and taking it back."""

from datetime import UTC, datetime, timedelta

from django.db import transaction

from lessons.errors import TroubleRefused
from lessons.models import Bay, Instructor, Trouble
from school.actions import audit
from school.models import Account, Enrolment

LONGEST = timedelta(days=60)


def note_trouble(
    *,
    kind: str,
    starts_at: datetime,
    ends_at: datetime,
    actor: Account | None,
    instructor: Instructor | None = None,
    bay: Bay | None = None,
    enrolment: Enrolment | None = None,
    note: str = "",
) -> Trouble:
    """Note that from one instant to another somebody or something cannot be counted on.

    What is published stays as it is; every timetable looked for from now on keeps clear of it.

    Raises
    ------
    TroubleRefused
        If it does not say who or what it is about, is no stretch of time, or is about a golfer
        who has no seat.
    """
    trouble = Trouble(
        kind=kind,
        instructor=instructor,
        bay=bay,
        enrolment=enrolment,
        starts_at=starts_at,
        ends_at=ends_at,
        note=note,
        noted_by=actor,
    )
    _refuse(trouble)
    with transaction.atomic(durable=True):
        trouble.save(force_insert=True)
        audit.note(actor=actor, verb="note_trouble", subject=trouble, what=str(trouble))
    return trouble


def drop_trouble(*, trouble: Trouble, actor: Account | None) -> None:
    """Take it back; timetables found meanwhile stay as they are."""
    with transaction.atomic(durable=True):
        audit.note(actor=actor, verb="drop_trouble", subject=trouble, what=str(trouble))
        trouble.delete()


ABOUT = {
    Trouble.Kind.INSTRUCTOR_AWAY: ("instructor", "Say which instructor is away."),
    Trouble.Kind.BAY_CLOSED: ("bay", "Say which bay is closed."),
    Trouble.Kind.GOLFER_AWAY: ("enrolment", "Say which golfer is away."),
}


def _refuse(trouble: Trouble) -> None:
    names = {name for name, _ in ABOUT.values() if getattr(trouble, name) is not None}
    wanted, words = ABOUT.get(Trouble.Kind(trouble.kind), (None, ""))
    if wanted is not None and wanted not in names:
        raise TroubleRefused(words)
    if names - {wanted}:
        raise TroubleRefused("It is about one instructor, one bay, one golfer or the rain.")
    # Not on the local clock, which can be put forward between the two.
    lasts = trouble.ends_at.astimezone(UTC) - trouble.starts_at.astimezone(UTC)
    if not timedelta(0) < lasts <= LONGEST:
        raise TroubleRefused(f"It must end after it starts, and within {LONGEST.days} days.")
    golfer = trouble.enrolment
    if golfer is not None and golfer.state != Enrolment.State.SEATED:
        raise TroubleRefused(f"{golfer.golfer} has no seat in {golfer.school.name}.")
