"""The page's own measures are those of the core, value and uncertainty."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page
from pytest_django.live_server_helper import LiveServer

from assessments.impact.cases import read_case
from assessments.impact.geometry import StillGeometry
from assessments.impact.landmarks import PLACEMENT_UNMARKED_MM, STILL_THERE, Landmark
from assessments.impact.measures import ImpactResult, measure_still
from assessments.impact.two_frames import measure_two_frames
from tests.assessments.impact.marks import STILLS, mirrored, moved
from tests.assessments.impact.test_two_frames import frame, pair
from tests.assessments.marking.harness import Desk

CASES = sorted((Path(__file__).parents[2] / "published" / "impact_cases").glob("*.json"))
SOUND = [path for path in CASES if "expected" in json.loads(path.read_text())]
REFUSED = [path for path in CASES if path not in SOUND]

MEASURE = """async (still) => {
  const { measure } = await import("/static/assessments/marking/measures.js");
  return measure(still).measures;
}"""

WORST = 1e-9


def measured(page: Page, case: dict[str, Any], **more: object) -> dict[str, dict[str, Any]]:
    still = {
        "points": case["landmarks_px"],
        "handedness": case["handedness"],
        "isTeed": case["club"] == "driver",
        "width": case["width"],
        "height": case["height"],
        "clickSdPx": case.get("click_sd_px", 1.5),
        **more,
    }
    results: dict[str, dict[str, Any]] = page.evaluate(MEASURE, still)
    return results


@pytest.fixture
def here(page: Page, live_server: LiveServer, desk: Desk) -> Page:
    page.goto(f"{live_server.url}/done/")
    return page


def test_there_are_cases_of_both_kinds() -> None:
    assert SOUND
    assert REFUSED


def test_every_case_is_measured_as_worked_out(here: Page) -> None:
    for case in (json.loads(path.read_text()) for path in SOUND):
        results = measured(here, case)
        for name, u in case["expected_standard_uncertainty"].items():
            tolerance = case["tolerance"]
            assert results[name]["value"] == pytest.approx(case["expected"][name], abs=tolerance)
            assert results[name]["u"] == pytest.approx(u, abs=tolerance)


def assert_the_same(results: dict[str, dict[str, Any]], core: ImpactResult) -> None:
    """Whatever the page gives, the core gives too, by first order and to rounding."""
    assert {name for name, result in results.items() if "value" in result} == {
        name for name in core.measures if not name.endswith("_mm")
    }
    for name, theirs in core.measures.items():
        if name in results:
            assert theirs.method == "first order"
            assert results[name]["value"] == pytest.approx(theirs.value, abs=WORST)
            assert results[name]["u"] == pytest.approx(theirs.standard_uncertainty, abs=WORST)


SCALED: dict[str, Any] = {"scale_px": 20.3, "scale_sd_px": 0.21}


@pytest.mark.parametrize(
    ("placement", "scale"),
    [({}, {}), (PLACEMENT_UNMARKED_MM, {}), ({}, SCALED), (PLACEMENT_UNMARKED_MM, SCALED)],
    ids=["clicks", "joints", "scale", "joints and scale"],
)
def test_every_measure_equals_the_cores(
    here: Page, placement: dict[Landmark, float], scale: dict[str, Any]
) -> None:
    for path in [*SOUND, *sorted(STILLS.glob("*.json"))]:
        case = json.loads(path.read_text())
        core = measure_still(replace(read_case(case), placement_sd_mm=placement, **scale))
        assert_the_same(measured(here, case, placementSdMm=placement, **camel(scale)), core)


def camel(scale: dict[str, Any]) -> dict[str, float | None]:
    return {"scalePx": scale.get("scale_px"), "scaleSdPx": scale.get("scale_sd_px")}


BETWEEN = """async ([still, before]) => {
  const { measureBetween } = await import("/static/assessments/marking/measures.js");
  const { measures, strike } = measureBetween(still, before);
  return { measures, strike: { ...strike, weight: strike.weight?.value } };
}"""

Frames = tuple[StillGeometry, StillGeometry]


def between(page: Page, frames: Frames) -> dict[str, Any]:
    before, at = frames
    still = {
        "points": points_of(at),
        "handedness": at.handedness,
        "isTeed": at.club == "driver",
        "width": at.width_px,
        "height": at.height_px,
        "clickSdPx": at.click_sd_px,
        "placementSdMm": dict(at.placement_sd_mm),
        "scalePx": at.scale_px,
        "scaleSdPx": at.scale_sd_px,
    }
    results: dict[str, Any] = page.evaluate(BETWEEN, [still, points_of(before)])
    return results


def points_of(geometry: StillGeometry) -> dict[str, list[float]]:
    return {mark: [point.u, point.v] for mark, point in geometry.landmarks.items()}


GONE = dict.fromkeys(["ball_edge_a", "ball_edge_b", "ground_a", "ground_b"])


OWN = {"ball_edge_a": (631.6, 800.5), "ball_edge_b": (648.9, 800.1), "ground_b": (881.0, 809.0)}


@pytest.mark.parametrize("ball", [{}, GONE, OWN], ids=["the same", "none", "its own"])
@pytest.mark.parametrize("placement", [{}, PLACEMENT_UNMARKED_MM], ids=["clicks", "joints"])
@pytest.mark.parametrize("scale", [{}, {"scale_px": 17.2, "scale_sd_px": 0.1}])
def test_every_measure_between_two_frames_equals_the_cores(
    here: Page, placement: dict[Landmark, float], scale: dict[str, Any], ball: dict[str, Any]
) -> None:
    for rate, share in ((240, 0.3), (240, 1.0), (120, 0.6)):
        right = tuple(replace(one, placement_sd_mm=placement, **scale) for one in pair(rate, share))
        right = (right[0], moved(right[1], **ball))
        for before, at in (right, tuple(mirrored(one) for one in right)):
            results, core = between(here, (before, at)), measure_two_frames(before, at)
            assert_the_same(results["measures"], core)
            assert results["strike"]["weight"] == pytest.approx(core.strike_weight, abs=WORST)


@pytest.mark.parametrize(
    ("frames", "is_alike"),
    [
        ((frame(0.001), frame(0.005)), False),
        ((frame(-0.005), frame(-0.001)), False),
        ((frame(0.002), frame(-0.002)), True),
    ],
)
def test_frames_that_do_not_hold_the_strike_show_no_number(
    here: Page, frames: Frames, is_alike: bool
) -> None:
    results = between(here, frames)
    assert results["strike"]["check"] == ["before:club_head", "club_head"]
    assert results["strike"]["isAlike"] is is_alike
    assert all("check" in result for result in results["measures"].values())


def test_the_page_lends_what_the_core_lends(here: Page) -> None:
    lent = here.evaluate(
        "async () => (await import('/static/assessments/marking/inputs.js')).STILL_THERE"
    )
    assert lent == list(STILL_THERE)


def test_two_frames_wait_for_the_head_in_both(here: Page) -> None:
    before, after = pair(240, 0.5)
    results = between(here, (moved(before, club_head=None), after))["measures"]
    assert results["shaft_lean_deg"] == {"missing": ["before:club_head"]}


def test_a_refused_still_shows_no_number_from_the_marks_at_fault(here: Page) -> None:
    for case in (json.loads(path.read_text()) for path in REFUSED):
        assert "check" in measured(here, case)["forearm_line_offset_bd"]


def test_a_measure_says_which_marks_it_waits_for(here: Page) -> None:
    case = json.loads(SOUND[0].read_text())
    del case["landmarks_px"]["lead_heel"]
    assert measured(here, case)["ball_position_bd"] == {"missing": ["lead_heel"]}
