"""A timetable is asked for and found."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from lessons.actions.plans import request_plan
from lessons.actions.searching import find_plan
from lessons.errors import NobodyToPlan, SearchUnderWay
from lessons.models import Hold, Plan, Session
from lessons.planner.plan import OutOfTime
from lessons.planner.solve import solve
from school.actions import jobs
from school.errors import WrongState
from school.models import Account, School
from tests.factories import SchoolFactory
from tests.lessons.factories import small_school

pytestmark = pytest.mark.django_db


def found(school: School, **fields: Any) -> Plan:
    """A plan of the school as the worker finds it."""
    plan = request_plan(school=school, actor=None, seconds=10, **fields)
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert plan.state == Plan.State.DONE, plan.reason
    return plan


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

    monkeypatch.setattr("lessons.planner.solve.solve", slow)
    plan = request_plan(school=small_school(), actor=None)
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert (plan.state, plan.failures) == (Plan.State.PARKED, 0)
    assert "none ruled out" in plan.reason


def test_a_fault_of_the_search_is_tried_again(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*args: Any, **kwargs: Any) -> None:
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr("lessons.planner.solve.solve", broken)
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

    monkeypatch.setattr("lessons.planner.solve.solve", solve_while_another_takes_over)
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
