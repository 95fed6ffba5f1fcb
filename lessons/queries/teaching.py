"""An instructor's day, and one session with its attendees."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime
from typing import cast
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from lessons.models import Session
from lessons.queries.slots import whole_days
from lessons.signals import attendees_shown
from school.models import Account, Consent, ConsentKind, Enrolment, Golfer


@dataclass(frozen=True)
class TeachingDay:
    """What one instructor teaches on one date, and the nearest dates on which they teach."""

    on: date
    zone: ZoneInfo
    sessions: tuple[Session, ...]
    previous: date | None
    next: date | None

    @property
    def is_today(self) -> bool:
        return self.on == timezone.now().astimezone(self.zone).date()


def teaching_day(account: Account, day: date | None = None) -> TeachingDay:
    """The published sessions of the account on `day`, by default today. Seven queries at most.

    Dates are local to the school that is nearest in time.
    """
    mine = Session.objects.filter(
        plan__is_published=True, instructor__staff__account=account
    ).select_related("plan__school", "visit__station", "squad", "bay")
    zone = _zone(mine, timezone.now())
    day = day or timezone.now().astimezone(zone).date()
    whole = whole_days(day, day, zone)
    before = mine.filter(starts_at__lt=whole.starts_at).order_by("-starts_at").first()
    after = mine.filter(starts_at__gte=whole.ends_at).order_by("starts_at").first()
    return TeachingDay(
        on=day,
        zone=zone,
        sessions=tuple(
            mine.filter(
                starts_at__gte=whole.starts_at, starts_at__lt=whole.ends_at
            ).prefetch_related("squad__members__enrolment__golfer")
        ),
        previous=before.starts_at.astimezone(zone).date() if before else None,
        next=after.starts_at.astimezone(zone).date() if after else None,
    )


def _zone(sessions: QuerySet[Session], now: datetime) -> ZoneInfo:
    nearest = (
        sessions.filter(ends_at__gte=now).order_by("starts_at").first()
        or sessions.order_by("-starts_at").first()
    )
    return nearest.plan.school.zone if nearest else ZoneInfo(settings.TIME_ZONE)


@dataclass(frozen=True)
class Attendee:
    """What a coach must know of one attendee before they begin."""

    enrolment: Enrolment
    golfer: Golfer
    is_minor: bool
    may_be_filmed: bool
    recorded: int


def attendees_of(session: Session, day: date) -> list[Attendee]:
    """The session's squad as it is now, and who is a minor on `day`. Two queries."""
    filming = Consent.objects.standing().filter(
        enrolment=OuterRef("pk"), text__kind=ConsentKind.FILMING
    )
    enrolments = (
        Enrolment.objects.filter(squad_member__squad=session.squad_id)
        .select_related("golfer")
        .annotate(may_be_filmed=Exists(filming))
        .order_by("squad_member__place")
    )
    recorded: Counter[int] = Counter()
    for _, counts in attendees_shown.send(Session, session=session):
        recorded.update(cast("dict[int, int]", counts))
    return [
        Attendee(
            each, each.golfer, each.golfer.is_minor_on(day), each.may_be_filmed, recorded[each.pk]
        )
        for each in enrolments
    ]
