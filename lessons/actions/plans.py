"""Asking for a timetable, and ending the search for it early."""

import secrets
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils import timezone

from lessons.errors import NobodyToPlan, NothingToPlanAgain, NothingToStop, SearchUnderWay
from lessons.models import Plan
from lessons.queries.plans import published_plan
from lessons.queries.troubles import starts_to_come
from school.actions import jobs
from school.actions.audit import note
from school.errors import WrongState
from school.models import Account, Enrolment, LeasedJob, School

SEARCH_SECONDS = 20
# The lease must outlast the explanation and the writing by far; the search itself renews it.
LONGEST_SEARCH_S = 120
SEARCH_CHOICES = [(SEARCH_SECONDS, "20 seconds"), (60, "one minute"), (120, "two minutes")]
UNFINISHED = (LeasedJob.State.QUEUED, LeasedJob.State.RUNNING)
LARGEST_SEED = 2**31 - 1


def request_plan(
    *,
    school: School,
    actor: Account | None,
    seconds: int = SEARCH_SECONDS,
    remake_squads: bool = True,
    pins_of: Plan | None = None,
    seed: int | None = None,
) -> Plan:
    """Queue the search for a timetable.

    Parameters
    ----------
    pins_of
        A timetable of the school whose pinned sessions stay; squads then stay as well.
    seed
        What the search begins from, kept with the plan; drawn if left out.

    Raises
    ------
    WrongState
        If the school is closed, or squads are to be made anew under pinned sessions.
    NobodyToPlan
        If nobody has a seat.
    SearchUnderWay
        If a search of this school waits or runs.
    """
    if pins_of is not None and remake_squads:
        raise WrongState("Pinned sessions belong to squads: keep the squads, or give up the pins.")
    plan = Plan(
        school=school,
        requested_by=actor,
        seconds=seconds,
        remake_squads=remake_squads,
        based_on=pins_of,
    )
    return _queued(plan, seed)


def request_replan(
    *,
    school: School,
    actor: Account | None,
    kept_before: datetime,
    seconds: int = SEARCH_SECONDS,
    seed: int | None = None,
) -> Plan:
    """Queue the search for a timetable that differs as little as can be from the published one.

    What begins before `kept_before` stays as it was.

    Raises
    ------
    NothingToPlanAgain
        If no timetable is published, or `kept_before` is over or past the last slot.
    WrongState, NobodyToPlan, SearchUnderWay
        As in `request_plan`.
    """
    published = published_plan(school)
    if published is None:
        raise NothingToPlanAgain("No timetable is published yet. Make one first.")
    to_come = starts_to_come(school, timezone.now())
    if not to_come:
        raise NothingToPlanAgain("The last slot of the school is over; nothing is left to plan.")
    if not to_come[0] <= kept_before <= to_come[-1]:
        raise NothingToPlanAgain("Plan again from a slot that is still to come.")
    plan = Plan(
        school=school,
        requested_by=actor,
        seconds=seconds,
        remake_squads=False,
        origin=Plan.Origin.REPLAN,
        based_on=published,
        kept_before=kept_before,
    )
    return _queued(plan, seed)


def stop_search(*, plan: Plan, actor: Account | None) -> None:
    """Take what the search has found by now; end one that no worker has taken up.

    The search sees it within a second or so, and the timetable is then ready like any other. If
    it has found none yet, it ends without.

    Raises
    ------
    NothingToStop
        If the search has ended.
    """
    now = timezone.now()
    with transaction.atomic(durable=True):
        waiting = Plan.objects.filter(pk=plan.pk, state=LeasedJob.State.QUEUED).update(
            state=LeasedJob.State.PARKED, finished_at=now, reason="The search was given up."
        )
        running = Plan.objects.filter(pk=plan.pk, state=LeasedJob.State.RUNNING)
        if not (waiting or running.update(stop_asked_at=now)):
            raise NothingToStop("The search has ended.")
        note(actor=actor, verb="stop_search", subject=plan)


def refuse_to_plan(school: School) -> None:
    """Raise WrongState for a closed school, NobodyToPlan for an empty one."""
    if school.state == School.State.CLOSED:
        raise WrongState("The school is closed; its timetable stays as it was.")
    if not school.enrolments.filter(state=Enrolment.State.SEATED).exists():
        raise NobodyToPlan("Nobody has a seat in this school yet. Enrol golfers first.")


def _queued(plan: Plan, seed: int | None) -> Plan:
    if not 1 <= plan.seconds <= LONGEST_SEARCH_S:
        raise ValueError(f"A search lasts 1 to {LONGEST_SEARCH_S} s.")
    plan.seed = secrets.randbelow(LARGEST_SEED) + 1 if seed is None else seed
    try:
        with transaction.atomic(durable=True):
            refuse_to_plan(plan.school)
            plan.save(force_insert=True)
            if plan.kept_before is None:
                note(
                    actor=plan.requested_by,
                    verb="request_plan",
                    subject=plan,
                    seconds=plan.seconds,
                )
            else:
                since = f"{plan.kept_before.astimezone(plan.school.zone):%Y-%m-%d %H:%M}"
                note(actor=plan.requested_by, verb="request_replan", subject=plan, since=since)
            jobs.wake_on_commit(plan)
    except IntegrityError:
        if not plan.school.plans.filter(state__in=UNFINISHED).exists():
            raise
        raise SearchUnderWay(
            "A timetable of this school is already being looked for. Wait for it to end."
        ) from None
    return plan
