"""A practice plan as it prints, and that more of it costs no more queries."""

from __future__ import annotations

import pytest

from assessments.queries.practice import drills_in_use, needs_for, plan_of, plans_of, rules_in_use
from school.models import Account, Enrolment
from tests.assessments.factories import (
    DrillFactory,
    DrillRuleFactory,
    PracticeItemFactory,
    PracticePlanFactory,
    PriorityFactory,
)
from tests.assessments.practice.scene import attendee_of_lead
from tests.factories import EnrolmentFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def attendee(db: None) -> Enrolment:
    return EnrolmentFactory.create(golfer__handedness="left")


def test_without_a_plan_there_is_none(attendee: Enrolment) -> None:
    assert plan_of(attendee) is None


def test_a_plan_prints_what_its_drills_say(attendee: Enrolment) -> None:
    plan = PracticePlanFactory.create(enrolment=attendee)
    priority = PriorityFactory.create(plan=plan)
    PracticeItemFactory.create(plan=plan, week=2, priority=priority)
    PracticeItemFactory.create(plan=plan, week=1, drill__name="Ladder", count="5 balls")
    found = plan_of(attendee)
    assert found is not None
    assert [(week.number, week.heading, week.minutes) for week in found.weeks] == [
        (1, "One drill at a time", 20),
        (2, "One drill at a time", 20),
    ]
    ladder, gate = found.drills
    assert (ladder.name, ladder.count, ladder.priority) == ("Ladder", "5 balls", None)
    assert (gate.priority, found.priorities[0].number) == (1, 1)
    assert gate.steps == ("Aim through the gate.", "Putt through it.", "Count those that pass.")
    assert gate.is_left_handed
    assert any("licensed professional" in caution for caution in found.cautions)


def test_a_longer_plan_costs_no_more_queries(attendee: Enrolment) -> None:
    plan = PracticePlanFactory.create(enrolment=attendee)
    PriorityFactory.create(plan=plan)
    PracticeItemFactory.create(plan=plan)
    few = queries_of(lambda: plan_of(attendee))
    PriorityFactory.create(plan=plan, position=2)
    PracticeItemFactory.create(plan=plan, position=2)
    assert queries_of(lambda: plan_of(attendee)) == few == 3


def test_a_proposal_starts_from_what_is_in_use() -> None:
    DrillRuleFactory.create(drill__slug="gate", drill__equipment=["putter"], position=2)
    DrillRuleFactory.create(drill__slug="old", drill__is_in_use=False)
    DrillRuleFactory.create(drill__slug="unasked", is_in_use=False)
    assert [(rule.drill, rule.position, rule.when) for rule in rules_in_use()] == [
        ("gate", 2, "low")
    ]
    assert {drill.slug for drill in drills_in_use()} == {"gate", "unasked"}
    assert frozenset({"putter"}) in {drill.equipment for drill in drills_in_use()}


def test_more_rules_and_drills_cost_no_more_queries() -> None:
    DrillRuleFactory.create()
    both = queries_of(lambda: (rules_in_use(), drills_in_use()))
    DrillRuleFactory.create()
    DrillFactory.create()
    assert queries_of(lambda: (rules_in_use(), drills_in_use())) == both == 2


def test_what_got_worse_is_a_need(instructor: Account) -> None:
    needs = needs_for(attendee_of_lead(instructor))
    assert ("putting", "make_rate_2m", "worse") in {
        (need.kind, need.measure, need.when) for need in needs
    }


def test_the_plans_of_many_cost_no_more_queries_than_one(attendee: Enrolment) -> None:
    attendees = [attendee, *EnrolmentFactory.create_batch(2)]
    for each in attendees[:2]:
        PracticeItemFactory.create(plan=PracticePlanFactory.create(enrolment=each))
    assert plans_of(attendees) == {each.pk: plan_of(each) for each in attendees[:2]}
    assert queries_of(lambda: plans_of(attendees)) == 3
