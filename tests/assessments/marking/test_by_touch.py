"""Marking by finger: taps, drags with the mark held clear of the finger, two fingers to zoom."""

from collections.abc import Iterator, Sequence

import pytest
from playwright.sync_api import Browser, Page
from pytest_django.live_server_helper import LiveServer

from tests.assessments.marking.conftest import Place, assert_near, place_of, save, shown
from tests.assessments.marking.harness import Desk
from tests.browser import stage_box

LIFT = 56


@pytest.fixture
def phone(browser: Browser, live_server: LiveServer, desk: Desk) -> Iterator[Page]:
    context = browser.new_context(
        viewport={"width": 390, "height": 844},
        has_touch=True,
        is_mobile=True,
        device_scale_factor=3,
    )
    page = context.new_page()
    page.goto(f"{live_server.url}/mark/")
    stage_box(page)
    yield page
    context.close()


def drag(page: Page, *steps: Sequence[Place], then: str = "touchEnd") -> None:
    """Put fingers down at the places of the first step, move through the others and lift."""
    session = page.context.new_cdp_session(page)
    kinds = ["touchStart", *["touchMove"] * (len(steps) - 1)]
    for kind, places in zip(kinds, steps, strict=True):
        points = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(places)]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    session.send("Input.dispatchTouchEvent", {"type": then, "touchPoints": []})
    session.detach()


def tap(page: Page, desk: Desk, *keys: str) -> None:
    for key in keys:
        page.touchscreen.tap(*place_of(page, desk.points[key], desk.size))


def test_taps_place_the_points(phone: Page, desk: Desk) -> None:
    tap(phone, desk, *desk.required)
    half_a_pixel = 0.5 * desk.size[0] / stage_box(phone)["width"]
    assert_near(shown(phone), {key: desk.points[key] for key in desk.required}, half_a_pixel)
    save(phone)
    assert desk.sent[0]["landmarks"].keys() == set(desk.required)


def test_a_new_point_is_held_above_the_finger(phone: Page, desk: Desk) -> None:
    x, y = place_of(phone, desk.points["ball_edge_a"], desk.size)
    drag(phone, [(x - 30, y)], [(x - 10, y + LIFT)], [(x, y + LIFT)])
    assert shown(phone)["ball_edge_a"] == pytest.approx(desk.points["ball_edge_a"], abs=1)


def test_a_placed_point_is_held_above_the_finger(phone: Page, desk: Desk) -> None:
    tap(phone, desk, *desk.required)
    x, y = place_of(phone, desk.points["lead_elbow"], desk.size)
    drag(phone, [(x, y)], [(x + 20, y + LIFT)], [(x + 36, y + LIFT)])
    u, v = desk.points["lead_elbow"]
    right = 36 * desk.size[0] / stage_box(phone)["width"]
    assert shown(phone)["lead_elbow"] == pytest.approx([u + right, v], abs=1)


def test_two_fingers_zoom_and_place_nothing(phone: Page, desk: Desk) -> None:
    x, y = place_of(phone, (640, 480), desk.size)
    drag(phone, [(x - 20, y)], [(x - 20, y), (x + 20, y)], [(x - 60, y), (x + 60, y)])
    assert shown(phone) == {}
    box = (phone.locator("[data-picture]").get_attribute("viewBox") or "").split()
    assert float(box[2]) == pytest.approx(desk.size[0] / 3, rel=0.01)
    assert [float(box[0]) + float(box[2]) / 2, float(box[1]) + float(box[3]) / 2] == pytest.approx(
        [640, 480], abs=2
    )


def test_a_drag_the_system_takes_away_is_undone(phone: Page, desk: Desk) -> None:
    tap(phone, desk, *desk.required)
    before = shown(phone)
    x, y = place_of(phone, desk.points["lead_elbow"], desk.size)
    drag(phone, [(x, y)], [(x + 20, y + LIFT)], [(x + 36, y + LIFT)], then="touchCancel")
    assert shown(phone) == before
