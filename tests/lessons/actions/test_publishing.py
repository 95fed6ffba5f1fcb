"""A timetable is published: it takes what it needs, or the one before stays."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lessons.actions import publishing
from lessons.actions.holds import take_holds
from lessons.actions.plans import find_plan, request_plan
from lessons.actions.publishing import publish_plan
from lessons.errors import BayOrPersonTaken, PlanNotPublishable
from lessons.models import Bay, Hold, Instructor, Plan, Session
from lessons.queries.clashes import clashes
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
    with pytest.raises(PlanNotPublishable, match="does not teach on Friday"):
        publish_plan(plan=plan, actor=None)


def test_publishing_costs_the_same_for_a_larger_school() -> None:
    def counted(attendees: int) -> int:
        plan = found(small_school(attendees=attendees, bays=8, instructors=4))
        with CaptureQueriesContext(connection) as queries:
            publish_plan(plan=plan, actor=None)
        return len(queries)

    assert counted(4) == counted(8)
