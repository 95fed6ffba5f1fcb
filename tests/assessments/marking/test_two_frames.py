"""Two frames of one swing: each its own marks, what stands still lent, the head in both."""

from collections.abc import Iterable

import pytest
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from assessments.impact.landmarks import Landmark
from assessments.impact.two_frames import measure_two_frames
from assessments.impact.words import reading
from tests.assessments.impact.marks import moved
from tests.assessments.impact.test_two_frames import pair
from tests.assessments.marking.conftest import place_of, save, shown
from tests.assessments.marking.harness import Desk
from tests.browser import stage_box

BEFORE, AT = pair(240, 0.4)
MOVING = ["grip_end", "shaft_low", "lead_wrist", "lead_elbow", "club_head"]
FIRST = ["ball_edge_a", "ball_edge_b", *MOVING]


@pytest.fixture
def frames(page: Page, live_server: LiveServer, desk: Desk) -> Page:
    desk.before_name = "03_iron_right_flip"
    page.goto(f"{live_server.url}/mark/")
    stage_box(page)
    return page


def click(page: Page, desk: Desk, frame: str, keys: Iterable[str]) -> None:
    marks = (BEFORE if frame == "before" else AT).landmarks
    for key in keys:
        point = marks[Landmark(key)]
        page.mouse.click(*place_of(page, (point.u, point.v), desk.size))


def frame_shown(page: Page) -> str:
    return page.locator("[data-frame][aria-pressed=true]").inner_text()


def test_the_frame_follows_what_is_asked_for_and_both_are_sent(frames: Page, desk: Desk) -> None:
    assert frame_shown(frames) == "Before the strike"
    click(frames, desk, "before", FIRST)
    assert frame_shown(frames) == "At the strike"
    click(frames, desk, "at", MOVING)
    save(frames)
    assert desk.sent[0]["landmarks_before"].keys() == set(FIRST)
    assert desk.sent[0]["landmarks"].keys() == set(MOVING)


def test_the_values_are_those_at_the_strike(frames: Page, desk: Desk) -> None:
    click(frames, desk, "before", FIRST)
    row = frames.locator("[data-measure=shaft_lean_deg]")
    expect(row).to_contain_text("needs 3 marks")
    click(frames, desk, "at", MOVING)
    marks = shown(frames)
    core = measure_two_frames(
        moved(BEFORE, **own(marks, "before:")), moved(AT, **own(marks, ""))
    ).measures["shaft_lean_deg"]
    lean = reading(core)
    expect(row).to_contain_text(f"{lean.value}° ± {lean.plus_minus}°")
    expect(frames.locator("[data-strike]")).to_contain_text("% of the way")


def own(marks: dict[str, list[float]], prefix: str) -> dict[str, tuple[float, float] | None]:
    """The marks of one frame as shown, and none of those that the pair has besides."""
    none: dict[str, tuple[float, float] | None] = dict.fromkeys(BEFORE.landmarks)
    is_own = {key for key in marks if key.startswith("before:") is bool(prefix)}
    return none | {key.removeprefix(prefix): (marks[key][0], marks[key][1]) for key in is_own}


def test_saving_waits_for_the_head_in_both(frames: Page, desk: Desk) -> None:
    click(frames, desk, "before", FIRST)
    click(frames, desk, "at", MOVING[:-1])
    expect(frames.locator("[data-reason]")).to_have_text(
        "Before saving, mark: club head, front (at the strike)."
    )


def test_the_key_f_turns_to_the_other_frame_and_its_marks(frames: Page, desk: Desk) -> None:
    click(frames, desk, "before", FIRST[:3])
    frames.keyboard.press("f")
    assert frame_shown(frames) == "At the strike"
    expect(frames.locator(".mark.placed, .mark.selected")).to_have_count(0)
    expect(frames.locator(".mark.lent")).to_have_count(2)
    expect(frames.get_by_role("heading", name="End of the grip")).to_be_visible()
    frames.keyboard.press("f")
    expect(frames.locator("[data-picture] [data-mark]")).to_have_count(3)


def test_what_is_lent_can_be_marked_anew(frames: Page, desk: Desk) -> None:
    click(frames, desk, "before", FIRST)
    row = frames.locator("[data-landmark=ball_edge_a]")
    expect(row).to_contain_text("taken from the frame before")
    row.get_by_role("button").click()
    click(frames, desk, "at", ["ball_edge_a"])
    assert "ball_edge_a" in shown(frames)
    expect(frames.locator(".mark.lent")).to_have_count(1)


def test_undo_goes_back_into_the_other_frame(frames: Page, desk: Desk) -> None:
    click(frames, desk, "before", FIRST)
    frames.get_by_role("button", name="Undo").click()
    assert frame_shown(frames) == "Before the strike"
    expect(frames.get_by_role("heading", name="Club head, front")).to_be_visible()


def test_frames_in_the_wrong_order_are_told(frames: Page, desk: Desk) -> None:
    click(frames, desk, "before", FIRST[:-1])
    frames.mouse.click(*place_of(frames, (700, 800), desk.size))
    click(frames, desk, "at", MOVING)
    expect(frames.locator("[data-strike]")).to_contain_text("moves less than a ball")
    expect(frames.locator("[data-measure=shaft_lean_deg]")).to_contain_text("check club head")
