"""The wall in a real browser: chosen, presented by keys, a still kept for later schools."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from school.models import School
from tests.assessments.wall.scene import KEPT, NAMES, SHOWN, attendee, full_wall, hang
from tests.browser import assert_no_axe_violations, looked_at
from tests.e2e.conftest import NewPage
from tests.factories import SchoolFactory, StaffFactory

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def school(transactional_db: None) -> School:
    lead = StaffFactory.create(teaches=True, account__email="ines@example.org")
    school = SchoolFactory.create(name="Kelp Bay school", lead_instructor=lead)
    full_wall(school)
    hang(attendee(school, "Jorun Kell", SHOWN, KEPT))
    return school


def signed_in(page: Page) -> Page:
    page.goto("/sign-in/")
    page.get_by_label("E-mail").fill("ines@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.wait_for_url(re.compile("/my-day/|/$"))
    return page


def current(page: Page) -> int:
    slides = page.locator("[data-slide]")
    return slides.evaluate_all("all => all.findIndex(one => one.hasAttribute('aria-current'))")


def test_the_wall_is_chosen_and_presented(new_page: NewPage, school: School) -> None:
    page = signed_in(new_page())
    page.goto(f"/schools/{school.pk}/wall/")
    tiles = page.locator(".wall-tiles").first.locator("li")
    expect(tiles).to_have_count(len(NAMES) + 1)
    expect(page.get_by_role("heading", name="Without a place")).to_be_visible()
    looked_at(page)

    page.get_by_label("Sorted by").select_option("Shaft lean")
    page.get_by_label("Order", exact=True).select_option("Highest first")
    page.get_by_role("button", name="Show").click()
    expect(page.get_by_text("From highest to lowest shaft lean, in °.")).to_be_visible()
    page.get_by_role("button", name="Keep as reference").click()
    expect(page.get_by_text("The still is kept for later schools")).to_be_visible()
    expect(page.get_by_text("From highest to lowest shaft lean, in °.")).to_be_visible()

    page.get_by_role("link", name="Present").click()
    expect(page.locator("body.is-live")).to_be_visible()
    expect(page.get_by_text("Alva Birk")).to_be_visible()
    expect(page.get_by_text("Bram Colley")).to_have_count(0)
    looked_at(page)
    by_keys(page)


def by_keys(page: Page) -> None:
    """Along the row and back, two beside each other, sorted anew, out again."""
    for key, place in (("ArrowRight", 1), ("End", 8), ("ArrowRight", 8), ("ArrowLeft", 7)):
        page.keyboard.press(key)
        assert current(page) == place
    page.keyboard.press("Home")
    page.keyboard.press("b")
    expect(page.locator("[data-slide]:visible")).to_have_count(2)
    for picture in page.locator("[data-slide]:visible img").all():
        box = picture.bounding_box()
        assert box is not None
        assert box["height"] > 150
    assert_no_axe_violations(page)
    title = page.title()
    page.keyboard.press("s")
    expect(page).not_to_have_title(title)
    expect(page.locator("[data-slide]:visible")).to_have_count(2)
    assert current(page) == 0
    page.keyboard.press("Escape")
    expect(page.locator("[data-slide]").nth(2)).to_be_attached()
    page.keyboard.press("Escape")
    page.wait_for_url(re.compile(r"/wall/\?measure=forearm_shaft_angle_deg"))


def test_without_a_script_it_is_a_list(new_page: NewPage, school: School) -> None:
    page = signed_in(new_page())
    page.route(re.compile(r"present\.js"), lambda route: route.abort())
    page.goto(f"/schools/{school.pk}/wall/present/")
    expect(page.locator("[data-slide] img")).to_have_count(len(NAMES) + 1)
    expect(page.get_by_role("link", name="Next measure")).to_be_visible()
    expect(page.get_by_role("button", name="Full screen")).to_be_hidden()
    looked_at(page)
