"""A school, an attendee whose putting got worse, and drills for it."""

from __future__ import annotations

from assessments.actions.practice import Means, propose_plan
from assessments.models import PracticePlan
from assessments.practice.propose import Time
from assessments.practice.words import EQUIPMENT
from school.models import Account, Enrolment
from tests.assessments.factories import DrillFactory, DrillRuleFactory, putts_got_worse
from tests.factories import EnrolmentFactory, SchoolFactory

DRILLS = ("gate", "ladder")
MEANS = Means(Time(minutes_a_week=60, days_a_week=3), frozenset(EQUIPMENT), frozenset())


def attendee_of_lead(instructor: Account, **golfer: object) -> Enrolment:
    """Somebody with a seat in a school that the instructor leads, who putts worse than before."""
    school = SchoolFactory.create(lead_instructor=instructor.staff)
    enrolment: Enrolment = EnrolmentFactory.create(
        school=school, **{f"golfer__{name}": value for name, value in golfer.items()}
    )
    putts_got_worse(enrolment)
    return Enrolment.objects.select_related("golfer").get(pk=enrolment.pk)


def drills_for_putts() -> None:
    for position, slug in enumerate(DRILLS, start=1):
        drill = DrillFactory.create(slug=slug, name=slug.title())
        DrillRuleFactory.create(
            drill=drill, when="worse", position=position, why="{measure}: {value}."
        )


def proposed(enrolment: Enrolment, instructor: Account) -> PracticePlan:
    return propose_plan(enrolment=enrolment, means=MEANS, actor=instructor)
