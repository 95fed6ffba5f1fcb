"""Strokes gained against the published averages and the worked examples of their author."""

import json
from pathlib import Path
from typing import Any

import pytest

from assessments.statistics.strokes_gained import (
    FAIRWAY_BY_YARDS,
    PUTTS_BY_FEET,
    expected_putts,
    expected_strokes_from_fairway,
    strokes_gained,
)

PUBLISHED = json.loads((Path(__file__).parent / "strokes_gained.json").read_text())
PUTTS = PUBLISHED["expected_putts_by_feet"]
FAIRWAY = PUBLISHED["expected_strokes_from_fairway_by_yards"]
FOOT_M, YARD_M = 0.3048, 0.9144  # the international foot and yard of 1959


@pytest.mark.parametrize(("feet", "average"), PUTTS.items())
def test_the_average_putts_are_the_published_ones(feet: str, average: float) -> None:
    assert expected_putts(int(feet) * FOOT_M) == pytest.approx(average, abs=1e-9)


@pytest.mark.parametrize(("yards", "average"), FAIRWAY.items())
def test_the_average_strokes_are_the_published_ones(yards: str, average: float) -> None:
    assert expected_strokes_from_fairway(int(yards) * YARD_M) == pytest.approx(average, abs=1e-9)


def test_the_tables_hold_nothing_else() -> None:
    assert {str(feet) for feet in PUTTS_BY_FEET} == PUTTS.keys()
    assert {str(yards) for yards in FAIRWAY_BY_YARDS} == FAIRWAY.keys()


@pytest.mark.parametrize(
    ("feet", "average"), PUBLISHED["between"]["expected_putts_by_feet"].items()
)
def test_a_straight_line_between_is_low_by_at_most_004(feet: str, average: float) -> None:
    assert -0.001 <= average - expected_putts(int(feet) * FOOT_M) <= 0.0401


@pytest.mark.parametrize("told", PUBLISHED["worked_examples"], ids=str)
def test_the_worked_examples_come_out(told: dict[str, Any]) -> None:
    gained = strokes_gained([(told["start_ft"] * FOOT_M, told["putts"])] * 2)
    assert gained.value == pytest.approx(told["gained"], abs=1e-9)
