"""Who is told of a timetable, and what."""

from datetime import timedelta

import pytest

from lessons.actions.edits import copy_plan, move_session
from lessons.actions.publishing import publish_plan
from lessons.errors import PlanNotPublishable
from lessons.models import Bay, Instructor, Plan, Session
from school.models import Message, MessageKind
from tests.lessons.factories import drafted, small_school

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan() -> Plan:
    """Two squads of one golfer; the first timetable of their school."""
    made = drafted(small_school(attendees=0, bays=3, instructors=2))
    publish_plan(plan=made, actor=None)
    return made


def told() -> list[Message]:
    return list(Message.objects.filter(kind=MessageKind.TIMETABLE_CHANGED).order_by("pk"))


def last_of(plan: Plan, squad: int = 1) -> Session:
    found: Session = plan.sessions.filter(squad__number=squad).latest("starts_at")
    return found


def with_last_moved(plan: Plan) -> Plan:
    """A copy in which the last session of the first squad is on Sunday at nine."""
    copy = copy_plan(plan=plan, actor=None)
    session = last_of(copy)
    move_session(
        session=session, day=2, slot=0, bay=session.bay, instructor=session.instructor, actor=None
    )
    return copy


def test_everybody_with_a_session_is_told_of_the_first(plan: Plan) -> None:
    sent = Message.objects.filter(kind=MessageKind.TIMETABLE_READY)
    golfers = [message for message in sent if message.enrolment]
    assert (len(golfers), len(sent)) == (2, 4)
    assert "Fri 09:00 to 09:45: " in golfers[0].body
    assert golfers[0].body.count(" to ") >= 3
    assert "/mine/" in golfers[0].body


def test_instructors_are_told_whom_they_have(plan: Plan) -> None:
    person = last_of(plan).instructor
    message = Message.objects.get(to=person.staff.account.email)
    assert message.body.startswith(f"Dear {person},")
    assert f" of Squad 1, {last_of(plan).bay}" in message.body
    assert f"/day/{plan.school.starts_on}/" in message.body


def test_only_those_whose_day_changed_are_told(plan: Plan) -> None:
    publish_plan(plan=with_last_moved(plan), actor=None)
    session = last_of(plan)
    golfer = session.squad.members.get().enrolment.golfer
    assert {message.to for message in told()} == {
        golfer.email,
        session.instructor.staff.account.email,
    }


def test_a_change_is_told_with_what_was(plan: Plan) -> None:
    publish_plan(plan=with_last_moved(plan), actor=None)
    session, message = last_of(plan), told()[0]
    where = f"{session.visit}, {session.bay}, {session.instructor}"
    assert f"Sun 09:00 to 09:45: {where}\n  instead of Fri 10:30 to 11:15: {where}" in message.body


def test_who_loses_a_session_is_told_so(plan: Plan) -> None:
    copy = copy_plan(plan=plan, actor=None)
    session = last_of(copy)
    other = Instructor.objects.exclude(pk=session.instructor_id).get()
    move_session(session=session, day=2, slot=0, bay=session.bay, instructor=other, actor=None)
    publish_plan(plan=copy, actor=None)
    message = next(m for m in told() if m.to == session.instructor.staff.account.email)
    assert "No more: Fri 10:30 to 11:15" in message.body


def test_nobody_is_told_of_the_same_timetable(plan: Plan) -> None:
    publish_plan(plan=copy_plan(plan=plan, actor=None), actor=None)
    assert told() == []


def test_going_back_to_an_earlier_timetable_is_told_again(plan: Plan) -> None:
    publish_plan(plan=with_last_moved(plan), actor=None)
    Plan.objects.filter(pk=plan.pk).update(published_at=plan.school.slot_instant(0, 0))
    plan.refresh_from_db()
    publish_plan(plan=plan, actor=None)
    assert len(told()) == 4
    assert "Fri 10:30 to 11:15" in told()[-1].body


def test_what_is_not_published_is_not_told(plan: Plan) -> None:
    copy = with_last_moved(plan)
    Bay.objects.update(is_open=False)
    with pytest.raises(PlanNotPublishable):
        publish_plan(plan=copy, actor=None)
    assert told() == []


def test_a_minors_guardian_is_told_too() -> None:
    school = small_school(attendees=0, bays=1, instructors=1)
    made = drafted(school, squads=1)
    member = made.school.squads.get().members.get()
    golfer = member.enrolment.golfer
    golfer.birth_date = school.starts_on - timedelta(days=3650)
    golfer.guardian_email = "guardian@example.org"
    golfer.save()
    publish_plan(plan=made, actor=None)
    assert Message.objects.filter(to="guardian@example.org").count() == 1
