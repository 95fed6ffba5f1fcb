"""A timetable is asked for, found and published."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from lessons.actions import plans
from lessons.actions.holds import take_holds
from lessons.actions.plans import find_plan, publish_plan, request_plan
from lessons.errors import BayOrPersonTaken, NobodyToPlan, PlanNotPublishable, SearchUnderWay
from lessons.models import Bay, Hold, Instructor, Plan, Session
from lessons.planner.plan import OutOfTime
from lessons.planner.solve import solve
from lessons.queries.clashes import clashes
from school.actions import jobs
from school.errors import WrongState
from school.models import Account, School
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


# Asking


def test_a_request_is_a_queued_job(front_desk: Account) -> None:
    school = small_school()
    plan = request_plan(school=school, actor=front_desk, seconds=30)
    assert (plan.state, plan.seconds, plan.requested_by) == ("queued", 30, front_desk)


def test_a_request_wakes_the_worker_once_it_is_committed(
    monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Callable[..., Any]
) -> None:
    sent: list[tuple[str, int]] = []
    monkeypatch.setattr(jobs, "_send", lambda task, pk: sent.append((task, pk)))
    with django_capture_on_commit_callbacks(execute=True):
        plan = request_plan(school=small_school(), actor=None)
        assert sent == []
    assert sent == [("lessons.find_plan", plan.pk)]


def test_two_searches_of_a_school_do_not_run_at_once() -> None:
    school = small_school()
    request_plan(school=school, actor=None)
    with pytest.raises(SearchUnderWay, match="already being looked for"):
        request_plan(school=school, actor=None)


def test_an_empty_school_is_not_planned() -> None:
    with pytest.raises(NobodyToPlan):
        request_plan(school=SchoolFactory.create(), actor=None)


def test_a_closed_school_is_not_planned() -> None:
    school = small_school(state=School.State.CLOSED, closed_at=timezone.now())
    with pytest.raises(WrongState):
        request_plan(school=school, actor=None)


# Finding


def test_every_squad_gets_every_visit() -> None:
    school = small_school(attendees=9)
    plan = found(school)
    squads, visits = school.squads.count(), school.programme.visits.count()
    assert (squads, visits) == (3, 3)
    assert plan.sessions.values("squad", "visit").distinct().count() == squads * visits
    assert {goal["name"] for goal in plan.goals} >= {"idle", "fairness"}


def test_a_session_lasts_its_visits_slots_from_a_slot_of_the_school() -> None:
    school = small_school(attendees=1)
    school.programme.visits.filter(slug="lesson-0").update(slots=3)
    session = found(school).sessions.get(visit__slug="lesson-0")
    starts = {school.slot_instant(day, slot) for day in range(3) for slot in range(8)}
    assert session.ends_at - session.starts_at == timedelta(minutes=135)
    assert session.starts_at in starts


def test_a_plan_that_is_found_holds_nothing() -> None:
    found(small_school())
    assert not Hold.objects.exists()


def test_no_timetable_is_an_answer_in_words_and_is_not_tried_again() -> None:
    school = small_school(bays=0)
    plan = request_plan(school=school, actor=None)
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert (plan.state, plan.failures) == (Plan.State.PARKED, 0)
    assert plan.reason == "Each of these rules out any timetable."
    assert plan.conflicts
    assert all(conflict["words"] for conflict in plan.conflicts)


def test_what_contradicts_itself_is_said() -> None:
    school = small_school()
    school.programme.visits.filter(slug="lesson-1").update(first_day=6)
    plan = request_plan(school=school, actor=None)
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert plan.state == Plan.State.PARKED
    assert "allowed on at least one day" in plan.conflicts[0]["words"]


def test_time_that_runs_out_is_an_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    def slow(*args: Any, **kwargs: Any) -> None:
        raise OutOfTime("No plan was found in 20 s, and none ruled out.")

    monkeypatch.setattr(plans, "solve", slow)
    plan = request_plan(school=small_school(), actor=None)
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert (plan.state, plan.failures) == (Plan.State.PARKED, 0)
    assert "none ruled out" in plan.reason


def test_a_fault_of_the_search_is_tried_again(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*args: Any, **kwargs: Any) -> None:
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr(plans, "solve", broken)
    plan = request_plan(school=small_school(), actor=None)
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert (plan.state, plan.failures) == (Plan.State.QUEUED, 1)
    assert "fault of ours" not in plan.reason


def test_who_lost_the_lease_writes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    school = small_school()
    plan = request_plan(school=school, actor=None)

    def solve_while_another_takes_over(*args: Any, **kwargs: Any) -> Any:
        answer = solve(*args, **kwargs)
        Plan.objects.filter(pk=plan.pk).update(token=uuid4())
        return answer

    monkeypatch.setattr(plans, "solve", solve_while_another_takes_over)
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert (plan.state, plan.goals) == (Plan.State.RUNNING, [])
    assert not Session.objects.exists()


def test_a_plan_somebody_works_on_is_left_alone() -> None:
    plan = request_plan(school=small_school(), actor=None)
    token = jobs.claim(Plan, plan.pk)
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert (plan.token, plan.claims) == (token, 1)


def test_state_and_person_are_checked_again_when_the_work_begins(front_desk: Account) -> None:
    school = small_school()
    plan = request_plan(school=school, actor=front_desk)
    front_desk.staff.delete()
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert plan.state == Plan.State.PARKED
    assert "front desk" in plan.reason


# Publishing


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

    monkeypatch.setattr(plans, "clashes", blind_at_first)
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
