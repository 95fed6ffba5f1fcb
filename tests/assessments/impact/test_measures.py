"""What is measured, and what must not change it."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.impact import DEFINITIONS_VERSION
from assessments.impact.geometry import StillGeometry
from assessments.impact.landmarks import (
    PLACEMENT_MARKED_MM,
    PLACEMENT_UNMARKED_MM,
    Landmark,
    Point,
)
from assessments.impact.measures import ImpactResult, measure_still
from tests.assessments.impact.marks import (
    BASE_MM,
    STILLS,
    mirrored,
    moved,
    rendered,
    rendered_geometry,
    still,
)

RENDERED = sorted(path.stem for path in STILLS.glob("*.json"))


@st.composite
def stills(draw: st.DrawFn) -> StillGeometry:
    """Plausible stills: every joint anywhere within 60 mm of the base still's."""
    jitter = st.floats(-60, 60)
    fixed = {Landmark.BALL_EDGE_A, Landmark.BALL_EDGE_B}
    mm = {
        mark: (x, y) if mark in fixed else (x + draw(jitter), y + draw(jitter))
        for mark, (x, y) in BASE_MM.items()
    }
    return still(mm)


def numbers(result: ImpactResult, *, leave_out: str = "") -> list[float]:
    found = [m for m in result.measures.values() if m.name != leave_out]
    return [m.value for m in found] + [m.standard_uncertainty for m in found]


@given(stills())
def test_a_mirrored_left_hander_measures_the_same(geometry: StillGeometry) -> None:
    other = measure_still(mirrored(geometry))
    assert numbers(other) == pytest.approx(numbers(measure_still(geometry)), abs=1e-9, rel=0)


@given(stills(), st.floats(-9, 9), st.floats(-500, 500))
def test_a_rolled_picture_measures_the_same(
    geometry: StillGeometry, roll_deg: float, about: float
) -> None:
    c, s = math.cos(math.radians(roll_deg)), math.sin(math.radians(roll_deg))
    turned = {
        m: Point(about + (p.u - about) * c - p.v * s, (p.u - about) * s + p.v * c)
        for m, p in geometry.landmarks.items()
    }
    before = measure_still(geometry)
    after = measure_still(replace(geometry, landmarks=turned))
    expected = numbers(before, leave_out="roll_deg")
    assert numbers(after, leave_out="roll_deg") == pytest.approx(expected, abs=1e-9, rel=0)
    rolled = after.measures["roll_deg"].value - before.measures["roll_deg"].value
    assert rolled == pytest.approx(roll_deg, abs=1e-9)


@given(stills(), st.floats(0.6, 8))
def test_a_scaled_picture_measures_the_same(geometry: StillGeometry, scale: float) -> None:
    larger = replace(
        geometry,
        width_px=10_240,
        height_px=7_680,
        click_sd_px=geometry.click_sd_px * scale,
        landmarks={m: Point(p.u * scale, p.v * scale) for m, p in geometry.landmarks.items()},
    )
    expected = numbers(measure_still(geometry), leave_out="ball_diameter_px")
    found = numbers(measure_still(larger), leave_out="ball_diameter_px")
    assert found == pytest.approx(expected, abs=1e-9, rel=1e-9)


@pytest.mark.parametrize("name", RENDERED)
def test_rendered_stills_give_their_printed_measures(name: str) -> None:
    result = measure_still(rendered_geometry(name))
    expected = rendered(name)["measures_from_exact_pixels"]
    found = {measure: result.measures[measure].value for measure in expected}
    # the pixels are printed to 0.001, which moves the fourth decimal of the measures
    assert found == pytest.approx(expected, abs=1e-3)
    assert result.warnings == ()


def test_eight_rendered_stills_are_here() -> None:
    assert len(RENDERED) == 8


@pytest.mark.parametrize(
    ("absent", "measure"),
    [
        ("lead_shoulder", "grip_line_clearance_bd"),
        ("lead_heel", "ball_position_bd"),
    ],
)
def test_a_missing_joint_leaves_out_only_its_measure(absent: str, measure: str) -> None:
    whole, part = measure_still(still()), measure_still(moved(still(), **{absent: None}))
    gone = {measure, measure.replace("_bd", "_mm")}
    assert set(whole.measures) - set(part.measures) == gone
    assert all(part.measures[name] == whole.measures[name] for name in part.measures)


def test_without_ground_points_the_picture_counts_as_level() -> None:
    result = measure_still(moved(still(), ground_a=None, ground_b=None))
    roll = result.measures["roll_deg"]
    assert (roll.value, roll.standard_uncertainty, roll.low, roll.high) == (0, 0, 0, 0)
    assert not result.roll_measured
    assert measure_still(still()).roll_measured


def test_the_foot_of_the_tee_is_the_ground_for_any_club() -> None:
    teed = measure_still(moved(still(), ground_contact=(640.0, 830.0)))
    lean = math.tan(math.radians(5))
    lower_bd = (30.0 - 42.67 * 0.4 / 2) / (42.67 * 0.4)
    before = measure_still(still()).measures["forearm_line_offset_bd"].value
    after = teed.measures["forearm_line_offset_bd"].value
    assert after == pytest.approx(before - lower_bd * lean)


def test_checking_points_do_not_enter_the_measures() -> None:
    extra = moved(still(), shaft_mid=(661.0, 649.0), trail_shoulder=(560.0, 320.0))
    assert numbers(measure_still(extra)) == numbers(measure_still(still()))


def test_order_of_marking_does_not_matter() -> None:
    geometry = still()
    backwards = replace(geometry, landmarks=dict(reversed(list(geometry.landmarks.items()))))
    assert numbers(measure_still(backwards)) == pytest.approx(numbers(measure_still(geometry)))


def test_a_step_of_one_centimetre() -> None:
    result = measure_still(still(step_mm=10.0))
    mm = result.measures["forearm_line_offset_mm"]
    steps = result.in_steps("forearm_line_offset_mm")
    assert (steps.name, steps.unit) == ("forearm_line_offset_steps", "steps")
    assert steps.value == pytest.approx(mm.value / 10)
    assert steps.standard_uncertainty == pytest.approx(mm.standard_uncertainty / 10)
    assert mm.value == measure_still(still()).measures["forearm_line_offset_mm"].value


def test_the_base_still() -> None:
    measures = measure_still(still()).measures
    assert measures["forearm_line_offset_bd"].value == pytest.approx(1.22, abs=0.005)
    assert measures["hands_ahead_bd"].value == pytest.approx(2.34, abs=0.005)
    assert measures["forearm_shaft_angle_deg"].value == pytest.approx(3.0)
    assert measures["forearm_line_offset_bd"].standard_uncertainty == pytest.approx(0.469, abs=5e-4)
    assert measures["forearm_lean_deg"].standard_uncertainty == pytest.approx(1.218, abs=5e-4)
    assert measures["shaft_lean_deg"].standard_uncertainty == pytest.approx(0.438, abs=5e-4)


@pytest.mark.parametrize(
    ("placement", "offset_u", "shaft_u"),
    [(PLACEMENT_UNMARKED_MM, 1.26, 0.72), (PLACEMENT_MARKED_MM, 0.59, 0.55)],
)
def test_doubt_about_the_joints_adds_to_the_clicks(
    placement: dict[Landmark, float], offset_u: float, shaft_u: float
) -> None:
    measures = measure_still(still(placement_sd_mm=placement)).measures
    assert measures["forearm_line_offset_bd"].standard_uncertainty == pytest.approx(
        offset_u, abs=0.01
    )
    assert measures["shaft_lean_deg"].standard_uncertainty == pytest.approx(shaft_u, abs=0.01)


def test_the_result_names_its_definitions() -> None:
    assert measure_still(still()).definitions_version == DEFINITIONS_VERSION


@pytest.mark.parametrize("field", ["width_px", "height_px", "click_sd_px", "step_mm"])
@pytest.mark.parametrize("value", [0, -1, math.nan, math.inf])
def test_sizes_must_be_positive_numbers(field: str, value: float) -> None:
    changes: dict[str, Any] = {field: value}
    with pytest.raises(ValueError, match=field):
        still(**changes)


def test_a_fixed_scale_takes_the_place_of_the_ball() -> None:
    own = measure_still(still()).measures
    fixed = measure_still(still(scale_px=2 * 17.068, scale_sd_px=0.2)).measures
    half = own["hands_ahead_bd"].value / 2
    assert fixed["hands_ahead_bd"].value == pytest.approx(half)
    assert fixed["ball_diameter_px"].standard_uncertainty == pytest.approx(0.2)


def test_a_fixed_scale_makes_hands_ahead_surer() -> None:
    """Where the hands are far ahead, the error of the ball's diameter counts most."""
    own = measure_still(still()).measures["hands_ahead_bd"].standard_uncertainty
    scaled = measure_still(still(scale_px=17.068, scale_sd_px=0.3)).measures["hands_ahead_bd"]
    assert scaled.standard_uncertainty < 0.6 * own


@pytest.mark.parametrize("change", [{"scale_px": 0.0}, {"scale_sd_px": -1.0}])
def test_a_scale_that_cannot_be_is_an_error(change: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="number"):
        still(**change)


def test_the_covariance_of_a_difference_is_that_of_its_parts() -> None:
    """The forearm-shaft angle is shaft lean less forearm lean, so its variance follows."""
    result = measure_still(still())
    c = result.covariance("shaft_lean_deg", "forearm_lean_deg")
    angle = result.measures["forearm_shaft_angle_deg"].standard_uncertainty
    assert c[0, 0] + c[1, 1] - 2 * c[0, 1] == pytest.approx(angle**2)


def test_covariances_have_the_units_of_their_names() -> None:
    result = measure_still(still())
    c = result.covariance("forearm_line_offset_mm", "forearm_line_offset_bd")
    u = [
        result.measures[f"forearm_line_offset_{unit}"].standard_uncertainty for unit in ("mm", "bd")
    ]
    assert c == pytest.approx(np.outer(u, u))
