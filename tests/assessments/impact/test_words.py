"""Verdicts and readings in words."""

import pytest

from assessments.impact.measures import Measured, measure_still
from assessments.impact.verdicts import (
    ForearmVerdict,
    GripVerdict,
    forearm_verdict,
    grip_verdict,
)
from assessments.impact.words import MEASURE_WORDS, UNITS, reading
from tests.assessments.impact.marks import still


@pytest.mark.parametrize(
    ("value", "forearm", "grip"),
    [
        (1.01, ForearmVerdict.TRAILS, GripVerdict.OUTSIDE),
        (1.0, ForearmVerdict.LEVEL, GripVerdict.AT_SHOULDER),
        (0.0, ForearmVerdict.LEVEL, GripVerdict.AT_SHOULDER),
        (-1.0, ForearmVerdict.LEVEL, GripVerdict.AT_SHOULDER),
        (-1.01, ForearmVerdict.PASSED, GripVerdict.THROUGH_BODY),
    ],
)
def test_a_side_is_taken_past_two_standard_uncertainties(
    value: float, forearm: ForearmVerdict, grip: GripVerdict
) -> None:
    assert forearm_verdict(value, 0.5) is forearm
    assert grip_verdict(value, 0.5) is grip


@pytest.mark.parametrize("verdict", [*ForearmVerdict, *GripVerdict])
def test_every_verdict_has_a_sentence(verdict: ForearmVerdict | GripVerdict) -> None:
    assert verdict.sentence.endswith(".")


def test_every_measure_has_words_and_a_unit() -> None:
    measures = measure_still(still()).measures
    assert set(measures) <= set(MEASURE_WORDS)
    assert all(m.unit in UNITS for m in measures.values())


def measured(value: float, u: float, name: str = "forearm_line_offset_bd") -> Measured:
    unit = name.rsplit("_", 1)[1]
    return Measured(name, value, unit, u, value - 1.96 * u, value + 1.96 * u, "first order")


def test_an_offset_is_given_to_a_tenth_with_its_sign() -> None:
    written = reading(measured(2.4, 0.449))
    assert (written.value, written.plus_minus, written.unit) == ("+2.4", "0.9", "ball diameters")
    assert written.interval == "+1.5 to +3.3"


@pytest.mark.parametrize(
    ("value", "text"), [(-2.44, "−2.4"), (0.0, "0.0"), (-0.04, "0.0"), (8.0, "+8.0")]
)
def test_signs(value: float, text: str) -> None:
    assert reading(measured(value, 0.3)).value == text


@pytest.mark.parametrize(
    ("u", "text"), [(0.001, "0.1"), (0.05, "0.1"), (0.051, "0.2"), (0.0, "0.0")]
)
def test_plus_minus_is_rounded_up(u: float, text: str) -> None:
    assert reading(measured(1.0, u)).plus_minus == text


def test_millimetres_are_whole_and_pixels_bear_no_sign() -> None:
    assert reading(measured(106.675, 19.0, "forearm_line_offset_mm")).value == "+107"
    assert reading(measured(106.675, 19.0, "forearm_line_offset_mm")).plus_minus == "38"
    assert reading(measured(20.04, 2.1, "ball_diameter_px")).value == "20.0"


def test_steps_can_be_written() -> None:
    steps = measure_still(still(step_mm=25.4)).in_steps("forearm_line_offset_mm")
    assert reading(steps).unit == "steps"
