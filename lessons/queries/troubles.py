"""What upsets a school, and which of its published sessions that touches, in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet

from lessons.models import Feature, Plan, Trouble
from lessons.queries.groups import Group, joined_up
from lessons.queries.plans import published_plan
from lessons.queries.slots import Stretch, all_slots, bay_time, whole_days
from school.models import School


@dataclass(frozen=True)
class TroubleLine:
    """`touched` are sessions to come that cannot stay as they are; `missed` those that a golfer
    has to do without while the squad goes on."""

    trouble: Trouble
    what: str
    when: Stretch
    touched: tuple[Group, ...]
    missed: tuple[Group, ...]


def troubles_of(school: School, now: datetime) -> list[TroubleLine]:
    """In order of time. Four queries, three without a published timetable."""
    published = published_plan(school)
    groups = _groups(published, now) if published else []
    return [_line(trouble, groups) for trouble in _noted(school)]


def troubles_for_desk(school: School) -> QuerySet[Trouble]:
    """Those that meet the school's days, and are not about a golfer of another school."""
    days = whole_days(school.starts_on, school.ends_on, school.zone)
    return Trouble.objects.filter(
        Q(enrolment=None) | Q(enrolment__school=school),
        starts_at__lt=days.ends_at,
        ends_at__gt=days.starts_at,
    )


def starts_to_come(school: School, now: datetime) -> list[datetime]:
    """When the slots begin from which the school could be planned again: the one that is on now,
    and all later ones."""
    return [slot.starts_at for slot in all_slots(school).values() if slot.ends_at > now]


def _noted(school: School) -> QuerySet[Trouble]:
    return troubles_for_desk(school).select_related(
        "instructor__staff__account", "bay", "enrolment__golfer", "enrolment__squad_member"
    )


def _groups(plan: Plan, now: datetime) -> list[Group]:
    sessions = (
        plan.sessions.filter(ends_at__gt=now)
        .select_related("visit__station", "squad", "bay", "instructor__staff__account")
        .prefetch_related("bay__features")
    )
    return joined_up(sessions.order_by("starts_at", "squad__number"))


def _line(trouble: Trouble, groups: list[Group]) -> TroubleLine:
    when = Stretch.of(trouble)
    met = [group for group in groups if group.when.meets(when) and _concerns(trouble, group)]
    stays = [group for group in met if _goes_on(trouble, group)]
    return TroubleLine(
        trouble=trouble,
        what=_what(trouble),
        when=when,
        touched=tuple(group for group in met if group not in stays),
        missed=tuple(stays) if trouble.kind == Trouble.Kind.GOLFER_AWAY else (),
    )


def _what(trouble: Trouble) -> str:
    match trouble.kind:
        case Trouble.Kind.INSTRUCTOR_AWAY:
            return f"{trouble.instructor} is away"
        case Trouble.Kind.BAY_CLOSED:
            return f"{trouble.bay} is closed"
        case Trouble.Kind.GOLFER_AWAY:
            assert trouble.enrolment
            return f"{trouble.enrolment.golfer} is away"
    return "Rain"


def _concerns(trouble: Trouble, group: Group) -> bool:
    match trouble.kind:
        case Trouble.Kind.INSTRUCTOR_AWAY:
            return any(each.instructor_id == trouble.instructor_id for each in group.sessions)
        case Trouble.Kind.BAY_CLOSED:
            return group.first.bay_id == trouble.bay_id
        case Trouble.Kind.GOLFER_AWAY:
            return any(each.squad_id == _squad(trouble) for each in group.sessions)
    return Feature.COVERED not in {each.pk for each in group.first.bay.features.all()}


def _squad(trouble: Trouble) -> int | None:
    """The squad of the golfer it is about, if they are in one."""
    member = getattr(trouble.enrolment, "squad_member", None)
    return None if member is None else int(member.squad_id)


def _goes_on(trouble: Trouble, group: Group) -> bool:
    """Whether the session can stay all the same: a golfer is missed only by what
    everyone should have, and a bay only while the squad is in it."""
    if trouble.kind == Trouble.Kind.INSTRUCTOR_AWAY:
        return False
    if trouble.kind == Trouble.Kind.GOLFER_AWAY:
        return not group.first.visit.is_everyones
    return not bay_time(group.first).meets(Stretch.of(trouble))
