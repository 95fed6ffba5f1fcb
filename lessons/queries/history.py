"""The timetables a school has had so far, and the steps by which one was changed."""

from __future__ import annotations

from dataclasses import dataclass

from lessons.models import Plan, PlanEdit
from lessons.queries.goals import GoalInWords, goals_in_words
from school.models import LeasedJob, School

SHOWN = 8


@dataclass(frozen=True)
class EarlierPlan:
    """A timetable that can be looked at again, and how good it is."""

    plan: Plan
    goals: tuple[GoalInWords, ...]

    @property
    def standing(self) -> str:
        if self.plan.is_published:
            return "published"
        return "was published" if self.plan.published_at else "not published"


def earlier_plans(school: School) -> list[EarlierPlan]:
    """The newest timetables that there are, the newest first. One query."""
    plans = school.plans.filter(state=LeasedJob.State.DONE).select_related("requested_by")
    return [EarlierPlan(plan, tuple(plan_goals(plan))) for plan in plans[:SHOWN]]


def can_change(plan: Plan) -> bool:
    """Whether it may be changed in place: nobody has ever gone by it, and the school is on."""
    return (
        plan.state == LeasedJob.State.DONE
        and plan.published_at is None
        and plan.school.state != School.State.CLOSED
    )


def plan_before(plan: Plan) -> Plan | None:
    """What it is compared with: the one it was made from, else the one published now."""
    if plan.based_on is not None:
        return plan.based_on
    return plan.school.plans.filter(is_published=True).exclude(pk=plan.pk).first()


def plan_goals(plan: Plan) -> list[GoalInWords]:
    return goals_in_words(plan.goals, by_hand=plan.origin == Plan.Origin.HAND)


def steps_of(plan: Plan) -> list[PlanEdit]:
    """How it was changed by hand, the last step first. One query."""
    return list(plan.edits.select_related("made_by"))
