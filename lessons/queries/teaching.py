"""An instructor's day, and one session with its attendees."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import cast
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from lessons.models import Session
from lessons.queries.groups import Group, group_of, joined_up
from lessons.queries.slots import whole_days
from lessons.signals import anywhere_asked, attendees_shown
from school.models import Account, Consent, ConsentKind, Enrolment, Golfer


@dataclass(frozen=True)
class TeachingDay:
    """What one instructor teaches on one date, and the nearest dates on which they teach."""

    on: date
    zone: ZoneInfo
    groups: tuple[Group, ...]
    previous: date | None
    next: date | None

    @property
    def is_today(self) -> bool:
        return self.on == timezone.now().astimezone(self.zone).date()


def teaching_day(account: Account, day: date | None = None) -> TeachingDay:
    """The published sessions of the account on `day`, by default today. Seven queries at most.

    A talk counts once, with the squads that are this instructor's. Dates are local to the school
    that is nearest in time.
    """
    mine = (
        Session.objects.filter(plan__is_published=True, instructor__staff__account=account)
        .select_related("plan__school", "visit__station", "squad", "bay")
        .order_by("starts_at", "squad__number")
    )
    zone = _zone(mine, timezone.now())
    day = day or timezone.now().astimezone(zone).date()
    whole = whole_days(day, day, zone)
    before = mine.filter(starts_at__lt=whole.starts_at).order_by("-starts_at").first()
    after = mine.filter(starts_at__gte=whole.ends_at).order_by("starts_at").first()
    return TeachingDay(
        on=day,
        zone=zone,
        groups=tuple(
            joined_up(
                mine.filter(
                    starts_at__gte=whole.starts_at, starts_at__lt=whole.ends_at
                ).prefetch_related("squad__members__enrolment__golfer")
            )
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
    """What a coach must know of one attendee before they begin; `session` is their squad's."""

    session: Session
    enrolment: Enrolment
    golfer: Golfer
    is_minor: bool
    may_be_filmed: bool
    recorded: int


def recorded_anywhere(session: Session) -> list[tuple[str, str]]:
    """What may be recorded in the session beside what its station is for: kind and title."""
    return [
        (kind, title)
        for _, offered in anywhere_asked.send(Session)
        for kind, title in cast("list[tuple[str, str]]", offered)
        if kind != session.visit.station.entry_kind
    ]


def talk_of(session: Session) -> list[Session]:
    """The session, with those of the same talk that have the same instructor. One query."""
    return [
        each for each in group_of(session).sessions if each.instructor_id == session.instructor_id
    ]


def attendees_of(sessions: Sequence[Session], day: date) -> list[Attendee]:
    """The squads of the sessions as they are now, and who is a minor on `day`.

    One query, and one for each session.
    """
    filming = Consent.objects.standing().filter(
        enrolment=OuterRef("pk"), text__kind=ConsentKind.FILMING
    )
    enrolments = (
        Enrolment.objects.filter(squad_member__squad__in=[each.squad_id for each in sessions])
        .select_related("golfer", "squad_member")
        .annotate(may_be_filmed=Exists(filming))
        .order_by("squad_member__squad__number", "squad_member__place")
    )
    by_squad = {session.squad_id: session for session in sessions}
    recorded: Counter[int] = Counter()
    for session in sessions:
        for _, counts in attendees_shown.send(Session, session=session):
            recorded.update(cast("dict[int, int]", counts))
    return [
        Attendee(
            by_squad[each.squad_member.squad_id],
            each,
            each.golfer,
            each.golfer.is_minor_on(day),
            each.may_be_filmed,
            recorded[each.pk],
        )
        for each in enrolments
    ]
