"""The page's own measures are those of the core, value and uncertainty."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page
from pytest_django.live_server_helper import LiveServer

from assessments.impact.cases import read_case
from assessments.impact.landmarks import PLACEMENT_UNMARKED_MM, Landmark
from assessments.impact.measures import measure_still
from tests.assessments.impact.marks import STILLS
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


@pytest.mark.parametrize("placement", [{}, PLACEMENT_UNMARKED_MM], ids=["clicks", "joints"])
def test_every_measure_equals_the_cores(here: Page, placement: dict[Landmark, float]) -> None:
    for path in [*SOUND, *sorted(STILLS.glob("*.json"))]:
        case = json.loads(path.read_text())
        core = measure_still(replace(read_case(case), placement_sd_mm=placement))
        results = measured(here, case, placementSdMm=placement)
        for name, result in results.items():
            if "value" not in result:
                assert name not in core.measures
                continue
            theirs = core.measures[name]
            assert theirs.method == "first order"
            assert result["value"] == pytest.approx(theirs.value, abs=WORST)
            assert result["u"] == pytest.approx(theirs.standard_uncertainty, abs=WORST)


def test_a_refused_still_shows_no_number_from_the_marks_at_fault(here: Page) -> None:
    for case in (json.loads(path.read_text()) for path in REFUSED):
        assert "check" in measured(here, case)["forearm_line_offset_bd"]


def test_a_measure_says_which_marks_it_waits_for(here: Page) -> None:
    case = json.loads(SOUND[0].read_text())
    del case["landmarks_px"]["lead_heel"]
    assert measured(here, case)["ball_position_bd"] == {"missing": ["lead_heel"]}
