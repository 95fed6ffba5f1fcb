"""What the worker does with a search: how far it is, when it ends early, what it keeps."""

import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from itertools import chain, repeat
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from lessons.actions import searching
from lessons.actions.plans import request_plan, request_replan, stop_search
from lessons.actions.searching import find_plan
from lessons.errors import NothingToPlanAgain, NothingToStop, SearchUnderWay
from lessons.models import Plan, Session
from lessons.planner.plan import Conflict, Goal, NoPlan, OutOfTime, Placement, Progress, WayOut
from lessons.planner.plan import Plan as Answer
from lessons.planner.problem import Problem
from lessons.queries.plans import search_so_far
from school.actions import jobs
from school.errors import WrongState
from school.models import Account, AuditEntry, School
from tests.factories import SchoolFactory
from tests.lessons.factories import PlanFactory, SessionFactory, small_school

pytestmark = pytest.mark.django_db
Told = Callable[[Progress], bool]


def progress(idle: int) -> Progress:
    return Progress("all goals", {"idle": idle}, {"idle": 1}, 2.5)


def answer_of(problem: Problem, *rows: Placement) -> Answer:
    return Answer(rows, (Goal("idle", 3, 1, proven=False),), "feasible", 1, 2.5, "test")


@pytest.fixture
def solver(monkeypatch: pytest.MonkeyPatch) -> Callable[[Callable[..., Any]], None]:
    """Puts something else in the place of the planner; the clock of the watch stands still."""

    def put(solve: Callable[..., Any]) -> None:
        monkeypatch.setattr("lessons.planner.solve.solve", solve)
        monkeypatch.setattr(searching, "TELL_EVERY_S", 0.0)

    return put


def searched(school: School | None = None) -> Plan:
    plan = request_plan(school=school or small_school(4), actor=None)
    find_plan(plan.pk)
    plan.refresh_from_db()
    return plan


# How far it is


def test_the_row_is_told_how_far_the_search_is(solver: Callable[..., None]) -> None:
    seen: list[dict[str, Any]] = []

    def solve(problem: Problem, on_progress: Told, **kwargs: Any) -> Answer:
        for idle in (5, 3):
            assert on_progress(progress(idle))
            seen.append(Plan.objects.get().progress)
        return answer_of(problem)

    solver(solve)
    assert searched().state == Plan.State.DONE
    assert [told["values"] for told in seen] == [{"idle": 5}, {"idle": 3}]
    assert seen[0]["bounds"] == {"idle": 1}


def test_the_row_is_told_at_most_once_a_second(
    solver: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    clock: Iterator[float] = chain([10.0, 10.9, 11.0], repeat(11.0))

    def solve(problem: Problem, on_progress: Told, **kwargs: Any) -> Answer:
        told = []
        for idle in (5, 4, 3):
            on_progress(progress(idle))
            told.append(Plan.objects.get().progress["values"]["idle"])
        assert told == [5, 5, 3]
        return answer_of(problem)

    solver(solve)
    monkeypatch.setattr(searching, "TELL_EVERY_S", 1.0)
    monkeypatch.setattr(time, "monotonic", lambda: next(clock))
    assert searched().state == Plan.State.DONE


def test_a_search_that_is_heard_of_keeps_its_lease(solver: Callable[..., None]) -> None:
    def solve(problem: Problem, on_progress: Told, **kwargs: Any) -> Answer:
        Plan.objects.update(lease_until=timezone.now() + timedelta(seconds=1))
        assert on_progress(progress(5))
        lasts_until = timezone.now() + Plan.LEASE - timedelta(seconds=30)
        assert Plan.objects.filter(lease_until__gt=lasts_until).exists()
        return answer_of(problem)

    solver(solve)
    assert searched().state == Plan.State.DONE


def test_who_lost_the_lease_is_told_to_end_and_writes_nothing(solver: Callable[..., None]) -> None:
    def solve(problem: Problem, on_progress: Told, **kwargs: Any) -> Answer:
        Plan.objects.update(token=uuid4())
        assert not on_progress(progress(5))
        return answer_of(problem)

    solver(solve)
    plan = searched()
    assert (plan.state, plan.progress, plan.goals) == (Plan.State.RUNNING, {}, [])


def test_the_page_reads_what_the_row_was_told() -> None:
    now = timezone.now()
    plan = PlanFactory.build(
        seconds=20,
        progress={"values": {"walking": 61, "idle": 2}, "bounds": {"idle": 2}, "seconds": 7.0},
        lease_until=now + Plan.LEASE - timedelta(seconds=2),
    )
    search = search_so_far(plan, now)
    assert search.spent == 9
    assert [(each.best, each.bound, each.proven) for each in search.goals] == [
        ("61 minutes", "", False),
        ("2", "2", True),
    ]


def test_a_search_that_waits_has_spent_nothing() -> None:
    search = search_so_far(PlanFactory.build(state="queued"), timezone.now())
    assert (search.spent, search.goals, search.is_stopping) == (None, (), False)


# Taking what there is


def test_the_search_ends_when_the_desk_takes_what_there_is(
    solver: Callable[..., None], front_desk: Account
) -> None:
    def solve(problem: Problem, on_progress: Told, **kwargs: Any) -> Answer:
        assert on_progress(progress(5))
        stop_search(plan=Plan.objects.get(), actor=front_desk)
        assert not on_progress(progress(3))
        assert not on_progress(progress(3))
        return answer_of(problem)

    solver(solve)
    plan = searched()
    assert (plan.state, plan.goals[0]["value"]) == (Plan.State.DONE, 3)
    assert AuditEntry.objects.get(verb="stop_search").actor == front_desk


def test_ending_it_before_the_first_timetable_says_so(solver: Callable[..., None]) -> None:
    def solve(problem: Problem, on_progress: Told, **kwargs: Any) -> Answer:
        stop_search(plan=Plan.objects.get(), actor=None)
        assert not on_progress(Progress("first plan", {}, {}, 1.0))
        raise OutOfTime("No plan was found in 20 s, and none ruled out.")

    solver(solve)
    plan = searched()
    assert plan.state == Plan.State.PARKED
    assert plan.reason == "The search was ended before it had found a timetable."


def test_a_search_that_waits_is_given_up() -> None:
    plan = request_plan(school=small_school(1), actor=None)
    stop_search(plan=plan, actor=None)
    plan.refresh_from_db()
    assert (plan.state, plan.reason) == (Plan.State.PARKED, "The search was given up.")
    assert jobs.claim(Plan, plan.pk) is None


def test_a_search_that_has_ended_cannot_be_ended() -> None:
    with pytest.raises(NothingToStop):
        stop_search(plan=PlanFactory.create(), actor=None)


# Why not


def test_ways_out_are_kept_beside_the_clash(solver: Callable[..., None]) -> None:
    def solve(*args: Any, **kwargs: Any) -> Answer:
        clash = Conflict("hours", "Nobody teaches in the morning.")
        raise NoPlan([clash], ways_out=[WayOut("hours", "One more hour of Ines.")])

    solver(solve)
    plan = searched()
    assert plan.conflicts == [{"rule": "hours", "words": "Nobody teaches in the morning."}]
    assert plan.ways_out == [{"words": "One more hour of Ines."}]


# What is written


def test_squads_that_are_together_name_their_instructors_in_turn(
    solver: Callable[..., None],
) -> None:
    school = small_school(9)

    def solve(problem: Problem, **kwargs: Any) -> Answer:
        pair = tuple(sorted(person.key for person in problem.instructors))
        visit, bay = problem.visits[0].key, problem.bays[0].key
        rows = [Placement(squad.key, visit, 0, 0, bay, pair) for squad in problem.squads]
        return answer_of(problem, *reversed(rows))

    solver(solve)
    sessions = list(searched(school).sessions.order_by("squad__number"))
    one, two, three = (session.instructor_id for session in sessions)
    assert (one < two, one == three) == (True, True)


def test_the_seed_is_kept_and_given_to_the_planner(solver: Callable[..., None]) -> None:
    seeds: list[int] = []

    def solve(problem: Problem, seed: int, **kwargs: Any) -> Answer:
        seeds.append(seed)
        return answer_of(problem)

    solver(solve)
    school = small_school(1)
    plans = [searched(school), searched(school)]
    assert seeds == [plan.seed for plan in plans]
    assert seeds[0] != seeds[1]


def test_a_search_takes_what_there_is_of_the_planner_itself() -> None:
    """With the planner as it is: the first timetable is taken or all goals are proven."""
    school = small_school(4)
    plan = request_plan(school=school, actor=None, seconds=10, seed=1)
    Plan.objects.filter(pk=plan.pk).update(stop_asked_at=timezone.now())
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert plan.is_finished
    assert plan.state == Plan.State.DONE or "ended before" in plan.reason


# Again


def published_school() -> School:
    school = small_school(4)
    plan = searched(school)
    assert plan.state == Plan.State.DONE, plan.reason
    Plan.objects.filter(pk=plan.pk).update(is_published=True, published_at=timezone.now())
    return school


def test_planning_again_is_a_search_based_on_what_is_published(front_desk: Account) -> None:
    session = SessionFactory.create(plan__school=small_school(1))
    school = session.plan.school
    since = school.slot_instant(1, 2)
    plan = request_replan(school=school, actor=front_desk, kept_before=since)
    assert (plan.origin, plan.based_on, plan.remake_squads) == ("replan", session.plan, False)
    assert plan.kept_before == since
    assert AuditEntry.objects.get(verb="request_replan").detail == {"since": "2027-05-08 10:30"}


def test_planning_again_keeps_what_begins_earlier() -> None:
    school = published_school()
    before = set(school.plans.get().sessions.values_list("visit", "squad", "starts_at", "bay"))
    since = school.slot_instant(0, 1)
    plan = request_replan(school=school, actor=None, kept_before=since, seconds=10)
    find_plan(plan.pk)
    plan.refresh_from_db()
    assert plan.state == Plan.State.DONE, plan.reason
    after = set(plan.sessions.values_list("visit", "squad", "starts_at", "bay"))
    assert len(after) == len(before)
    assert school.squads.count() == 1


def test_without_a_published_timetable_there_is_nothing_to_plan_again() -> None:
    school = small_school(1)
    with pytest.raises(NothingToPlanAgain, match="No timetable is published"):
        request_replan(school=school, actor=None, kept_before=school.slot_instant(0, 0))


def test_what_is_over_is_not_planned_again() -> None:
    today = timezone.localdate()
    for starts_on, words in ((today - timedelta(days=9), "is over"), (today, "still to come")):
        school = SchoolFactory.create(starts_on=starts_on, name=words)
        PlanFactory.create(school=school, published=True)
        with pytest.raises(NothingToPlanAgain, match=words):
            request_replan(
                school=school,
                actor=None,
                kept_before=school.slot_instant(0, 0) - timedelta(days=1),
            )


def test_one_search_of_a_school_at_a_time() -> None:
    session = SessionFactory.create(plan__school=small_school(1))
    school = session.plan.school
    request_plan(school=school, actor=None)
    with pytest.raises(SearchUnderWay):
        request_replan(school=school, actor=None, kept_before=school.slot_instant(0, 0))


def test_pins_stay_and_are_pinned_in_the_new_timetable() -> None:
    school = published_school()
    first = school.plans.get()
    Session.objects.filter(pk=first.sessions.earliest("pk").pk).update(is_pinned=True)
    pinned = first.sessions.get(is_pinned=True)
    plan = request_plan(
        school=school, actor=None, pins_of=first, remake_squads=False, seconds=10, seed=2
    )
    find_plan(plan.pk)
    plan.refresh_from_db()
    kept = plan.sessions.get(squad=pinned.squad, visit=pinned.visit)
    where = (pinned.starts_at, pinned.bay, pinned.instructor)
    stayed = where == (kept.starts_at, kept.bay, kept.instructor)
    assert kept.is_pinned is stayed


def test_squads_are_not_made_anew_under_pins() -> None:
    plan = SessionFactory.create(plan__school=small_school(1), is_pinned=True).plan
    with pytest.raises(WrongState, match="belong to squads"):
        request_plan(school=plan.school, actor=None, pins_of=plan, remake_squads=True)
