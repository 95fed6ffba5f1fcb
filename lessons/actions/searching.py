"""Finding a timetable: the worker's job."""

import logging
import time
from collections.abc import Iterator
from dataclasses import asdict
from itertools import groupby
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from lessons.actions.plans import refuse_to_plan
from lessons.actions.squads import make_squads
from lessons.models import Plan, Session
from lessons.planner.plan import NoPlan, OutOfTime, Placement, Progress
from lessons.planner.plan import Plan as Answer
from lessons.planner.problem import Problem, ProblemError
from lessons.queries.problem import problem_for
from lessons.queries.slots import span
from school.actions import jobs
from school.actions.audit import note
from school.errors import MarramError, WrongState
from school.guards import is_front_desk

logger = logging.getLogger(__name__)

# How often the row is told how far the search is, and asked whether to go on.
TELL_EVERY_S = 1.0


def find_plan(pk: int) -> None:
    """Look for the timetable that was asked for.

    1. Claim the plan; somebody else's is left alone.
    2. Make the squads, if that was asked for.
    3. Solve outside any transaction: it takes as long as it takes. Meanwhile write down how far
       the search is, renew the lease, and end it if the desk takes what there is.
    4. Write the sessions only under the token of the claim, so that a worker that lost its
       lease meanwhile writes nothing.

    That no timetable exists is an answer and is not tried again; a fault of the search is.
    """
    token = jobs.claim(Plan, pk)
    if token is None:
        return
    try:
        _search(pk, token)
    except Exception:
        logger.exception("Plan %s", pk)
        reason = "The search broke down. What went wrong is in the worker's log."
        jobs.record_failure(Plan, pk, token, reason=reason)


def _search(pk: int, token: UUID) -> None:
    # a worker that only prints reports need not hold the solver, which weighs as much as the rest
    from lessons.planner.solve import solve

    plan = Plan.objects.select_related("school__programme", "requested_by__staff", "based_on").get(
        pk=pk
    )
    watch = Watch(plan, token)
    try:
        problem = _problem(plan)
        answer = solve(problem, seconds=plan.seconds, seed=plan.seed, on_progress=watch.tell)
        _write(plan, token, problem, answer)
    except NoPlan as none:
        conflicts = [{"rule": each.rule, "words": each.words} for each in none.conflicts]
        ways_out = [{"words": each.words} for each in none.ways_out]
        reason = _verdict(none)
        jobs.park(Plan, pk, token, reason=reason, conflicts=conflicts, ways_out=ways_out)
    except ProblemError as error:
        faults = [{"rule": "set-up", "words": fault} for fault in error.faults]
        reason = "What is set up contradicts itself."
        jobs.park(Plan, pk, token, reason=reason, conflicts=faults)
    except OutOfTime as error:
        reason = "The search was ended before it had found a timetable."
        jobs.park(Plan, pk, token, reason=reason if watch.stopped else str(error))
    except MarramError as error:
        jobs.park(Plan, pk, token, reason=str(error))


class Watch:
    """Between the search and the row: tells one how far the other is, at most once a second."""

    def __init__(self, plan: Plan, token: UUID) -> None:
        self.plan = plan
        self.token = token
        self.stopped = False
        self._told_at = float("-inf")
        self._write({})

    def tell(self, progress: Progress) -> bool:
        """Whether to go on: not once the desk takes what there is, nor without the lease."""
        now = time.monotonic()
        if not self.stopped and now - self._told_at >= TELL_EVERY_S:
            self._told_at = now
            self.stopped = not self._write(asdict(progress))
        return not self.stopped

    def _write(self, progress: dict[str, object]) -> bool:
        row = Plan.objects.filter(pk=self.plan.pk, token=self.token)
        held = row.update(progress=progress, lease_until=timezone.now() + Plan.LEASE)
        return bool(held) and row.filter(stop_asked_at=None).exists()


def _problem(plan: Plan) -> Problem:
    """Check again what may have changed since the request, and see to the squads."""
    school, actor = plan.school, plan.requested_by
    refuse_to_plan(school)
    if actor is not None and not is_front_desk(actor):
        raise WrongState(f"{actor} no longer works at the front desk.")
    make_squads(school=school, actor=actor, remake=plan.remake_squads)
    return problem_for(school, plan_again=plan.based_on, kept_before=plan.kept_before)


def _write(plan: Plan, token: UUID, problem: Problem, answer: Answer) -> None:
    with transaction.atomic(durable=True):
        kept = jobs.publish(
            Plan,
            plan.pk,
            token,
            goals=[asdict(goal) for goal in answer.goals],
            conflicts=[],
            planner_version=answer.planner_version,
        )
        if kept:
            Session.objects.bulk_create(_sessions(plan, problem, answer))
            note(actor=plan.requested_by, verb="find_plan", subject=plan, seconds=answer.seconds)


def _sessions(plan: Plan, problem: Problem, answer: Answer) -> Iterator[Session]:
    """A session for each squad; those that are together name their instructors in turn."""
    slots = {visit.key: visit.slots for visit in problem.visits}
    numbers = {squad.key: number for number, squad in enumerate(problem.squads)}
    pinned = frozenset(problem.pinned)

    def together(row: Placement) -> tuple[object, ...]:
        return row.day, row.slot, row.bay, row.visit, row.instructors

    for _, rows in groupby(sorted(answer.placements, key=together), key=together):
        for turn, row in enumerate(sorted(rows, key=lambda each: numbers[each.squad])):
            when = span(plan.school, row.day, row.slot, slots[row.visit])
            yield Session(
                plan=plan,
                visit_id=int(row.visit),
                squad_id=int(row.squad),
                bay_id=int(row.bay),
                instructor_id=int(row.instructors[turn % len(row.instructors)]),
                starts_at=when.starts_at,
                ends_at=when.ends_at,
                is_pinned=row in pinned,
            )


def _verdict(none: NoPlan) -> str:
    if not none.together:
        return "Each of these rules out any timetable."
    if none.minimal:
        return "These cannot all hold. If any one of them gives way, there is a timetable."
    return "These cannot all hold."
