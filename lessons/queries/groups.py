"""Sessions that squads have together, as the one session that they are."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from lessons.models import Plan, Session
from lessons.queries.slots import Stretch


@dataclass(frozen=True)
class Group:
    """The sessions of one talk, in order of squads; any other session is a group by itself."""

    sessions: tuple[Session, ...]

    @property
    def first(self) -> Session:
        return self.sessions[0]

    @property
    def when(self) -> Stretch:
        return Stretch.of(self.first)

    @property
    def squads(self) -> str:
        return self.squads_of(self.sessions)

    @property
    def instructors(self) -> str:
        names = dict.fromkeys(str(session.instructor) for session in self.sessions)
        return ", ".join(sorted(names))

    @property
    def is_pinned(self) -> bool:
        return any(session.is_pinned for session in self.sessions)

    @staticmethod
    def squads_of(sessions: Sequence[Session]) -> str:
        """“Squad 3”, “Squads 1, 2, 3”."""
        if len(sessions) == 1:
            return str(sessions[0].squad)
        return "Squads " + ", ".join(str(session.squad.number) for session in sessions)


def groups_of(plan: Plan) -> list[Group]:
    """What the plan holds, in order of time and squads. One query."""
    return joined_up(_rows(plan))


def group_of(session: Session) -> Group:
    """The session with those that are one with it. One query."""
    same = _rows(session.plan).filter(
        visit=session.visit_id, bay=session.bay_id, starts_at=session.starts_at
    )
    return next(
        group for group in joined_up(same) if session.pk in {each.pk for each in group.sessions}
    )


def _rows(plan: Plan) -> QuerySet[Session]:
    """Each knows the plan itself, with the school that is loaded already."""
    return plan.sessions.select_related(
        "visit__station", "squad", "bay", "instructor__staff__account"
    ).order_by("starts_at", "squad__number")


def joined_up(sessions: Iterable[Session]) -> list[Group]:
    """Those that belong together as one, in the order in which the first of each comes.

    Squads that share a bay without being a group have a session each.
    """
    found: dict[tuple[object, ...], list[Session]] = {}
    for session in sessions:
        alone = session.squad_id if session.visit.group_ratio is None else None
        key = (session.plan_id, session.visit_id, session.bay_id, session.starts_at, alone)
        found.setdefault(key, []).append(session)
    return [Group(tuple(each)) for each in found.values()]
