"""The drawing of where shots landed: to scale, in the golfer's units, told in words."""

import math
from typing import Any
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string

from assessments.stations.ball_flight import STATION
from assessments.stations.base import Payload
from assessments.units import Units

SIDES = (-4.0, 6.0, 1.0, -7.0, 3.0, 8.0, -2.0, 0.0)
YARDS, METRES = Units("yd", "mph"), Units("m", "m/s")


def payload(*sides: float, carry_m: float = 128.0) -> Payload:
    made = [{"carry_m": carry_m + 2 * n, "side_m": side} for n, side in enumerate(sides)]
    return {"club": "7i", "club_class": "iron", "shots": made}


def drawn(intake: Payload | None, exit_: Payload | None, units: Units = METRES) -> dict[str, Any]:
    assert STATION.drawing is not None
    found = STATION.drawing(intake, exit_, units)
    assert found is not None
    return found


def test_the_title_says_the_numbers() -> None:
    told = drawn(payload(*SIDES), payload(*SIDES, 150.0))["title"]
    assert told.startswith("Where the shots with the 7-iron landed, in metres: intake, 8 shots, ")
    assert "median carry 135, 0 right" not in told
    assert "exit, 9 shots" in told
    assert told.endswith(", 1 far off")


def test_a_golfer_who_reads_yards_sees_yards() -> None:
    found = drawn(payload(*SIDES), None, YARDS)
    assert "in yards: intake, 8 shots, median carry 148" in found["title"]
    assert found["unit"] == "yards"


def test_both_ways_have_one_scale_and_everything_is_on_the_paper() -> None:
    found = drawn(payload(*SIDES), payload(*SIDES, carry_m=150))
    (intake, exit_) = found["sides"]
    up = intake["shots"][0]["y"] - exit_["shots"][0]["y"]
    across = intake["shots"][5]["x"] - intake["shots"][3]["x"]
    assert up / 22 == pytest.approx(across / 15, rel=0.02)
    for side in (intake, exit_):
        for shot in side["shots"]:
            assert found["left"] <= shot["x"] <= found["right"]
            assert found["top"] <= shot["y"] <= found["bottom"]


def test_the_target_line_is_drawn_although_every_shot_missed_it() -> None:
    found = drawn(payload(*(side + 60 for side in SIDES)), None)
    assert found["left"] <= found["target_x"] <= found["right"]


def test_of_few_shots_there_is_no_ellipse_and_the_drawing_says_so() -> None:
    found = drawn(payload(*SIDES[:4]), payload(*SIDES))
    assert [side["ellipse"] is None for side in found["sides"]] == [True, False]
    assert found["note"].startswith("No ellipse of intake")


@pytest.mark.parametrize("sides", [(None, None), ({"shots": [{"carry_m": 100}]}, None)])
def test_without_a_side_there_is_nothing_to_draw(sides: tuple[Payload | None, None]) -> None:
    assert STATION.drawing is not None
    assert STATION.drawing(*sides, METRES) is None


def test_the_template_is_one_drawing_with_colours_of_its_own() -> None:
    assert STATION.drawing_template is not None
    found = drawn(payload(*SIDES), payload(*SIDES, -150.0))
    svg = ElementTree.fromstring(render_to_string(STATION.drawing_template, {"drawing": found}))
    words = [text.text for text in svg.iter("text")]
    assert {"intake", "exit", "target line", "far off"} <= set(words)
    assert [ellipse.get("stroke") for ellipse in svg.iter("ellipse")] == ["#0072b2", "#d55e00"]
    assert svg.find("title") is not None
    assert "style" not in svg.attrib


def test_the_ellipse_is_turned_as_the_shots_are() -> None:
    """Long shots to the right turn its top to the right, clockwise on the page."""
    made = [(-9.0, 120.0), (-6, 128), (-4, 132), (1, 137), (3, 146), (7, 150), (9, 158)]
    shots = [{"side_m": side, "carry_m": carry} for side, carry in made]
    found = drawn({"club": "7i", "club_class": "iron", "shots": shots}, None)
    turn = found["sides"][0]["ellipse"]["turn"]
    assert math.isclose(turn, math.degrees(math.atan2(18, 38)), abs_tol=4)
