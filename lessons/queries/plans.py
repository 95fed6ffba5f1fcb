"""How far the planning of a school is."""

from dataclasses import dataclass
from datetime import datetime

from lessons.models import Plan
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


def seconds_searched(plan: Plan, now: datetime) -> int | None:
    """Whole seconds since the worker took the plan, at most what it was given; None if it waits."""
    if plan.lease_until is None:
        return None
    spent = now - (plan.lease_until - Plan.LEASE)
    return min(plan.seconds, max(0, int(spent.total_seconds())))
