"""The practice plan in a real browser: proposed, edited, saved, and not written over."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from assessments.models import PracticePlan
from school.models import Account, Enrolment
from tests.assessments.practice.scene import attendee_of_lead, drills_for_putts
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import StaffFactory
from tests.lessons.factories import SessionFactory, instructor_for

pytestmark = pytest.mark.django_db(transaction=True)


def teacher(email: str, name: str) -> Account:
    made: Account = StaffFactory.create(
        teaches=True, account__email=email, account__full_name=name
    ).account
    return made


@pytest.fixture
def attendee(transactional_db: None) -> Enrolment:
    """Somebody left-handed who putts worse; two teach in the school."""
    drills_for_putts()
    lead, second = (
        teacher("ines@example.org", "Ines Inger"),
        teacher("oren@example.org", "Oren Ott"),
    )
    enrolment = attendee_of_lead(lead, handedness="left", care_notes="Spare the left hip.")
    SessionFactory.create(
        plan__school=enrolment.school, plan__is_published=True, instructor=instructor_for(second)
    )
    return enrolment


def at_plan(page: Page, attendee: Enrolment, email: str) -> Page:
    page.goto(f"/sign-in/?next=/schools/{attendee.school_id}/attendees/{attendee.pk}/practice/")
    page.get_by_label("E-mail").fill(email)
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.wait_for_url(re.compile("/practice/$"))
    return page


def test_a_plan_is_proposed_edited_and_not_written_over(
    new_page: NewPage, attendee: Enrolment
) -> None:
    page = at_plan(new_page(), attendee, "ines@example.org")
    expect(page.get_by_text("Spare the left hip.")).to_be_visible()
    looked_at(page)
    page.get_by_label("Minutes a week").fill("80")
    page.get_by_role("button", name="Propose a plan").click()
    expect(page.get_by_text("The plan is proposed.")).to_be_visible()
    expect(page.get_by_role("heading", name="Gate", exact=True)).to_be_visible()
    looked_at(page)

    other = at_plan(new_page(), attendee, "oren@example.org")
    page.get_by_role("group", name="Week 1, row 1").get_by_label("Count").fill("12 putts, counted")
    page.get_by_role("group", name="Priority 1").get_by_label("Why this").fill("It is what won.")
    page.get_by_role("button", name="Add a drill to week 2").click()
    expect(page.get_by_label("Why this").first).to_have_value("It is what won.")
    added = page.get_by_role("group", name="Week 2, row 2")
    added.get_by_label("Drill").select_option("Ladder")
    page.get_by_role("button", name="Save the plan").click()
    expect(page.get_by_text("is saved as it stands here")).to_be_visible()
    plan = PracticePlan.objects.get()
    assert plan.priorities.get().why == "It is what won."
    assert plan.items.get(week=1, position=1).count == "12 putts, counted"
    assert plan.items.get(week=2, position=2).drill.name == "Ladder"

    saves_over(other)


def saves_over(page: Page) -> None:
    """Who opened the plan before it changed is told, sees both, and decides."""
    count = page.get_by_role("group", name="Week 1, row 1").get_by_label("Count")
    count.fill("Mine instead")
    page.get_by_role("button", name="Save the plan").click()
    expect(page.get_by_role("alert")).to_contain_text("Ines Inger has changed this plan meanwhile")
    expect(page.get_by_text("12 putts, counted")).to_be_visible()
    expect(count).to_have_value("Mine instead")
    looked_at(page)
    page.get_by_role("button", name="Save the plan").click()
    expect(page.get_by_text("is saved as it stands here")).to_be_visible()
    assert PracticePlan.objects.get().items.filter(count="Mine instead").exists()
