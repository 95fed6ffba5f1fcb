"""Two timetables side by side."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lessons.models import Plan, Session
from lessons.queries.comparison import Change, Comparison, comparison
from tests.lessons.factories import (
    BayFactory,
    InstructorFactory,
    SessionFactory,
    SquadMemberFactory,
    VisitFactory,
    drafted,
    small_school,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def old() -> Plan:
    return drafted(small_school(attendees=0), goals=[{"name": "idle", "value": 0}])


def changed(old: Plan, **fields: Any) -> Plan:
    """The same plan with other fields in the last session of the first squad."""
    last = old.sessions.filter(squad__number=1).latest("starts_at")
    new = Plan.objects.create(
        school=old.school,
        state=Plan.State.DONE,
        goals=[{"name": "moved", "value": 1}, {"name": "idle", "value": 2}],
    )
    for session in old.sessions.all():
        for name, value in fields.items() if session == last else ():
            setattr(session, name, value)
        session.pk, session.plan = None, new
        session.save(force_insert=True)
    return new


def last_of(plan: Plan) -> Session:
    found: Session = plan.sessions.filter(squad__number=1).latest("starts_at")
    return found


def moved(old: Plan) -> Comparison:
    starts_at = old.school.slot_instant(1, 6)
    new = changed(old, starts_at=starts_at, ends_at=starts_at + timedelta(minutes=45))
    return comparison(old, new)


def test_a_plan_is_the_same_as_itself(old: Plan) -> None:
    found = comparison(old, changed(old))
    assert (found.is_same, found.golfers_moved) == (True, 0)


def test_whose_day_differs_is_named_with_what_was_and_what_is(old: Plan) -> None:
    (golfer,) = moved(old).golfers
    session = last_of(old)
    where = f"{session.visit}, {session.bay}, {session.instructor}"
    assert golfer.who == session.squad.members.get().enrolment.golfer.full_name
    assert golfer.squad == "Squad 1"
    assert golfer.changes == (
        Change(f"Fri 10:30 to 11:15: {where}", f"Sat 14:30 to 15:15: {where}"),
    )


def test_instructors_and_bays_are_told_whom_they_have(old: Plan) -> None:
    found, session = moved(old), last_of(old)
    what = f"{session.visit} of Squad 1"
    (instructor,), (bay,) = found.instructors, found.bays
    assert (instructor.pk, bay.who) == (session.instructor_id, session.bay.name)
    assert instructor.changes[0].was == f"Fri 10:30 to 11:15: {what}, {session.bay}"
    assert bay.changes[0].now == f"Sat 14:30 to 15:15: {what}, {session.instructor}"


def test_all_of_a_squad_who_have_a_seat_are_moved(old: Plan) -> None:
    squad = last_of(old).squad
    SquadMemberFactory.create(squad=squad)
    SquadMemberFactory.create(squad=squad, enrolment__state="waiting", enrolment__seat=None)
    assert moved(old).golfers_moved == 2


def test_another_instructor_moves_nobody_but_changes_three_days(old: Plan) -> None:
    other = InstructorFactory.create(staff__account__full_name="Zoe Other")
    found = comparison(old, changed(old, instructor=other))
    assert (found.golfers_moved, len(found.golfers)) == (0, 1)
    (one, two) = found.instructors
    assert (one.changes[0].now, two.changes[0].was) == ("", "")
    assert two.who == "Zoe Other"


def test_without_a_plan_before_everything_is_new(old: Plan) -> None:
    found = comparison(None, old)
    assert (len(found.golfers), len(found.instructors), len(found.bays)) == (2, 2, 2)
    assert {change.was for golfer in found.golfers for change in golfer.changes} == {""}
    assert [len(golfer.changes) for golfer in found.golfers] == [3, 3]


def test_a_talk_is_one_session_of_its_instructor(old: Plan) -> None:
    talk = VisitFactory.create(programme=old.school.programme, name="Talk", group_ratio=8)
    new, bay, person = changed(old), BayFactory.create(capacity=2), InstructorFactory.create()
    for squad in old.school.squads.all():
        SessionFactory.create(
            plan=new,
            visit=talk,
            squad=squad,
            bay=bay,
            instructor=person,
            starts_at=old.school.slot_instant(2, 0),
        )
    (instructor,) = comparison(old, new).instructors
    assert instructor.changes == (Change("", f"Sun 09:00 to 09:45: Talk of Squads 1, 2, {bay}"),)


def test_what_happens_twice_is_compared_in_order(old: Plan) -> None:
    """Only the later of two sessions of one visit moves."""
    again = last_of(old)
    again.pk, again.starts_at = None, old.school.slot_instant(1, 0)
    again.ends_at = again.starts_at + timedelta(minutes=45)
    again.save(force_insert=True)
    starts_at = old.school.slot_instant(2, 0)
    new = changed(old, starts_at=starts_at, ends_at=starts_at + timedelta(minutes=45))
    (change,) = comparison(old, new).golfers[0].changes
    assert change.was.startswith("Sat 09:00")
    assert change.now.startswith("Sun 09:00")


def test_goals_stand_side_by_side(old: Plan) -> None:
    pairs = comparison(old, changed(old)).goals
    assert [(pair.name, pair.was, pair.now) for pair in pairs] == [
        ("moved", None, 1),
        ("idle", 0, 2),
    ]


def test_comparing_costs_the_same_for_a_larger_school() -> None:
    def counted(squads: int) -> int:
        old = drafted(small_school(attendees=0, bays=squads, instructors=squads), squads)
        new = changed(old)
        with CaptureQueriesContext(connection) as queries:
            comparison(old, new)
        return len(queries)

    assert counted(2) == counted(4) == 3
