"""The page as a page: for everybody, on every screen, within the content policy."""

from typing import Literal

import pytest
from django.test import Client
from playwright.sync_api import ConsoleMessage, Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.assessments.marking.harness import Desk
from tests.browser import assert_no_axe_violations, mark_by_mouse, stage_box

SIZES = [(360, 740), (390, 844), (1280, 800), (2560, 1440)]


@pytest.mark.parametrize(("width", "light"), [(390, "light"), (1280, "dark")])
def test_axe_finds_nothing(
    page: Page, live_server: LiveServer, desk: Desk, width: int, light: Literal["light", "dark"]
) -> None:
    page.set_viewport_size({"width": width, "height": 844})
    page.emulate_media(color_scheme=light, reduced_motion="reduce")
    desk.errors = ["The two marks on the club are too near each other to give a direction."]
    page.goto(f"{live_server.url}/mark/")
    mark_by_mouse(page, {key: desk.points[key] for key in desk.required}, desk.size)
    assert_no_axe_violations(page)


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_stage_and_tools_fit_one_screen(opened: Page, width: int, height: int) -> None:
    opened.set_viewport_size({"width": width, "height": height})
    opened.evaluate("scrollTo(0, 0)")
    expect(opened.get_by_role("button", name="Whole picture")).to_be_in_viewport(ratio=1)
    card = opened.locator("[data-now]")
    expect(card.get_by_role("heading")).to_be_in_viewport(ratio=1)
    assert opened.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_what_is_pressed_is_large_enough_for_a_glove(opened: Page, desk: Desk) -> None:
    mark_by_mouse(opened, {key: desk.points[key] for key in desk.required}, desk.size)
    small = opened.locator("[data-marking] :is(button, input, summary):visible").evaluate_all(
        "all => all.filter(e => Math.min(e.offsetHeight, e.offsetWidth) < 48).map(e => e.outerHTML)"
    )
    assert small == []


def test_the_browser_has_nothing_to_complain_about(
    page: Page, live_server: LiveServer, desk: Desk
) -> None:
    said: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        said.append(message.text)

    page.on("console", hear)
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(f"{live_server.url}/mark/")
    mark_by_mouse(page, {key: desk.points[key] for key in desk.required}, desk.size)
    assert said == []


def test_a_picture_that_does_not_arrive_is_said(
    page: Page, live_server: LiveServer, desk: Desk
) -> None:
    page.route("**/picture/", lambda route: route.abort())
    page.goto(f"{live_server.url}/mark/")
    expect(page.get_by_text("The picture did not arrive.")).to_be_visible()


def test_without_javascript_the_page_says_what_it_needs(desk: Desk, client: Client) -> None:
    assert b"Marking needs JavaScript" in client.get("/mark/").content


def test_points_are_asked_for_in_order_needed_ones_first(opened: Page, desk: Desk) -> None:
    stage_box(opened)
    keys = opened.locator("[data-landmark]").evaluate_all("r => r.map(e => e.dataset.landmark)")
    assert keys[: len(desk.required)] == desk.required
