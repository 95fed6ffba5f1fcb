"""When an instructor can teach."""

from collections.abc import Mapping
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Q

from lessons.errors import HoursRefused
from lessons.models import Hours, Instructor
from lessons.queries.slots import whole_days
from school.actions.audit import note
from school.models import Account

FromTo = tuple[time, time]


def set_hours(
    *,
    instructor: Instructor,
    hours: Mapping[date, FromTo | None],
    zone: ZoneInfo,
    actor: Account | None,
) -> list[Hours]:
    """Replace the instructor's hours of the dates named, local to `zone`; None empties a date.

    Raises
    ------
    HoursRefused
        If hours end before they start; nothing is changed.
    """
    rows = [
        Hours(instructor=instructor, starts_at=_at(day, start, zone), ends_at=_at(day, end, zone))
        for day, (start, end) in sorted((d, each) for d, each in hours.items() if each)
    ]
    for row in rows:
        if row.ends_at <= row.starts_at:
            raise HoursRefused(f"On {row.starts_at:%A %-d %B} the hours must end after they start.")
    old = Q()
    for day in hours:
        whole = whole_days(day, day, zone)
        old |= Q(starts_at__gte=whole.starts_at, starts_at__lt=whole.ends_at)
    with transaction.atomic(durable=True):
        if hours:
            instructor.hours.filter(old).delete()
        made = Hours.objects.bulk_create(rows)
        note(
            actor=actor,
            verb="set_hours",
            subject=instructor,
            hours={str(day): each and [str(t) for t in each] for day, each in hours.items()},
        )
    return made


def _at(day: date, clock: time, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, clock, zone)
