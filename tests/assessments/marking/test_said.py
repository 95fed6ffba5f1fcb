"""What the page says beside the numbers: the order of points, the camera, a marking unseen."""

import re

import pytest
from playwright.sync_api import Page, expect

from assessments.views.marking_page import landmarks_asked
from tests.assessments.marking.conftest import place_of
from tests.assessments.marking.harness import Desk
from tests.browser import mark_by_mouse, stage_box


def test_points_in_an_order_against_the_handedness_are_told_before_saving(
    opened: Page, desk: Desk
) -> None:
    mark_by_mouse(opened, {key: desk.points[key] for key in desk.required}, desk.size)
    said = opened.locator("[data-order]")
    expect(said).to_be_hidden()
    for key, at in (("Lead shoulder", (500, 300)), ("Trail shoulder", (700, 300))):
        opened.get_by_role("button", name=key).click()
        opened.mouse.click(*place_of(opened, at, desk.size))
    expect(said).to_contain_text("Trail shoulder is nearer the target than lead shoulder.")
    expect(said).to_contain_text("plays right-handed, so the target is on the right")


def test_a_ball_marked_the_wrong_way_round_is_told_of_a_left_hander(
    opened: Page, desk: Desk
) -> None:
    desk.still_name = "07_iron_left_strong"
    opened.reload()
    stage_box(opened)
    for key in ("ball_edge_b", "ball_edge_a"):
        opened.mouse.click(*place_of(opened, desk.points[key], desk.size))
    expect(opened.locator("[data-order]")).to_contain_text("the target is on the left")


def test_four_corners_say_that_the_camera_is_corrected_for_later(opened: Page, desk: Desk) -> None:
    desk.has_corners = True
    opened.reload()
    stage_box(opened)
    corners = {
        "ground_a": [200.0, 850.0],
        "ground_b": [1080.0, 850.0],
        "ground_c": [1000.0, 800.0],
        "ground_d": [280.0, 800.0],
    }
    mark_by_mouse(opened, {key: desk.points[key] for key in desk.required} | corners, desk.size)
    expect(opened.locator("[data-camera-note]")).to_be_visible()


def test_a_joints_spread_widens_what_is_shown(opened: Page, desk: Desk) -> None:
    points = {key: desk.points[key] for key in desk.required}
    mark_by_mouse(opened, points, desk.size)
    worth = opened.locator("[data-measure=forearm_lean_deg] .unit")
    expect(worth).to_have_text(re.compile(r"± [12]\.\d"))
    desk.more = {"placementSdMm": {"lead_elbow": 12, "lead_wrist": 8}}
    opened.reload()
    expect(worth).to_have_text(re.compile(r"± [67]\.\d"))


def test_unseen_marking_shows_neither_a_name_nor_a_number(opened: Page, desk: Desk) -> None:
    desk.more = {"isUnseen": True, "draft": "again"}
    opened.reload()
    mark_by_mouse(opened, {key: desk.points[key] for key in desk.required}, desk.size)
    expect(opened.locator("[data-measure]")).to_have_count(0)
    expect(opened.get_by_text("Gail Golfer")).to_have_count(0)
    expect(opened.get_by_role("button", name="Save the marks")).to_be_enabled()


@pytest.mark.parametrize("club", ["driver", "iron"])
def test_every_point_that_is_asked_for_has_its_spot_in_the_figure(
    opened: Page, desk: Desk, club: str
) -> None:
    spots = opened.locator("[data-spot]").evaluate_all("all => all.map(e => e.dataset.spot)")
    asked = landmarks_asked(club, two_frames=True, corners=True)  # type: ignore[arg-type]
    assert {landmark["key"].removeprefix("before:") for landmark in asked} <= set(spots)
