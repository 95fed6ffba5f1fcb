"""Who has what is wanted: the other holds that stand in the way, in words."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Literal

from django.db.models import Q

from lessons.models import Hold, Plan, Session
from lessons.models.timetable import quarter_hours
from lessons.queries.holds import not_of
from lessons.queries.slots import Stretch, bay_time, joined
from school.models import School


@dataclass(frozen=True)
class Want:
    """One bay or instructor, by key, for one quarter hour."""

    kind: Literal["bay", "instructor"]
    pk: int
    quarter_hour: datetime


@dataclass(frozen=True)
class Clash:
    """What is taken, by whom and when."""

    what: str
    by: str
    when: Stretch

    def words(self, zone: tzinfo | None) -> str:
        starts_at, ends_at = (t.astimezone(zone) for t in (self.when.starts_at, self.when.ends_at))
        return (
            f"{self.what} is taken on {starts_at:%A %-d %B}, {starts_at:%H:%M} to {ends_at:%H:%M}, "
            f"by {self.by}."
        )


def wants_of(plan: Plan) -> set[Want]:
    """The bays and instructors that the plan's sessions need. One query.

    A school that needs a part of a bay needs all of it: nobody else is let in beside it.
    """
    wants: set[Want] = set()
    for session in plan.sessions.select_related("visit"):
        wants |= {Want("bay", session.bay_id, each) for each in in_bay(session)}
        wants |= {
            Want("instructor", session.instructor_id, each) for each in session.quarter_hours()
        }
    return wants


def in_bay(session: Session) -> list[datetime]:
    """The quarter hours in which the session has its bay."""
    when = bay_time(session)
    return quarter_hours(when.starts_at, when.ends_at)


def clashes(wants: Collection[Want], *, but: School | None = None) -> list[Clash]:
    """What others than the school `but` hold of these, in order of time. One query."""
    if not wants:
        return []
    holds = (
        not_of(but)
        .filter(
            Q(bay__in={want.pk for want in wants if want.kind == "bay"})
            | Q(instructor__in={want.pk for want in wants if want.kind == "instructor"}),
            quarter_hour__gte=min(want.quarter_hour for want in wants),
            quarter_hour__lte=max(want.quarter_hour for want in wants),
        )
        .select_related("bay", "instructor__staff__account", "session__plan__school")
    )
    found: dict[tuple[str, str], list[Stretch]] = {}
    for hold in holds:
        if want(hold) in wants:
            quarter = Stretch.quarter(hold.quarter_hour)
            found.setdefault((str(hold.bay or hold.instructor), _holder(hold)), []).append(quarter)
    listed = [
        Clash(what, by, when) for (what, by), quarters in found.items() for when in joined(quarters)
    ]
    return sorted(listed, key=lambda clash: (clash.when.starts_at, clash.what))


def want(hold: Hold) -> Want:
    if hold.bay_id is not None:
        return Want("bay", hold.bay_id, hold.quarter_hour)
    assert hold.instructor_id is not None
    return Want("instructor", hold.instructor_id, hold.quarter_hour)


def _holder(hold: Hold) -> str:
    return hold.session.plan.school.name if hold.session else f"“{hold.note}”"
