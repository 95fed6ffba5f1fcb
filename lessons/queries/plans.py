"""How far the planning of a school is."""

from dataclasses import dataclass
from datetime import datetime

from lessons.models import Plan
from lessons.queries.goals import GOAL_WORDS, measured
from school.models import LeasedJob, School


@dataclass(frozen=True)
class Planning:
    """Each at most one plan: the search that waits or runs; the newest search if it found
    nothing; the newest plan found since the published one; the published one."""

    search: Plan | None
    refusal: Plan | None
    draft: Plan | None
    published: Plan | None

    @property
    def wants_a_search(self) -> bool:
        """Whether asking for a timetable is what to do next."""
        return self.draft is None and (self.published is None or self.refusal is not None)


def planning_of(school: School) -> Planning:
    """Four queries."""
    state = LeasedJob.State
    published = published_plan(school)
    ended = school.plans.filter(state__in=[state.DONE, state.PARKED]).first()
    found = school.plans.filter(state=state.DONE, published_at__isnull=True).first()
    return Planning(
        search=school.plans.filter(state__in=[state.QUEUED, state.RUNNING]).first(),
        refusal=ended if ended and ended.state == state.PARKED else None,
        draft=found if found and (published is None or found.pk > published.pk) else None,
        published=published,
    )


def published_plan(school: School) -> Plan | None:
    """One query."""
    return school.plans.filter(is_published=True).first()


def has_pins(plan: Plan) -> bool:
    """One query."""
    return plan.sessions.filter(is_pinned=True).exists()


@dataclass(frozen=True)
class GoalSoFar:
    """The best value found in one respect, and the bound below which nothing can be."""

    name: str
    best: str
    bound: str
    proven: bool


@dataclass(frozen=True)
class SearchSoFar:
    """How far a search is: `spent` in whole seconds, None while it waits for the worker."""

    plan: Plan
    spent: int | None
    goals: tuple[GoalSoFar, ...]

    @property
    def is_stopping(self) -> bool:
        return self.plan.stop_asked_at is not None


def search_so_far(plan: Plan, now: datetime) -> SearchSoFar:
    """No query."""
    values, bounds = plan.progress.get("values", {}), plan.progress.get("bounds", {})
    goals = tuple(
        GoalSoFar(
            name=GOAL_WORDS.get(name, name),
            best=measured(name, value),
            bound=measured(name, bounds[name]) if name in bounds else "",
            proven=bounds.get(name, value - 1) >= value,
        )
        for name, value in values.items()
    )
    return SearchSoFar(plan, _seconds_searched(plan, now), goals)


def _seconds_searched(plan: Plan, now: datetime) -> int | None:
    """At most what it was given; counted on from when it last said how far it was."""
    if plan.lease_until is None:
        return None
    since = now - (plan.lease_until - Plan.LEASE)
    spent = float(plan.progress.get("seconds", 0)) + since.total_seconds()
    return min(plan.seconds, max(0, int(spent)))
