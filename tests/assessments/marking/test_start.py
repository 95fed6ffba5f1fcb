"""Marks of the still before as a start: one click, then confirmed or moved one by one."""

import pytest
from playwright.sync_api import Page, expect

from tests.assessments.marking.conftest import place_of, save, shown
from tests.assessments.marking.harness import Desk
from tests.browser import stage_box


@pytest.fixture
def started(opened: Page, desk: Desk) -> Page:
    desk.more = {"start": {key: desk.points[key] for key in desk.required}}
    opened.reload()
    stage_box(opened)
    opened.get_by_role("button", name="Start from").click()
    return opened


def unconfirmed(page: Page) -> int:
    return page.locator("[data-landmark][data-unconfirmed]").count()


def test_one_click_takes_them_all_and_none_counts_as_confirmed(started: Page, desk: Desk) -> None:
    assert shown(started).keys() == set(desk.required)
    assert unconfirmed(started) == len(desk.required)
    expect(started.locator("[data-now]")).to_contain_text("6 left to confirm")
    expect(started.get_by_role("heading", name="Ball, trail edge")).to_be_visible()


def test_enter_confirms_one_after_the_other(started: Page, desk: Desk) -> None:
    started.locator("[data-picture]").focus()
    for left in range(5, -1, -1):
        started.keyboard.press("Enter")
        assert unconfirmed(started) == left
    expect(started.get_by_role("heading", name="Lead shoulder")).to_be_visible()
    save(started)
    assert desk.sent[0]["landmarks"].keys() == set(desk.required)


def test_a_mark_that_is_moved_is_confirmed(started: Page, desk: Desk) -> None:
    x, y = place_of(started, desk.points["lead_elbow"], desk.size)
    started.mouse.move(x, y)
    started.mouse.down()
    started.mouse.move(x + 20, y + 10, steps=3)
    started.mouse.up()
    assert unconfirmed(started) == 5
    started.get_by_role("button", name="Undo").click()
    assert unconfirmed(started) == 6


def test_a_finger_confirms_with_a_button(started: Page) -> None:
    started.get_by_role("button", name="Right as it is").click()
    assert unconfirmed(started) == 5


def test_saving_counts_those_left_and_saves_when_asked_again(started: Page, desk: Desk) -> None:
    started.get_by_role("button", name="Right as it is").click()
    started.get_by_role("button", name="Save the marks").click()
    expect(started.locator("[data-reason]")).to_contain_text("5 points taken from the still before")
    assert desk.sent == []
    with started.expect_navigation():
        started.get_by_role("button", name="Save with 5 points as they are").click()
    assert desk.sent[0]["landmarks"].keys() == set(desk.required)


def test_a_reload_remembers_what_is_unconfirmed(started: Page) -> None:
    started.get_by_role("button", name="Right as it is").click()
    started.reload()
    stage_box(started)
    assert unconfirmed(started) == 5


def test_undo_takes_the_start_back(started: Page) -> None:
    started.get_by_role("button", name="Undo").click()
    assert shown(started) == {}
    expect(started.get_by_role("button", name="Start from")).to_be_visible()
