"""What stands behind the addresses of a timetable that is changed by hand."""

from __future__ import annotations

from datetime import date
from typing import Any

from lessons.actions.edits import pin_session
from lessons.models import Plan, Session
from school.models import School
from tests.factories import SchoolFactory
from tests.lessons.factories import PlanFactory, SessionFactory, offer_hours


def movable(school: School | None = None, **fields: Any) -> Session:
    """The one session of a draft, whose instructor could teach it at any time."""
    plan = PlanFactory.create(school=school or SchoolFactory.create())
    session: Session = SessionFactory.create(plan=plan, **fields)
    session.instructor.stations.add(session.visit.station)
    offer_hours(session.instructor, plan.school)
    return session


def build_by_hand(starts_on: date) -> Session:
    """A session that can be moved, in a draft with steps and another timetable beside it."""
    session = movable(SchoolFactory.create(starts_on=starts_on))
    PlanFactory.create(school=session.plan.school)
    for pinned in (True, False):
        pin_session(session=session, pinned=pinned, actor=None)
    return session


def by_hand_addresses(session: Session) -> dict[str, list[Any]]:
    of_plan = ("edit", "check", "copy", "move", "pin", "undo", "compare")
    return {
        **{f"plan_{name}": [session.plan_id] for name in of_plan},
        "plan_session": [session.plan_id, session.pk],
        "plan_places": [session.plan_id, session.pk],
    }


def by_hand_queries(session: Session) -> dict[str, dict[str, Any]]:
    other = Plan.objects.filter(school=session.plan.school).exclude(pk=session.plan_id).get()
    return {"plan_compare": {"with": other.pk}}


def wish(session: Session, **changed: Any) -> dict[str, Any]:
    """The session's place as the form sends it, but for what is changed."""
    place = {"day": 0, "slot": 0, "bay": session.bay_id, "instructor": session.instructor_id}
    return {"session": session.pk, **place, **changed}


def by_hand_writes(session: Session) -> dict[str, dict[str, Any]]:
    return {
        "plan_copy": {},
        "plan_move": wish(session, day=1),
        "plan_pin": {"session": session.pk, "pinned": "1"},
        "plan_undo": {},
    }
