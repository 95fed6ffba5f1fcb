"""Whether a plan keeps every rule, as things are set up now."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from datetime import datetime

from django.db.models import QuerySet
from django.utils import timezone

from lessons.models import Bay, Instructor, Plan, Session
from lessons.planner import problem as planner
from lessons.planner.judging.judge import broken_rules
from lessons.queries.placements import as_placements
from lessons.queries.problem import problem_for
from lessons.queries.slots import all_slots


def objections(plan: Plan) -> list[str]:
    """Every rule that the plan breaks, in sentences. One query more than the problem takes.

    Sessions that are over are not objected to. While there are some that nobody asks for any
    more, or that begin between two slots, what else is missing is not said.
    """
    sessions = list(sessions_of(plan))
    problem = problem_now(plan, sessions)
    stale = dict(_stale(plan, problem, sessions))
    placed = as_placements(plan.school, [each for each in sessions if each.pk not in stale])
    broken = broken_rules(problem, placed, complete=not stale)
    return [*stale.values(), *(each.words for each in broken)]


def sessions_of(plan: Plan) -> QuerySet[Session]:
    """With all that is said of them, in order of time."""
    return plan.sessions.select_related(
        "visit__station", "squad", "bay__place", "instructor__staff__account"
    ).order_by("starts_at", "squad__number")


def problem_now(
    plan: Plan,
    sessions: Iterable[Session],
    bays: Iterable[Bay] = (),
    instructors: Iterable[Instructor] = (),
) -> planner.Problem:
    """What the plan is judged by: its school as it is set up now, its own pins, what is over.

    Bays that are shut and instructors who stopped teaching are in it and never free, if a session
    of the plan or the caller names them.
    """
    sessions = list(sessions)
    problem = problem_for(plan.school, plan_again=plan, kept_before=_kept_before(plan))
    known = {row.key for row in problem.bays}
    people = {row.key for row in problem.instructors}
    used = {bay.pk: bay for bay in (*(each.bay for each in sessions), *bays)}
    taught = {each.pk: each for each in (*(s.instructor for s in sessions), *instructors)}
    return replace(
        problem,
        bays=(
            *problem.bays,
            *(_shut(bay, problem) for bay in used.values() if str(bay.pk) not in known),
        ),
        instructors=(
            *problem.instructors,
            *(_gone(each, problem) for each in taught.values() if str(each.pk) not in people),
        ),
    )


def _kept_before(plan: Plan) -> datetime | None:
    """What was over when the plan was begun, and what has come to an end since.

    The slot that is on now may still be planned again.
    """
    if plan.kept_before is None:
        return None
    now = timezone.now()
    to_come = (s.starts_at for s in all_slots(plan.school).values() if s.ends_at > now)
    return max(plan.kept_before, next(to_come, now))


def _shut(bay: Bay, problem: planner.Problem) -> planner.Bay:
    """It lacks nothing, so that all that is said of it is that it is closed."""
    known = {planner.LEFT_HANDED, planner.COVERED, planner.LIT}
    return planner.Bay(
        key=str(bay.pk),
        name=bay.name,
        place=str(bay.place),
        features=frozenset(known.union(*(visit.features for visit in problem.visits))),
        closed=frozenset(_every_slot(problem.grid)),
        squads=bay.capacity,
    )


def _gone(person: Instructor, problem: planner.Problem) -> planner.Instructor:
    """Qualified for everything, so that all that is said of them is that they are not free."""
    return planner.Instructor(
        key=str(person.pk),
        name=str(person),
        skills=frozenset(visit.station for visit in problem.visits),
        available=frozenset(),
        max_load=problem.grid.slots_per_day,
        max_run=problem.grid.slots_per_day,
    )


def _every_slot(grid: planner.Grid) -> Iterator[tuple[int, int]]:
    return ((day, slot) for day in range(grid.days) for slot in range(grid.slots_per_day))


def not_asked_for(problem: planner.Problem, sessions: Iterable[Session]) -> dict[int, str]:
    """Sessions whose squad or visit is no part of the problem any more, by key, and why."""
    squads = {row.key for row in problem.squads}
    visits = {row.key for row in problem.visits}
    return {
        session.pk: f"{session} is no longer asked for."
        for session in sessions
        if str(session.squad_id) not in squads or str(session.visit_id) not in visits
    }


def _stale(
    plan: Plan, problem: planner.Problem, sessions: Collection[Session]
) -> Iterator[tuple[int, str]]:
    """Sessions that cannot be judged any more, by key, and why."""
    gone = not_asked_for(problem, sessions)
    begins = {slot.starts_at for slot in all_slots(plan.school).values()}
    for session in sessions:
        if session.pk in gone:
            yield session.pk, gone[session.pk]
        elif session.starts_at not in begins:
            yield session.pk, f"{session} does not begin with a slot of the school."
