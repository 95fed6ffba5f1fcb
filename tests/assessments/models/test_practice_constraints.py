"""The invariants of practice plans, tried by going round the forms."""

from __future__ import annotations

import pytest

from tests.assessments.factories import PracticeItemFactory, PracticePlanFactory, PriorityFactory
from tests.constraints import refused

pytestmark = pytest.mark.django_db


def test_an_attendee_has_one_plan() -> None:
    plan = PracticePlanFactory.create()
    with refused():
        PracticePlanFactory.create(enrolment=plan.enrolment)


@pytest.mark.parametrize("minutes", [9, 1201])
def test_a_plan_takes_10_to_1200_minutes_a_week(minutes: int) -> None:
    with refused():
        PracticePlanFactory.create(minutes_a_week=minutes)


@pytest.mark.parametrize("days", [0, 8])
def test_a_plan_has_one_to_seven_days_a_week(days: int) -> None:
    with refused():
        PracticePlanFactory.create(days_a_week=days)


def test_a_priority_has_its_place_once() -> None:
    first = PriorityFactory.create()
    with refused():
        PriorityFactory.create(plan=first.plan)


@pytest.mark.parametrize("position", [0, 4])
def test_a_plan_has_three_priorities_at_most(position: int) -> None:
    with refused():
        PriorityFactory.create(position=position)


@pytest.mark.parametrize("empty", ["title", "why"])
def test_a_priority_says_what_and_why(empty: str) -> None:
    with refused():
        PriorityFactory.create(**{empty: ""})


def test_an_item_has_its_place_in_its_week_once() -> None:
    first = PracticeItemFactory.create()
    with refused():
        PracticeItemFactory.create(plan=first.plan)


@pytest.mark.parametrize(
    ("column", "value"),
    [("week", 0), ("week", 7), ("minutes", 0), ("minutes", 241), ("days", 0), ("days", 8)],
)
def test_an_item_lies_within_six_weeks_and_within_a_day(column: str, value: int) -> None:
    with refused():
        PracticeItemFactory.create(**{column: value})
