"""Marking without a pointer: on the stage by keys, and in the list by numbers."""

import pytest
from playwright.sync_api import Page, expect

from tests.assessments.marking.conftest import shown
from tests.assessments.marking.harness import Desk

MIDDLE = [640, 480]


def press(page: Page, *keys: str) -> None:
    page.locator("[data-picture]").focus()
    for key in keys:
        page.keyboard.press(key)


def test_arrows_go_from_the_middle_and_enter_places(opened: Page) -> None:
    press(opened, "Enter", "Shift+ArrowDown", "ArrowRight", "ArrowRight", "Alt+ArrowLeft", "Enter")
    assert shown(opened) == {"ball_edge_a": [641.75, 490]}
    expect(opened.get_by_role("heading", name="Ball, target edge")).to_be_visible()


@pytest.mark.parametrize(
    ("key", "step"),
    [
        ("ArrowRight", 0.25),
        ("Shift+ArrowRight", 1),
        ("Alt+ArrowRight", 10),
        ("Control+ArrowRight", 10),
    ],
)
def test_arrows_move_the_placed_mark(opened: Page, key: str, step: float) -> None:
    press(opened, "Enter", "Enter", "Escape", "1", key)
    assert shown(opened) == {"ball_edge_a": [640 + step, 480]}


def test_a_run_of_arrows_is_one_step_back(opened: Page) -> None:
    press(opened, "Enter", "Enter", "1", "ArrowUp", "ArrowUp", "ArrowUp", "Control+z")
    assert shown(opened) == {"ball_edge_a": MIDDLE}
    press(opened, "Control+y")
    assert shown(opened) == {"ball_edge_a": [640, 479.25]}
    press(opened, "Control+z", "Control+z")
    assert shown(opened) == {}


def test_delete_takes_a_mark_away(opened: Page) -> None:
    press(opened, "Enter", "Enter", "1", "Delete")
    assert shown(opened) == {}
    expect(opened.get_by_role("heading", name="Ball, trail edge")).to_be_visible()


def test_number_and_page_keys_choose_a_point(opened: Page) -> None:
    press(opened, "6")
    expect(opened.get_by_role("heading", name="Lead elbow")).to_be_visible()
    press(opened, "PageUp")
    expect(opened.get_by_role("heading", name="Lead wrist")).to_be_visible()
    press(opened, "PageDown", "PageDown")
    expect(opened.get_by_role("heading", name="Lead shoulder")).to_be_visible()


def test_the_magnifier_follows_the_keys(opened: Page) -> None:
    press(opened, "Enter", "ArrowRight")
    magnifier = opened.locator("[data-magnifier]")
    expect(magnifier).to_contain_text("ball, trail edge")
    opened.keyboard.press("Tab")
    expect(magnifier).to_be_hidden()


def test_tab_leaves_the_stage(opened: Page) -> None:
    press(opened, "Enter", "Tab")
    expect(opened.locator("[data-picture]")).not_to_be_focused()


def test_a_still_can_be_marked_by_numbers_alone(opened: Page, desk: Desk) -> None:
    for key in desk.required:
        for field, position in zip(
            opened.locator(f"[data-landmark={key}] input").all(), desk.points[key], strict=True
        ):
            field.fill(str(position))
            field.press("Enter")
    with opened.expect_navigation():
        opened.get_by_role("button", name="Save the marks").press("Enter")
    assert desk.sent[0]["landmarks"].keys() == set(desk.required)
    assert desk.sent[0]["landmarks"]["lead_elbow"] == pytest.approx(
        desk.points["lead_elbow"], abs=0.01
    )


def test_emptying_both_numbers_takes_the_mark_away(opened: Page) -> None:
    press(opened, "Enter", "Enter")
    for field in opened.locator("[data-landmark=ball_edge_a] input").all():
        field.fill("")
        field.press("Tab")
    assert shown(opened) == {}


def test_the_arrows_of_the_card_move_the_mark(opened: Page) -> None:
    press(opened, "Enter", "Enter")
    opened.get_by_role("button", name="One pixel left").click()
    opened.get_by_role("button", name="One pixel down").click()
    assert shown(opened) == {"ball_edge_a": [639, 481]}
    opened.get_by_role("button", name="Remove").click()
    assert shown(opened) == {}
