"""Every station with everything filled in: what it gives can be kept, on any database."""

from typing import Any

import pytest

from assessments.models import Measure
from assessments.stations import registry
from assessments.stations.base import Context

HOLES = [
    {"number": n, "par": 4, "stroke_index": n, "strokes": 5, "putts": 2, "short": 1}
    for n in range(1, 19)
]
FULL: dict[str, dict[str, Any]] = {
    "ball_flight": {
        "club": "7i",
        "club_class": "iron",
        "shots": [
            {
                "carry_m": 130.0 + 7 * n % 11,
                "side_m": 5.0 * n % 13,
                "ball_speed_mps": 50.0,
                "club_speed_mps": 40.0,
                "launch_deg": 18.0,
                "attack_angle_deg": -4.0,
                "club_path_deg": 2.0,
                "face_angle_deg": 1.0,
                "spin_rpm": 6000.0,
            }
            for n in range(30)
        ],
    },
    "bunker": {"length_m": 8, "left_m": [1.0, 2.0] * 4, "stayed_in": 2},
    "on_course": {"holes": [HOLES[0] | {"fairway": True, "penalties": 1}, *HOLES[1:]]},
    "physical": {
        "asked": True,
        "handedness": "right",
        "age_years": 44,
        "found": {
            "trunk_rotation_lead": 40.0,
            "one_leg_balance_lead": 20.0,
            "one_leg_balance_trail": 30.0,
        },
    },
    "putting": {
        "putts": [{"distance_m": 1, "holed": 50, "balls": 50}],
        "gate": {"width_mm": 60, "distance_m": 0.5, "through": 50, "balls": 50},
        "control": [{"distance_m": 6, "ends_m": [0.4, -0.8] * 5}],
        "played_out": [{"distance_m": 6.0, "putts": [2] * 10}],
    },
    "short_game": {
        "tasks": [
            {"task": task, "length_m": length_m, "left_m": [1.0, 2.0] * 5}
            for task, length_m in (("chip", 10), ("pitch", 20), ("long_pitch", 40))
        ],
        "up_and_down": {"tries": 20, "saved": 10},
    },
    "strike": {"club_class": "iron", "counts": {"centre_middle": 10, "heel_high": 20}},
}
ON_A_STILL = {"impact"}


def test_every_station_that_measures_is_tried() -> None:
    measuring = {kind for kind, station in registry().items() if station.measures}
    assert FULL.keys() | ON_A_STILL == measuring


@pytest.mark.parametrize("kind", registry())
def test_units_fit_their_column(kind: str) -> None:
    longest = Measure._meta.get_field("unit").max_length
    assert longest
    assert all(len(measure.unit) <= longest for measure in registry()[kind].measures)


@pytest.mark.parametrize("kind", FULL)
def test_what_is_measured_fits_its_columns(kind: str) -> None:
    measures = registry()[kind].compute(FULL[kind], Context()).measures
    assert measures
    for value in measures:
        row = Measure(name=value.name, value=value.value, unit=value.unit, source=value.source)
        row.clean_fields(exclude=["entry", "standard_uncertainty", "low", "high"])
