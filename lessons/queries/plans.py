"""How far the planning of a school is."""

from dataclasses import dataclass
from datetime import datetime

from lessons.models import Plan
from school.models import LeasedJob, School


@dataclass(frozen=True)
class Planning:
    """The search that waits or runs, the newest answer and the plan that is published.

    The answer is a draft, a published plan, or the reasons why there is none.
    """

    search: Plan | None
    answer: Plan | None
    published: Plan | None

    @property
    def draft(self) -> Plan | None:
        """The newest plan found, unless it is or was published."""
        if self.answer and self.answer.state == Plan.State.DONE and not self.answer.published_at:
            return self.answer
        return None

    @property
    def refusal(self) -> Plan | None:
        """Why the newest search found nothing."""
        if self.answer and self.answer.state == Plan.State.PARKED:
            return self.answer
        return None

    @property
    def wants_a_search(self) -> bool:
        """Whether asking for a timetable is what to do next."""
        return self.draft is None and (self.published is None or self.refusal is not None)


def planning_of(school: School) -> Planning:
    """Three queries."""
    finished = [LeasedJob.State.DONE, LeasedJob.State.PARKED]
    return Planning(
        search=school.plans.exclude(state__in=finished).first(),
        answer=school.plans.filter(state__in=finished).first(),
        published=published_plan(school),
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
