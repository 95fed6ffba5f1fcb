"""A timetable is published: it takes what it needs, or the one before stays."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from lessons.actions import publishing
from lessons.actions.edits import copy_plan
from lessons.actions.holds import take_holds
from lessons.actions.plans import request_plan
from lessons.actions.publishing import publish_plan
from lessons.actions.searching import find_plan
from lessons.errors import BayOrPersonTaken, PlanNotPublishable
from lessons.models import Bay, Hold, Instructor, Plan, Session
from lessons.queries.clashes import clashes
from lessons.queries.fit import objections
from lessons.queries.slots import span
from school.models import School
from tests.factories import EnrolmentFactory, SchoolFactory
from tests.lessons.factories import (
    BayFactory,
    InstructorFactory,
    PlanFactory,
    SessionFactory,
    SquadMemberFactory,
    StationFactory,
    VisitFactory,
    drafted,
    offer_hours,
    small_school,
)

pytestmark = pytest.mark.django_db


def found(school: School, **fields: Any) -> Plan:
    """A plan of the school as the worker finds it."""
    plan = request_plan(school=school, actor=None, seconds=10, **fields)
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert plan.state == Plan.State.DONE, plan.reason
    return plan


def published(school: School) -> Plan:
    plan = found(school)
    publish_plan(plan=plan, actor=None)
    plan.refresh_from_db()
    return plan


def teacher() -> Instructor:
    instructor: Instructor = InstructorFactory.create(teaches=[StationFactory.create()])
    offer_hours(instructor, SchoolFactory.build())
    return instructor


def draft(bay: Bay, instructor: Instructor, **fields: Any) -> Plan:
    """A plan of one session, in the first slot of the first day, that fits what is set up."""
    plan: Plan = PlanFactory.create(**fields)
    visit = plan.school.programme.visits.first() or VisitFactory.create(
        programme=plan.school.programme, station=instructor.stations.get()
    )
    squad = plan.school.squads.first() or SquadMemberFactory.create(squad__school=plan.school).squad
    SessionFactory.create(plan=plan, visit=visit, squad=squad, bay=bay, instructor=instructor)
    return plan


def private_lesson(session: Session) -> None:
    take_holds(
        note="private lesson",
        bay=session.bay,
        instructor=None,
        starts_at=session.starts_at,
        ends_at=session.ends_at,
        actor=None,
    )


def holds_of(plan: Plan) -> int:
    return Hold.objects.filter(session__plan=plan).count()


def test_publishing_holds_each_bay_person_and_squad_by_the_quarter_hour() -> None:
    plan = published(small_school())
    sessions = plan.sessions.count()
    assert plan.is_published
    assert holds_of(plan) == sessions * 3 * 3  # three resources, three quarters of an hour


def test_a_new_timetable_takes_the_place_of_the_old() -> None:
    school = small_school()
    old, new = published(school), published(school)
    old.refresh_from_db()
    assert (old.is_published, new.is_published) == (False, True)
    assert (holds_of(old), holds_of(new)) == (0, new.sessions.count() * 9)


def test_a_timetable_is_not_published_twice() -> None:
    plan = published(small_school())
    with pytest.raises(PlanNotPublishable, match="already published"):
        publish_plan(plan=plan, actor=None)


def test_a_search_is_not_published() -> None:
    with pytest.raises(PlanNotPublishable, match="not ready"):
        publish_plan(plan=PlanFactory.create(state="queued"), actor=None)


def test_a_clash_leaves_the_old_timetable_in_place() -> None:
    bay, instructor = BayFactory.create(name="Studio 1"), teacher()
    old = draft(bay, instructor)
    publish_plan(plan=old, actor=None)
    new = draft(BayFactory.create(name="Range 2"), instructor, school=old.school)
    private_lesson(new.sessions.get())
    before = set(Hold.objects.values_list("pk", flat=True))
    with pytest.raises(
        BayOrPersonTaken, match="Range 2 is taken on Friday 7 May, 09:00 to 09:45, by “private les"
    ):
        publish_plan(plan=new, actor=None)
    old.refresh_from_db()
    assert old.is_published
    assert set(Hold.objects.values_list("pk", flat=True)) == before


def test_the_constraint_has_the_last_word(monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody takes the bay between the look and the writing."""
    plan = draft(BayFactory.create(), teacher())
    private_lesson(plan.sessions.get())
    looks: list[int] = []

    def blind_at_first(wants: Any, **kwargs: Any) -> Any:
        looks.append(1)
        return [] if len(looks) == 1 else clashes(wants, **kwargs)

    monkeypatch.setattr(publishing, "clashes", blind_at_first)
    monkeypatch.setattr(publishing, "objections", lambda plan: [])
    with pytest.raises(BayOrPersonTaken, match="is taken"):
        publish_plan(plan=plan, actor=None)
    plan.refresh_from_db()
    assert (plan.is_published, holds_of(plan), len(looks)) == (False, 0, 2)


def test_two_drafts_for_one_bay_cannot_both_be_published() -> None:
    bay, instructor = BayFactory.create(), teacher()
    first, second = draft(bay, instructor), draft(bay, instructor)
    publish_plan(plan=first, actor=None)
    with pytest.raises(BayOrPersonTaken, match=f"by {first.school.name}"):
        publish_plan(plan=second, actor=None)


def test_two_schools_that_share_bays_and_people_never_meet() -> None:
    first = small_school(attendees=8, bays=1)
    second = small_school(attendees=8, bays=0, instructors=0, starts_on=first.starts_on)
    for school in (first, second):
        published(school)
    held = Hold.objects.filter(bay__isnull=False).values_list("bay", "quarter_hour")
    assert len(held) == len(set(held)) == 2 * 6 * 3  # schools, sessions, quarters of an hour


def test_a_draft_that_no_longer_fits_is_refused() -> None:
    plan = found(small_school())
    Bay.objects.update(is_open=False)
    with pytest.raises(PlanNotPublishable, match="is closed"):
        publish_plan(plan=plan, actor=None)


def test_a_draft_that_moves_what_took_place_meanwhile_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Begun on Friday at half past ten, published on Saturday."""
    plan = drafted(small_school(attendees=0))
    publish_plan(plan=plan, actor=None)
    moment = plan.school.slot_instant(0, 2)
    monkeypatch.setattr(timezone, "now", lambda: moment)
    copy = copy_plan(plan=plan, actor=None)
    for session in copy.sessions.filter(starts_at=moment):
        when = span(plan.school, 2, 7)
        session.starts_at, session.ends_at = when.starts_at, when.ends_at
        session.save(update_fields=["starts_at", "ends_at"])
    assert objections(copy) == []
    moment = plan.school.slot_instant(1, 2)
    with pytest.raises(PlanNotPublishable, match="is over and cannot be changed"):
        publish_plan(plan=copy, actor=None)


def test_a_draft_without_a_new_squad_is_refused() -> None:
    school = small_school(attendees=4)
    plan = found(school)
    for _ in range(4):
        EnrolmentFactory.create(school=school)
    found(school, remake_squads=True)
    with pytest.raises(PlanNotPublishable, match="Squad 2 has no time for"):
        publish_plan(plan=plan, actor=None)


def test_a_draft_outside_changed_hours_is_refused() -> None:
    plan = found(small_school())
    for instructor in Instructor.objects.all():
        instructor.hours.all().delete()
    with pytest.raises(PlanNotPublishable, match="is not free on day 1"):
        publish_plan(plan=plan, actor=None)


def test_publishing_costs_the_same_for_a_larger_school(monkeypatch: pytest.MonkeyPatch) -> None:
    """But for the messages, of which each is a row of its own."""
    monkeypatch.setattr(publishing, "tell_whose_day_changed", lambda plan, before: None)

    def counted(squads: int) -> int:
        plan = drafted(small_school(attendees=0, bays=squads, instructors=squads), squads)
        with CaptureQueriesContext(connection) as queries:
            publish_plan(plan=plan, actor=None)
        return len(queries)

    assert counted(2) == counted(4)


# Parts of bays


def shared(capacity: int = 2, **visit: Any) -> list[Session]:
    """Two squads in one bay at once, each with its own instructor unless they are a group."""
    school = small_school(attendees=0, bays=0)
    school.programme.visits.all().delete()
    wanted = VisitFactory.create(
        programme=school.programme, station=StationFactory.create(slug="swing"), **visit
    )
    bay, people = BayFactory.create(capacity=capacity), list(Instructor.objects.all())
    plan = PlanFactory.create(school=school)
    if wanted.group_ratio:
        people = [people[0], people[0]]
    return [
        SessionFactory.create(plan=plan, visit=wanted, bay=bay, instructor=person)
        for person in people
    ]


def parts_of(plan: Plan) -> list[int]:
    """Of the bay in the first quarter hour."""
    start = plan.school.slot_instant(0, 0)
    held = Hold.objects.filter(session__plan=plan, bay__isnull=False, quarter_hour=start)
    return sorted(held.values_list("part", flat=True))


@pytest.mark.parametrize(("visit", "teaching"), [({}, 2), ({"group_ratio": 8}, 1)])
def test_squads_in_one_bay_take_a_part_each(visit: dict[str, Any], teaching: int) -> None:
    plan = shared(**visit)[0].plan
    publish_plan(plan=plan, actor=None)
    assert parts_of(plan) == [1, 2]
    assert Hold.objects.filter(instructor__isnull=False).count() == teaching * 3
    assert Hold.objects.filter(squad__isnull=False).count() == 2 * 3


def test_a_bay_is_held_only_until_the_squad_moves_on() -> None:
    (session, _) = shared(slots=3, bay_slots=1)
    ends_at = session.starts_at + timedelta(minutes=135)
    session.plan.sessions.update(ends_at=ends_at)
    publish_plan(plan=session.plan, actor=None)
    assert Hold.objects.filter(bay__isnull=False).count() == 2 * 3
    assert Hold.objects.filter(instructor__isnull=False).count() == 2 * 9


@pytest.mark.parametrize("fault", ["full", "mixed", "instructor"])
def test_what_cannot_share_is_refused_by_the_constraints_too(
    fault: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody looks, and the parts and people still cannot be taken twice."""
    one, other = shared(capacity=1 if fault == "full" else 2)
    if fault == "mixed":
        other.visit = VisitFactory.create(programme=one.plan.school.programme)
        other.save(update_fields=["visit"])
    if fault == "instructor":
        other.bay, other.instructor = BayFactory.create(), one.instructor
        other.save(update_fields=["bay", "instructor"])
    monkeypatch.setattr(publishing, "objections", lambda plan: [])
    with pytest.raises(IntegrityError):
        publish_plan(plan=one.plan, actor=None)
    assert not Hold.objects.exists()


def test_no_other_school_gets_in_beside(monkeypatch: pytest.MonkeyPatch) -> None:
    (session, other) = shared()
    other.squad.delete()
    publish_plan(plan=session.plan, actor=None)
    second = draft(session.bay, teacher())
    with pytest.raises(BayOrPersonTaken, match=f"by {session.plan.school.name}"):
        publish_plan(plan=second, actor=None)
    monkeypatch.setattr(publishing, "_refuse_if_taken", lambda plan: None)
    monkeypatch.setattr(publishing, "objections", lambda plan: [])
    with pytest.raises(IntegrityError):
        publish_plan(plan=second, actor=None)


def test_a_private_lesson_leaves_no_part_of_a_bay() -> None:
    (session, _) = shared(capacity=3)
    private_lesson(session)
    with pytest.raises(BayOrPersonTaken, match="by “private lesson”"):
        publish_plan(plan=session.plan, actor=None)
