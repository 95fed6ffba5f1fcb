"""The desk changes a timetable by hand in a real browser: by keyboard, by mouse and by a form."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, expect

from lessons.actions.plans import request_plan
from lessons.actions.publishing import publish_plan
from lessons.models import Hours, Plan, Visit
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import StaffFactory
from tests.lessons.factories import small_school

pytestmark = pytest.mark.django_db(transaction=True)
DESK = pytest.mark.parametrize("new_page", [(1280, 900)], ids=["1280 px"], indirect=True)
PHONE = pytest.mark.parametrize("new_page", [(390, 844)], ids=["390 px"], indirect=True)


@pytest.fixture
def plan(new_page: NewPage) -> Plan:
    """Published, of two squads. Bunker play may be at any time, but for the last slot of a day."""
    StaffFactory.create(at_front_desk=True, account__email="dana@example.org")
    school = small_school(name="Kelp Bay school")
    bunkers = school.programme.visits.get(slug="lesson-1")
    bunkers.after.clear()
    Visit.objects.filter(pk=bunkers.pk).update(name="Bunker play")
    for day in range(3):
        Hours.objects.filter(
            starts_at__lt=school.slot_instant(day, 0), ends_at__gt=school.slot_instant(day, 7)
        ).update(ends_at=school.slot_instant(day, 7))
    plan = request_plan(school=school, actor=None, seconds=10)
    publish_plan(plan=plan, actor=None)
    return plan


@pytest.fixture
def page(new_page: NewPage, plan: Plan) -> Page:
    page = new_page()
    page.goto("/sign-in/")
    page.get_by_label("E-mail").fill("dana@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.goto(f"/schools/{plan.school_id}/timetable/")
    looked_at(page)
    press(page, "Change a copy by hand")
    return page


def press(page: Page, name: str) -> None:
    with page.expect_navigation():
        page.get_by_role("button", name=name).click()
    looked_at(page)


def card(page: Page) -> Locator:
    """Squad 1's bunker play, on the tab of its day."""
    page.locator("[data-by-hand][data-ready]").wait_for()
    found = page.locator("tr > td:nth-child(2) [data-session]", has_text="Bunker play")
    day = found.locator("xpath=ancestor::*[@data-day]").get_attribute("data-day")
    page.locator(f"[data-day-tab='{day}']").click()
    return found


def cell(page: Page, fit: str) -> Locator:
    """The last cell of the day that is marked so; marks come with the answer to the pick-up."""
    return page.locator(f"[data-day]:not([hidden]) td[data-fit={fit}]").last


def walk(page: Page, start: Locator, end: Locator) -> None:
    """From a card to another cell of its column, with the arrows."""
    here, there = (
        int(each.get_attribute("data-slot") or 0) for each in (start.locator("xpath=.."), end)
    )
    for _ in range(abs(there - here)):
        page.keyboard.press("ArrowDown" if there > here else "ArrowUp")


def lift(page: Page, what: Locator) -> None:
    """Press on it and begin to drag."""
    page.evaluate("document.fonts.ready.then(() => true)")  # or the card moves away below the mouse
    what.hover()
    box = what.bounding_box()
    assert box is not None
    page.mouse.down()
    page.mouse.move(box["x"] + 20, box["y"] + 20)


def go_over(page: Page, there: Locator) -> None:
    there.scroll_into_view_if_needed()
    box = there.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 20, box["y"] + 20, steps=4)


@DESK
def test_by_keyboard_and_mouse_to_another_timetable(page: Page) -> None:
    said = page.locator("[data-tray-said]")
    move_by_keyboard(page, said)
    press(page, "Take back the last step")
    expect(page.get_by_text("Nothing is changed yet.")).to_be_visible()
    move_by_mouse(page, said)
    move_by_finger(page, said)
    press(page, "Take back the last step")
    pin_and_change_the_view(page)
    with page.expect_navigation():
        page.get_by_role("link", name="Compare with the published one").click()
    looked_at(page)
    expect(page.get_by_text("4 golfers moved to another time or bay.")).to_be_visible()
    press(page, "Publish the second")
    expect(page.get_by_text("The timetable is published.")).to_be_visible()


def move_by_keyboard(page: Page, said: Locator) -> None:
    first = card(page)
    first.press("Enter")
    expect(cell(page, "no")).to_contain_text("No")
    looked_at(page)
    walk(page, first, cell(page, "no"))
    expect(said).to_contain_text("15:15, Squad 1. Not possible.")
    page.keyboard.press("Enter")
    expect(page.locator("[data-spoken]")).to_contain_text("Not moved.")
    page.keyboard.press("Escape")
    expect(first).to_be_focused()
    first.press("Enter")
    expect(cell(page, "yes")).to_contain_text("Fits")
    walk(page, first, cell(page, "yes"))
    expect(said).to_contain_text("Fits: ")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.locator("[data-session]:focus", has_text="Bunker play")).to_be_visible()
    expect(page.locator("#last-step")).to_contain_text("Squad 1")
    looked_at(page)


def move_by_mouse(page: Page, said: Locator) -> None:
    lift(page, card(page))
    go_over(page, cell(page, "no"))
    expect(said).to_contain_text("Not possible.")
    looked_at(page)
    go_over(page, cell(page, "yes"))
    expect(said).to_contain_text("Fits: ")
    with page.expect_navigation():
        page.mouse.up()
    expect(page.locator("#last-step")).to_contain_text("Squad 1")


def move_by_finger(page: Page, said: Locator) -> None:
    """It rests on the session until that is picked up, as a quick one would scroll the page."""
    finger = page.context.new_cdp_session(page)

    def touch(kind: str, *at: Locator) -> None:
        boxes = [box for each in at if (box := each.bounding_box())]
        points = [{"x": box["x"] + 20, "y": box["y"] + 20} for box in boxes]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    what = card(page)
    what.scroll_into_view_if_needed()
    touch("touchStart", what)
    page.locator("[data-held]").wait_for()
    there = page.locator("[data-day]:not([hidden]) td[data-fit=yes]").first
    there.scroll_into_view_if_needed()
    touch("touchMove", there)
    expect(said).to_contain_text("Fits: ")
    with page.expect_navigation():
        touch("touchEnd")
    expect(page.locator("[data-session]:focus", has_text="Bunker play")).to_be_visible()


def pin_and_change_the_view(page: Page) -> None:
    card(page).click()
    press(page, "Pin it here")
    expect(page.locator("[data-session] .pinned").first).to_be_visible()
    for by in ("bay", "instructor"):
        with page.expect_navigation():
            page.get_by_role("link", name=f"By {by}").click()
        looked_at(page)
        expect(page.locator("[data-session] .pinned").first).to_be_visible()
    page.get_by_role("link", name="9 May").click()
    expect(page.get_by_text("day 3, by instructor")).to_be_visible()


@PHONE
def test_by_the_form_on_a_phone(page: Page) -> None:
    """Bunker play has somewhere else to go, whatever day the search has put it on."""
    bunkers = page.locator(".agenda-link", has_text="Bunker play").first
    page.goto(str(bunkers.get_attribute("href")))
    page.locator("[data-check][data-ready]").wait_for()
    looked_at(page)
    page.get_by_label("Begins at").select_option(label="15:15")
    expect(page.locator("[data-checked]")).to_contain_text("Not possible.")
    press(page, "Move it")
    expect(page.get_by_text("Not done.")).to_be_visible()
    expect(page.get_by_label("Begins at")).to_have_value("7")
    with page.expect_navigation():
        page.get_by_role("link", name="Choose").first.click()
    expect(page.get_by_text("Nothing speaks against this place.")).to_be_visible()
    looked_at(page)
    press(page, "Move it")
    expect(page.locator("#last-step")).to_contain_text("Bunker play")
    with page.expect_navigation():
        page.get_by_role("link", name="Compare").click()
    looked_at(page)
