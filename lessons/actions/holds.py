"""Taking a bay or an instructor for something that is no school: a private lesson, a repair."""

from datetime import UTC, datetime, timedelta

from django.db import IntegrityError, transaction

from lessons.errors import BayOrPersonTaken, HoldRefused, first_few
from lessons.models import Bay, Hold, Instructor
from lessons.models.timetable import quarter_hours
from lessons.queries.clashes import clashes, want
from lessons.queries.holds import kept_with
from school.actions import audit
from school.models import Account

LONGEST = timedelta(days=7)


def take_turns() -> None:
    """Let one transaction at a time write holds; call first in it.

    Two that free and take each other's quarter hours would otherwise wait for one another. The
    constraints keep the promise, this only keeps the peace.
    """
    list(Bay.objects.select_for_update().order_by("pk").values_list("pk", flat=True))


def take_holds(
    *,
    note: str,
    bay: Bay | None,
    instructor: Instructor | None,
    starts_at: datetime,
    ends_at: datetime,
    actor: Account | None,
) -> list[Hold]:
    """Hold a bay with all its parts, an instructor or both for every quarter hour of the stretch.

    Raises
    ------
    HoldRefused
        If nothing is to be taken, no reason is given or the stretch is no stretch.
    BayOrPersonTaken
        If somebody holds one of them then; nothing is taken.
    """
    # Not on the local clock, which can be put forward between the two.
    _refuse(note, bay or instructor, ends_at.astimezone(UTC) - starts_at.astimezone(UTC))
    quarters = quarter_hours(starts_at, ends_at)
    rows: list[Hold] = []
    for each in quarters:
        parts = range(1, bay.capacity + 1) if bay else ()
        rows += [Hold(note=note, quarter_hour=each, bay=bay, part=part) for part in parts]
        if instructor:
            rows.append(Hold(note=note, quarter_hour=each, instructor=instructor))
    try:
        with transaction.atomic(durable=True):
            take_turns()
            Hold.objects.bulk_create(rows)
            _note(actor, "take_holds", rows)
    except IntegrityError:
        taken = clashes({want(hold) for hold in rows})
        words = first_few([clash.words(starts_at.tzinfo) for clash in taken])
        raise BayOrPersonTaken(f"{words} Nothing was taken.") from None
    return rows


def release_holds(*, hold: Hold, actor: Account | None) -> list[Hold]:
    """Give back all that is held for the same reason in the same unbroken stretch.

    Raises
    ------
    HoldRefused
        If the hold is a school's: it goes when another timetable is published.
    """
    if hold.session_id is not None:
        raise HoldRefused("A school holds this; publish another timetable to free it.")
    with transaction.atomic(durable=True):
        given = kept_with(hold)
        _note(actor, "release_holds", given)
        Hold.objects.filter(pk__in=[each.pk for each in given]).delete()
    return given


def _refuse(note: str, resource: Bay | Instructor | None, lasts: timedelta) -> None:
    if resource is None:
        raise HoldRefused("Name a bay, an instructor or both.")
    if not note:
        raise HoldRefused("Say what the hold is for.")
    if not timedelta(0) < lasts <= LONGEST:
        raise HoldRefused("A hold ends after it starts, and within a week.")


def _note(actor: Account | None, verb: str, holds: list[Hold]) -> None:
    audit.note(
        actor=actor,
        verb=verb,
        subject=holds[0],
        what=holds[0].note,
        held=list(dict.fromkeys(str(hold) for hold in holds)),
    )
