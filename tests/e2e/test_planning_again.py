"""An instructor falls ill: the desk notes it, plans again and watches a search, in a browser."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from lessons.actions.plans import request_plan
from lessons.actions.publishing import publish_plan
from lessons.actions.searching import find_plan
from lessons.models import Plan
from school.models import School
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import StaffFactory
from tests.lessons.factories import PlanFactory, small_school

pytestmark = pytest.mark.django_db(transaction=True)
FOUND = {
    "values": {"moved": 4, "idle": 2, "walking": 61},
    "bounds": {"moved": 4, "idle": 0},
    "seconds": 6.0,
}


@pytest.fixture
def school(transactional_db: None) -> School:
    """Its timetable is published; it begins in a month."""
    StaffFactory.create(at_front_desk=True, account__email="dana@example.org")
    made = small_school(4, starts_on=timezone.localdate() + timedelta(days=30))
    plan = request_plan(school=made, actor=None, seconds=10)
    find_plan(plan.pk)
    plan.refresh_from_db()
    publish_plan(plan=plan, actor=None)
    return made


def at_the_desk(page: Page, path: str) -> None:
    page.goto("/sign-in/")
    page.get_by_label("E-mail").fill("dana@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.goto(path)


def test_somebody_is_ill_and_the_school_is_planned_again(new_page: NewPage, school: School) -> None:
    ill = str(school.plans.get().sessions.latest("starts_at").instructor)
    page = new_page()
    at_the_desk(page, f"/schools/{school.pk}/timetable/")
    page.get_by_role("link", name="Note the trouble and plan again").click()
    looked_at(page)
    page.get_by_label("What happens").select_option(label="An instructor is away")
    page.get_by_role("button", name="Note it").click()
    expect(page.get_by_text("Say which instructor is away.")).to_be_visible()
    page.get_by_label("Instructor").select_option(label=ill)
    page.get_by_role("button", name="Note it").click()
    expect(page.get_by_role("rowheader", name=f"{ill} is away")).to_be_visible()
    expect(page.get_by_text(f"with {ill}").first).to_be_visible()
    looked_at(page)
    page.get_by_role("button", name="Plan again").click()
    expect(page.get_by_role("heading", name="The draft")).to_be_visible()
    expect(page.get_by_text("Planned again after a trouble", exact=False).first).to_be_visible()
    looked_at(page)


def test_a_search_is_watched_and_what_there_is_taken(new_page: NewPage, school: School) -> None:
    plan = PlanFactory.create(
        school=school,
        state=Plan.State.RUNNING,
        token=uuid4(),
        lease_until=timezone.now() + Plan.LEASE,
        seconds=60,
        progress=FOUND,
    )
    page = new_page()
    at_the_desk(page, f"/schools/{school.pk}/timetable/")
    expect(page.get_by_role("cell", name="4, the best")).to_be_visible()
    looked_at(page)
    Plan.objects.filter(pk=plan.pk).update(progress={**FOUND, "values": {"moved": 4, "idle": 1}})
    expect(page.get_by_role("cell", name="61 minutes")).to_have_count(0)  # it asked again
    page.get_by_role("button", name="Take what there is").click()
    expect(page.get_by_text("Taking what there is")).to_be_visible()
    looked_at(page)
