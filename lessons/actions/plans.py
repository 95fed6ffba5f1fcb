"""Asking for a timetable and finding it."""

import logging
from collections.abc import Iterator
from dataclasses import asdict
from uuid import UUID

from django.db import IntegrityError, transaction

from lessons.actions.squads import make_squads
from lessons.errors import NobodyToPlan, SearchUnderWay
from lessons.models import Plan, Session
from lessons.planner.plan import NoPlan, OutOfTime
from lessons.planner.plan import Plan as Answer
from lessons.planner.problem import ProblemError
from lessons.planner.solve import solve
from lessons.queries.problem import problem_for
from lessons.queries.slots import span
from school.actions import jobs
from school.actions.audit import note
from school.errors import MarramError, WrongState
from school.guards import is_front_desk
from school.models import Account, Enrolment, LeasedJob, School

logger = logging.getLogger(__name__)

SEARCH_SECONDS = 20
# The lease must outlast the search, the explanation and the writing by far.
LONGEST_SEARCH_S = 120
UNFINISHED = (LeasedJob.State.QUEUED, LeasedJob.State.RUNNING)


def request_plan(
    *,
    school: School,
    actor: Account | None,
    seconds: int = SEARCH_SECONDS,
    remake_squads: bool = True,
) -> Plan:
    """Queue the search for a timetable.

    Raises
    ------
    WrongState
        If the school is closed.
    NobodyToPlan
        If nobody has a seat.
    SearchUnderWay
        If a search of this school waits or runs.
    """
    if not 1 <= seconds <= LONGEST_SEARCH_S:
        raise ValueError(f"A search lasts 1 to {LONGEST_SEARCH_S} s.")
    try:
        with transaction.atomic(durable=True):
            _refuse_to_plan(school)
            plan = Plan.objects.create(
                school=school, requested_by=actor, seconds=seconds, remake_squads=remake_squads
            )
            note(actor=actor, verb="request_plan", subject=plan, seconds=seconds)
            jobs.wake_on_commit(plan)
    except IntegrityError:
        if not school.plans.filter(state__in=UNFINISHED).exists():
            raise
        raise SearchUnderWay(
            "A timetable of this school is already being looked for. Wait for it to end."
        ) from None
    return plan


def find_plan(pk: int) -> None:
    """The worker's job.

    1. Claim the plan; somebody else's is left alone.
    2. Make the squads, if that was asked for.
    3. Solve outside any transaction: it takes as long as it takes.
    4. Write the sessions only under the token of the claim, so that a worker that lost its
       lease meanwhile writes nothing.

    That no timetable exists is an answer and is not tried again; a fault of the search is.
    """
    token = jobs.claim(Plan, pk)
    if token is None:
        return
    plan = Plan.objects.select_related("school__programme", "requested_by__staff").get(pk=pk)
    try:
        _write(plan, token, _search(plan))
    except NoPlan as none:
        conflicts = [{"rule": each.rule, "words": each.words} for each in none.conflicts]
        jobs.park(Plan, pk, token, reason=_verdict(none), conflicts=conflicts)
    except ProblemError as error:
        faults = [{"rule": "set-up", "words": fault} for fault in error.faults]
        reason = "What is set up contradicts itself."
        jobs.park(Plan, pk, token, reason=reason, conflicts=faults)
    except (OutOfTime, MarramError) as error:
        jobs.park(Plan, pk, token, reason=str(error))
    except Exception:
        logger.exception("Plan %s", pk)
        reason = "The search broke down. What went wrong is in the worker's log."
        jobs.record_failure(Plan, pk, token, reason=reason)


def _refuse_to_plan(school: School) -> None:
    if school.state == School.State.CLOSED:
        raise WrongState("The school is closed; its timetable stays as it was.")
    if not school.enrolments.filter(state=Enrolment.State.SEATED).exists():
        raise NobodyToPlan("Nobody has a seat in this school yet. Enrol golfers first.")


def _search(plan: Plan) -> Answer:
    """Check again what may have changed since the request, then look."""
    school, actor = plan.school, plan.requested_by
    _refuse_to_plan(school)
    if actor is not None and not is_front_desk(actor):
        raise WrongState(f"{actor} no longer works at the front desk.")
    make_squads(school=school, actor=actor, remake=plan.remake_squads)
    return solve(problem_for(school), seconds=plan.seconds, seed=plan.seed)


def _write(plan: Plan, token: UUID, answer: Answer) -> None:
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
            Session.objects.bulk_create(_sessions(plan, answer))
            note(actor=plan.requested_by, verb="find_plan", subject=plan, seconds=answer.seconds)


def _sessions(plan: Plan, answer: Answer) -> Iterator[Session]:
    slots = dict(plan.school.programme.visits.values_list("pk", "slots"))
    for row in answer.placements:
        visit = int(row.visit)
        when = span(plan.school, row.day, row.slot, slots[visit])
        yield Session(
            plan=plan,
            visit_id=visit,
            squad_id=int(row.squad),
            bay_id=int(row.bay),
            instructor_id=int(row.instructors[0]),
            starts_at=when.starts_at,
            ends_at=when.ends_at,
        )


def _verdict(none: NoPlan) -> str:
    if not none.together:
        return "Each of these rules out any timetable."
    if none.minimal:
        return "These cannot all hold. If any one of them gives way, there is a timetable."
    return "These cannot all hold."
