"""The page of a practice plan: proposed, edited, kept apart from what others save."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from assessments.actions.practice import WrittenPriority, revise_plan
from assessments.forms.practice import MOST_ROWS
from assessments.models import PracticePlan
from assessments.queries.practice import plan_of
from school.models import Account, Enrolment, School
from tests.assessments.factories import PracticeItemFactory
from tests.assessments.practice.scene import attendee_of_lead, drills_for_putts, proposed
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db
MEANS = {
    "minutes_a_week": "60",
    "days_a_week": "3",
    "equipment": ["balls", "putter"],
    "edition": "0",
}


@pytest.fixture
def attendee(instructor: Account) -> Enrolment:
    drills_for_putts()
    return attendee_of_lead(instructor, care_notes="Sore left hip", handedness="left")


@pytest.fixture
def plan(attendee: Enrolment, instructor: Account) -> PracticePlan:
    return proposed(attendee, instructor)


@pytest.fixture
def client(client_of: Callable[[Account | None], Client], instructor: Account) -> Client:
    return client_of(instructor)


def address(attendee: Enrolment, name: str = "practice_plan") -> str:
    return reverse(name, args=[attendee.school_id, attendee.pk])


def typed(*rows: dict[str, Any], **fields: Any) -> dict[str, Any]:
    """A filled form with one priority and these rows."""
    sent: dict[str, Any] = {"edition": 1, "rows": len(rows)}
    sent |= {"priority1-title": "Start it on line", "priority1-why": "Two of ten fell."}
    for number, row in enumerate(rows):
        filled = {"week": 1, "drill": "gate", "count": "20 balls", "minutes": 15, "days": 2} | row
        sent |= {f"row{number}-{name}": value for name, value in filled.items()}
    return sent | fields


def test_before_there_is_a_plan_the_page_proposes_one(client: Client, attendee: Enrolment) -> None:
    page = client.get(address(attendee)).text
    assert "Sore left hip" in page
    assert "Propose a plan" in page
    assert "Save the plan" not in page


def test_a_proposal_is_shown_with_its_drills(client: Client, attendee: Enrolment) -> None:
    answer = client.post(address(attendee, "practice_propose"), MEANS, follow=True)
    assert answer.redirect_chain
    assert "The plan is proposed." in answer.text
    assert "make rate" in answer.context["forms"].priorities[0]["why"].value().lower()
    assert "licensed professional" in answer.text
    assert "Aim through the gate." in answer.text


def test_who_can_do_no_drill_is_told_why(client: Client, attendee: Enrolment) -> None:
    sent = MEANS | {"equipment": []}
    page = client.post(address(attendee, "practice_propose"), sent, follow=True).text
    assert "Nothing can be proposed" in page
    assert "Left out: Gate, which needs golf balls and a putter." in page


def test_time_that_cannot_be_is_said_beside_the_field(client: Client, attendee: Enrolment) -> None:
    sent = MEANS | {"minutes_a_week": "5", "hurts": ["hip"]}
    answer = client.post(address(attendee, "practice_propose"), sent)
    assert answer.status_code == 422
    assert "minutes_a_week" in answer.context["means"].errors
    assert answer.context["means"]["hurts"].value() == ["hip"]


def test_what_is_saved_is_what_prints(client: Client, plan: PracticePlan) -> None:
    answer = client.post(address(plan.enrolment), typed({"serves": "1"}, {"week": 3, "count": ""}))
    assert answer.status_code == 302
    printed = plan_of(plan.enrolment)
    assert printed is not None
    assert [each.why for each in printed.priorities] == ["Two of ten fell."]
    items = [
        (week.number, item.count, item.priority) for week in printed.weeks for item in week.items
    ]
    assert items == [(1, "20 balls", 1), (3, "10 putts, three times", None)]
    assert plan.priorities.get().measure == "make_rate_2m"


def test_rows_that_are_ticked_or_empty_are_left_out(client: Client, plan: PracticePlan) -> None:
    empty = {"drill": "", "count": "", "minutes": ""}
    client.post(address(plan.enrolment), typed({}, {"remove": "on"}, empty))
    assert plan.items.count() == 1


def test_a_priority_emptied_is_taken_out_and_the_next_moves_up(
    client: Client, plan: PracticePlan
) -> None:
    second = {"priority2-title": "Pace", "priority2-why": "Long putts ran past."}
    sent = typed({"serves": "2"}, **second) | {"priority1-title": "", "priority1-why": ""}
    client.post(address(plan.enrolment), sent)
    priority = plan.priorities.get()
    assert (priority.position, priority.title) == (1, "Pace")
    assert plan.items.get().priority == priority


@pytest.mark.parametrize(
    ("row", "fields", "words"),
    [
        ({"minutes": "0"}, {}, ">1 to 240.<"),
        ({"days": "8"}, {}, ">1 to 7.<"),
        ({"drill": ""}, {}, "Choose a drill."),
        ({"serves": "2"}, {}, "This priority is empty."),
        ({}, {"priority1-why": ""}, "Say why, or empty"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_nothing_is_lost(
    client: Client, plan: PracticePlan, row: dict[str, str], fields: dict[str, str], words: str
) -> None:
    answer = client.post(address(plan.enrolment), typed({"count": "my own"} | row, **fields))
    assert answer.status_code == 422
    assert words in answer.text
    assert 'value="my own"' in answer.text
    assert PracticePlan.objects.get().edition == 1


def test_adding_a_row_keeps_and_judges_nothing(client: Client, plan: PracticePlan) -> None:
    sent = typed({"minutes": "far too long"}, add="4", **{"priority1-why": ""})
    answer = client.post(address(plan.enrolment), sent)
    assert answer.status_code == 200
    assert 'value="far too long"' in answer.text
    assert "Say why" not in answer.text
    weeks = {week.number: len(week.rows) for week in answer.context["forms"].weeks}
    assert weeks == {1: 1, 2: 0, 3: 0, 4: 1, 5: 0, 6: 0}
    assert plan.items.count() > 1


def test_no_row_is_offered_that_would_not_be_read(client: Client, plan: PracticePlan) -> None:
    full = typed(*[{"week": 1 + number % 6} for number in range(MOST_ROWS)], add="4")
    rows = client.post(address(plan.enrolment), full).context["forms"].rows
    assert len(rows) == MOST_ROWS


@pytest.mark.parametrize("name", ["edition", "add", "row0-minutes", "row0-days"])
def test_a_number_longer_than_any_breaks_nothing(
    client: Client, plan: PracticePlan, name: str
) -> None:
    answer = client.post(address(plan.enrolment), typed({}, **{name: "9" * 5000}))
    assert answer.status_code in {200, 409, 422}
    assert plan.items.count() > 1


def test_who_saves_over_a_changed_plan_sees_both(
    client: Client, plan: PracticePlan, instructor: Account
) -> None:
    theirs = [WrittenPriority("Their title", "Their reason")]
    revise_plan(plan=plan, edition=1, priorities=theirs, items=[], actor=instructor)
    answer = client.post(address(plan.enrolment), typed({}))
    assert answer.status_code == 409
    assert "Their reason" in answer.text
    assert 'value="20 balls"' in answer.text
    assert PracticePlan.objects.get().edition == 2
    again = typed({}, edition=answer.context["forms"].edition)
    assert client.post(address(plan.enrolment), again).status_code == 302
    assert plan.priorities.get().title == "Start it on line"


def test_proposing_over_an_edited_plan_asks_first(
    client: Client, plan: PracticePlan, instructor: Account
) -> None:
    revise_plan(plan=plan, edition=1, priorities=[], items=[], actor=instructor)
    propose = address(plan.enrolment, "practice_propose")
    answer = client.post(propose, MEANS | {"edition": "2"})
    assert answer.status_code == 422
    assert "tick that this is meant" in answer.text
    assert client.post(propose, MEANS | {"edition": "2", "over_edited": "on"}).status_code == 302


def test_proposing_over_a_plan_not_looked_at_is_refused_once(
    client: Client, plan: PracticePlan
) -> None:
    answer = client.post(address(plan.enrolment, "practice_propose"), MEANS)
    assert answer.status_code == 409
    assert answer.context["means"]["edition"].value() == "1"


def test_there_is_nothing_to_save_without_a_plan(client: Client, attendee: Enrolment) -> None:
    assert client.post(address(attendee), typed({})).status_code == 404


def test_a_week_too_long_is_said(client: Client, plan: PracticePlan) -> None:
    answer = client.post(
        address(plan.enrolment), typed({"minutes": "40", "days": "2"}), follow=True
    )
    assert "80 of 60 minutes: more than there is time for" in answer.text


def test_a_drill_no_longer_in_use_stays_in_the_plan_that_has_it(
    client: Client, plan: PracticePlan
) -> None:
    PracticeItemFactory.create(
        plan=plan, week=6, position=9, drill__slug="old", drill__is_in_use=False
    )
    answer = client.post(address(plan.enrolment), typed({"drill": "old"}))
    assert answer.status_code == 302


def test_a_longer_plan_costs_no_more_queries(client: Client, plan: PracticePlan) -> None:
    few = queries_of(lambda: client.get(address(plan.enrolment)))
    for position in (7, 8, 9):
        PracticeItemFactory.create(plan=plan, week=6, position=position)
    assert queries_of(lambda: client.get(address(plan.enrolment))) == few


def test_when_the_other_plan_was_saved_is_told_by_the_clock_of_the_school(
    client: Client, plan: PracticePlan
) -> None:
    School.objects.update(time_zone="America/New_York")
    PracticePlan.objects.update(edition=2, changed_at=datetime(2027, 7, 1, 16, 0, tzinfo=UTC))
    assert "1 July, 12:00" in client.post(address(plan.enrolment), typed({})).text
