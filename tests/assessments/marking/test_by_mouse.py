"""Marking by mouse: one click a point, and one to save."""

import re

import pytest
from playwright.sync_api import Page, expect

from assessments.impact.cases import read_case
from assessments.impact.measures import measure_still
from assessments.impact.words import reading
from tests.assessments.marking.conftest import assert_near, place_of, save, shown
from tests.assessments.marking.harness import Desk
from tests.browser import mark_by_mouse, stage_box

CHECKS_ONLY = ("shaft_mid", "trail_shoulder")


def click(page: Page, desk: Desk, *keys: str) -> None:
    for key in keys:
        page.mouse.click(*place_of(page, desk.points[key], desk.size))


@pytest.mark.parametrize(
    "still", ["01_iron_right_strong", "07_iron_left_strong", "10_driver_left_strong"]
)
def test_the_marks_sent_are_those_clicked(opened: Page, desk: Desk, still: str) -> None:
    desk.still_name = still
    opened.reload()
    half_a_pixel = 0.5 * desk.size[0] / stage_box(opened)["width"]
    meant = {key: point for key, point in desk.points.items() if key not in CHECKS_ONLY}
    mark_by_mouse(opened, meant, desk.size)
    save(opened)
    assert_near(desk.sent[0]["landmarks"], meant, within=half_a_pixel)


def test_six_points_and_a_save_are_seven_clicks(opened: Page, desk: Desk) -> None:
    opened.evaluate("window.presses = 0; addEventListener('pointerdown', () => presses++, true)")
    click(opened, desk, *desk.required)
    assert opened.evaluate("presses") == 6
    expect(opened.get_by_role("button", name="Save the marks")).to_be_enabled()


def test_saving_waits_for_what_is_needed_and_says_so(opened: Page, desk: Desk) -> None:
    click(opened, desk, *desk.required[:-1])
    expect(opened.get_by_role("button", name="Save the marks")).to_be_disabled()
    expect(opened.locator("[data-reason]")).to_have_text("Before saving, mark: lead elbow.")
    expect(opened.get_by_text("Not saved yet")).to_be_visible()


def test_a_driver_needs_the_foot_of_the_tee(opened: Page, desk: Desk) -> None:
    desk.still_name = "04_driver_right_strong"
    opened.reload()
    expect(opened.locator("[data-reason]")).to_contain_text("foot of the tee")


def test_half_a_ground_line_asks_for_its_other_end(opened: Page, desk: Desk) -> None:
    click(opened, desk, *desk.required)
    opened.get_by_role("button", name="Ground, trail side").click()
    click(opened, desk, "ground_a")
    expect(opened.locator("[data-reason]")).to_have_text(
        "Before saving, mark: ground, target side."
    )


@pytest.mark.parametrize("still", ["01_iron_right_strong", "09_iron_left_flip"])
def test_the_values_shown_are_those_of_the_core(opened: Page, desk: Desk, still: str) -> None:
    desk.still_name = still
    opened.reload()
    meant = {key: point for key, point in desk.points.items() if key not in CHECKS_ONLY}
    mark_by_mouse(opened, meant, desk.size)
    marked = {**desk.case, "landmarks_px": shown(opened), "click_sd_px": 1.5}
    offset = reading(measure_still(read_case(marked)).measures["forearm_line_offset_bd"])
    row = opened.locator("[data-measure=forearm_line_offset_bd]")
    expect(row).to_contain_text(f"{offset.value} balls ± {offset.plus_minus} balls")


def test_the_offset_is_read_out(opened: Page, desk: Desk) -> None:
    click(opened, desk, *desk.required)
    expect(opened.locator("[data-speech]")).to_have_text(
        re.compile(r"^Forearm-line offset plus \d\.\d ball diameters, give or take \d\.\d\.$")
    )


def test_a_school_with_its_own_step_sees_steps(opened: Page, desk: Desk) -> None:
    desk.more = {"stepMm": 10.0}
    opened.reload()
    click(opened, desk, *desk.required)
    expect(opened.locator("[data-offset-note]")).to_have_text(
        re.compile(r"^\+\d+ mm, \+\d+\.\d steps$")
    )


def test_a_line_comes_with_its_second_point(opened: Page, desk: Desk) -> None:
    forearm, grip = (opened.locator(f"[data-picture] text.{kind}") for kind in ("forearm", "grip"))
    click(opened, desk, *desk.required[:3])
    expect(grip).to_have_count(0)
    click(opened, desk, *desk.required[3:5])
    expect(grip).to_have_text("grip line")
    expect(forearm).to_have_count(0)
    click(opened, desk, desk.required[5])
    expect(forearm).to_have_text("lead forearm")


def test_undo_and_redo_go_through_the_points(opened: Page, desk: Desk) -> None:
    click(opened, desk, "ball_edge_a", "ball_edge_b")
    opened.get_by_role("button", name="Undo").click()
    assert shown(opened).keys() == {"ball_edge_a"}
    expect(opened.get_by_role("heading", name="Ball, target edge")).to_be_visible()
    opened.get_by_role("button", name="Redo").click()
    assert shown(opened).keys() == {"ball_edge_a", "ball_edge_b"}


def test_a_mark_can_be_dragged_afterwards_and_put_back(opened: Page, desk: Desk) -> None:
    click(opened, desk, *desk.required)
    before = shown(opened)
    x, y = place_of(opened, desk.points["lead_elbow"], desk.size)
    opened.mouse.move(x + 2, y)
    opened.mouse.down()
    opened.mouse.move(x + 12, y)
    opened.mouse.move(x + 42, y + 30)
    opened.mouse.up()
    moved = 40 * desk.size[0] / stage_box(opened)["width"]
    u, v = before["lead_elbow"]
    assert shown(opened)["lead_elbow"] == pytest.approx([u + moved, v + 0.75 * moved], abs=0.02)
    opened.get_by_role("button", name="Undo").click()
    assert shown(opened) == before


def test_a_chosen_point_is_placed_again(opened: Page, desk: Desk) -> None:
    click(opened, desk, *desk.required)
    opened.get_by_role("button", name="Lead wrist").click()
    opened.mouse.click(*place_of(opened, (600, 500), desk.size))
    assert shown(opened)["lead_wrist"] == pytest.approx([600, 500], abs=0.02)
    expect(opened.get_by_role("heading", name="Lead shoulder")).to_be_visible()


def test_zooming_in_keeps_still_pixels(opened: Page, desk: Desk) -> None:
    click(opened, desk, "ball_edge_a")
    for _ in range(3):
        opened.get_by_role("button", name="Zoom in").click()
    (x, y), per_px = place_of(opened, (640, 480), desk.size), 8 * stage_box(opened)["width"]
    left, top, _, _ = map(
        float, (opened.locator("[data-picture]").get_attribute("viewBox") or "").split()
    )
    opened.mouse.click(x, y)
    middle = [left + 80, top + 60]
    assert shown(opened)["ball_edge_b"] == pytest.approx(middle, abs=0.5 * desk.size[0] / per_px)
    opened.get_by_role("button", name="Whole picture").click()
    expect(opened.locator("[data-picture]")).to_have_attribute("viewBox", "0 0 1280 960")


def test_the_wheel_scrolls_the_page_until_zoomed_in(opened: Page, desk: Desk) -> None:
    opened.mouse.move(*place_of(opened, (640, 480), desk.size))
    opened.mouse.wheel(0, 200)
    expect(opened.get_by_role("heading", name="Mark the still")).not_to_be_in_viewport()
    opened.keyboard.down("Control")
    opened.mouse.wheel(0, -200)
    opened.keyboard.up("Control")
    expect(opened.get_by_role("button", name="Zoom out")).to_be_enabled()


@pytest.mark.parametrize("u", [60, 640, 1220])
def test_the_magnifier_shows_the_spot_and_keeps_clear_of_it(
    opened: Page, desk: Desk, u: float
) -> None:
    x, y = place_of(opened, (u, 80), desk.size)
    opened.mouse.move(x, y)
    magnifier = opened.locator("[data-magnifier]")
    expect(magnifier).to_contain_text("ball, trail edge")
    box = magnifier.bounding_box()
    assert box is not None
    assert not (box["x"] <= x <= box["x"] + box["width"] and y <= box["y"] + box["height"])
    left, top, width, height = map(
        float, (magnifier.locator("svg").get_attribute("viewBox") or "").split()
    )
    assert [left + width / 2, top + height / 2] == pytest.approx([u, 80], abs=0.02)
    opened.mouse.move(x, 5)
    expect(magnifier).to_be_hidden()


def test_the_figure_shows_the_point_and_is_mirrored_for_left_handers(
    opened: Page, desk: Desk
) -> None:
    spot = opened.locator("[data-spot=ball_edge_a]")
    right_handed = spot.bounding_box()
    desk.still_name = "07_iron_left_strong"
    opened.reload()
    expect(spot).to_be_visible()
    left_handed = spot.bounding_box()
    assert right_handed
    assert left_handed
    assert left_handed["x"] > right_handed["x"]
