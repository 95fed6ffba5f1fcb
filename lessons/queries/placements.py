"""Sessions as the planner's placements."""

from __future__ import annotations

from collections.abc import Iterable

from lessons.models import Plan, Session
from lessons.planner.plan import Placement
from lessons.queries.groups import Group, joined_up
from lessons.queries.slots import all_slots
from school.models import School


def placements_of(plan: Plan) -> tuple[Placement, ...]:
    """The plan's sessions in order of time, squads that are together with all their instructors.

    One query. A session that begins with no slot of the school, as when its grid has changed
    since, is no placement and left out.
    """
    return as_placements(plan.school, plan.sessions.select_related("visit"))


def as_placements(school: School, sessions: Iterable[Session]) -> tuple[Placement, ...]:
    """The same of sessions that are at hand, with their visits. No query."""
    begins = {slot.starts_at: when for when, slot in all_slots(school).items()}
    found = [
        placement
        for group in joined_up(sessions)
        if (when := begins.get(group.first.starts_at)) is not None
        for placement in _of_group(group, when)
    ]
    return tuple(sorted(found, key=lambda each: (each.day, each.slot, each.squad)))


def _of_group(group: Group, when: tuple[int, int]) -> list[Placement]:
    instructors = tuple(sorted({str(session.instructor_id) for session in group.sessions}))
    return [
        Placement(
            squad=str(session.squad_id),
            visit=str(session.visit_id),
            day=when[0],
            slot=when[1],
            bay=str(session.bay_id),
            instructors=instructors,
        )
        for session in group.sessions
    ]
