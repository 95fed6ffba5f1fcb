"""Proposing a practice plan, and writing what an instructor made of it."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Any

import pytest

from assessments.actions.practice import Means, WrittenPriority, propose_plan, revise_plan
from assessments.errors import NotTaughtHere, PlanChangedMeanwhile, PlanEdited, PlanRefused
from assessments.models import Drill, DrillRule, PracticePlan
from assessments.practice.propose import Time
from assessments.practice.values import ProposedItem
from school.errors import NotEnrolled
from school.models import Account, AuditEntry, Enrolment
from tests.assessments.practice.scene import MEANS, attendee_of_lead, drills_for_putts, proposed

pytestmark = pytest.mark.django_db
LINE = WrittenPriority("Start it on line", "Two of ten fell.")
GATE = ProposedItem(1, 1, "gate", 0, 2, 15, "20 balls")


@pytest.fixture
def attendee(instructor: Account) -> Enrolment:
    drills_for_putts()
    return attendee_of_lead(instructor)


@pytest.fixture
def plan(attendee: Enrolment, instructor: Account) -> PracticePlan:
    return proposed(attendee, instructor)


def rows(plan: PracticePlan) -> list[tuple[object, ...]]:
    return list(plan.items.values_list("week", "drill__slug", "priority__title", "count"))


def revise(plan: PracticePlan, actor: Account, **changed: Any) -> PracticePlan:
    values: dict[str, Any] = {"edition": 1, "priorities": [LINE], "items": [GATE]}
    return revise_plan(plan=plan, actor=actor, **(values | changed))


def test_a_plan_is_made_of_what_was_found(plan: PracticePlan, instructor: Account) -> None:
    assert (plan.edition, plan.is_edited, plan.changed_by) == (1, False, instructor)
    priority = plan.priorities.get()
    assert (priority.kind, priority.measure) == ("putting", "make_rate_2m")
    assert "20" in priority.why
    assert set(plan.items.values_list("week", flat=True)) == {1, 2, 3, 4, 5, 6}
    assert AuditEntry.objects.get(verb="propose_plan").detail["priorities"] == [priority.title]


def test_proposing_again_replaces_all_and_remembers_the_means(
    plan: PracticePlan, instructor: Account
) -> None:
    means = Means(Time(30, 2), frozenset({"balls", "putter"}), frozenset({"back"}))
    again = propose_plan(enrolment=plan.enrolment, means=means, actor=instructor, edition=1)
    assert (again.pk, again.edition, again.minutes_a_week) == (plan.pk, 2, 30)
    assert (again.equipment, again.hurts) == (["balls", "putter"], ["back"])
    assert all(row[0] in range(1, 7) for row in rows(again))
    assert plan.priorities.count() == 1


def test_what_is_not_in_use_is_not_proposed(attendee: Enrolment, instructor: Account) -> None:
    Drill.objects.filter(slug="gate").update(is_in_use=False)
    DrillRule.objects.filter(drill__slug="ladder").update(is_in_use=False)
    plan = proposed(attendee, instructor)
    assert rows(plan) == []
    assert "The library has no drill for it" in plan.left_out[0]


def test_what_an_instructor_writes_takes_the_place_of_the_plan(
    plan: PracticePlan, instructor: Account
) -> None:
    revised = revise(plan, instructor)
    assert (revised.edition, revised.is_edited) == (2, True)
    assert rows(revised) == [(1, "gate", "Start it on line", "20 balls")]
    assert AuditEntry.objects.filter(verb="revise_plan").count() == 1


def test_two_who_edit_at_once_do_not_write_over_each_other(
    plan: PracticePlan, instructor: Account
) -> None:
    revise(plan, instructor)
    with pytest.raises(PlanChangedMeanwhile, match="Ines Instructor has changed") as refused:
        revise(plan, instructor, items=[replace(GATE, count="5 balls")])
    assert refused.value.edition == 2
    assert rows(plan)[0][-1] == "20 balls"


def test_a_proposal_does_not_write_over_what_was_not_looked_at(
    plan: PracticePlan, instructor: Account
) -> None:
    with pytest.raises(PlanChangedMeanwhile):
        proposed(plan.enrolment, instructor)


def test_an_edited_plan_is_replaced_only_on_purpose(
    plan: PracticePlan, instructor: Account
) -> None:
    revise(plan, instructor)
    again = partial(
        propose_plan, enrolment=plan.enrolment, means=MEANS, actor=instructor, edition=2
    )
    with pytest.raises(PlanEdited, match="Ines Instructor has edited this plan"):
        again()
    assert len(rows(plan)) == 1
    replaced = again(over_edited=True)
    assert (replaced.edition, replaced.is_edited) == (3, False)


def test_only_who_teaches_there_plans(
    plan: PracticePlan, instructor: Account, other_instructor: Account
) -> None:
    with pytest.raises(NotTaughtHere):
        propose_plan(enrolment=plan.enrolment, means=MEANS, actor=other_instructor, edition=1)
    with pytest.raises(NotTaughtHere):
        revise(plan, other_instructor)


def test_who_has_no_seat_gets_no_plan(attendee: Enrolment, instructor: Account) -> None:
    Enrolment.objects.filter(pk=attendee.pk).update(state="waiting", seat=None)
    with pytest.raises(NotEnrolled):
        proposed(attendee, instructor)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"priorities": [LINE] * 4}, "at most three priorities"),
        ({"priorities": [replace(LINE, why=" ")]}, "what to work on, and why"),
        ({"priorities": [replace(LINE, title="x" * 121)]}, "characters at most"),
        ({"items": [replace(GATE, week=7)]}, "Week 7, row 1: the plan has six weeks"),
        ({"items": [replace(GATE, minutes=0)]}, "1 to 240 minutes on 1 to 7 days"),
        ({"items": [replace(GATE, days=8)]}, "1 to 240 minutes on 1 to 7 days"),
        ({"items": [replace(GATE, count="")]}, "how much of the drill"),
        ({"items": [replace(GATE, priority=1)]}, "not in the plan"),
        ({"items": [replace(GATE, drill="unheard-of")]}, "no drill unheard-of"),
    ],
)
def test_what_cannot_be_right_is_refused_and_changes_nothing(
    plan: PracticePlan, instructor: Account, changed: dict[str, Any], words: str
) -> None:
    before = rows(plan)
    with pytest.raises(PlanRefused, match=words):
        revise(plan, instructor, **changed)
    plan.refresh_from_db()
    assert (plan.edition, rows(plan)) == (1, before)


@pytest.mark.parametrize(
    ("means", "words"),
    [
        (replace(MEANS, time=Time(9, 1)), "10 to 1200 minutes"),
        (replace(MEANS, time=Time(60, 8)), "one to seven days"),
        (replace(MEANS, hurts=frozenset({"pride"})), "no pride"),
    ],
)
def test_means_that_cannot_be_right_are_refused(
    attendee: Enrolment, instructor: Account, means: Means, words: str
) -> None:
    with pytest.raises(PlanRefused, match=words):
        propose_plan(enrolment=attendee, means=means, actor=instructor)
