"""A still from a JSON object, and the command that reads one from a file."""

import json
import math
from dataclasses import asdict, replace
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from assessments.impact.cases import CaseUnreadable, read_case, read_filmed_case
from assessments.impact.filmed import Filming
from assessments.impact.geometry import StillGeometry
from assessments.impact.landmarks import Landmark
from tests.assessments.impact.marks import rendered
from tests.assessments.impact.test_filmed import off_square
from tests.assessments.impact.test_two_frames import pair

CASES = Path(__file__).parents[2] / "published" / "impact_cases"


@pytest.fixture
def case() -> dict[str, Any]:
    return rendered("01_iron_right_strong")


def test_defaults(case: dict[str, Any]) -> None:
    geometry = read_case(case)
    assert (geometry.click_sd_px, geometry.step_mm) == (1.5, 42.67)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("width", None),
        ("height", "960"),
        ("height", 0),
        ("width", math.inf),
        ("width", 10**400),
        ("width", True),
        ("click_sd_px", -1.5),
        ("step_mm", math.nan),
        ("handedness", "both"),
        ("club", "putter"),
        ("club", ["iron"]),
        ("landmarks_px", [[1, 2]]),
    ],
)
def test_what_is_wrong_is_named(case: dict[str, Any], key: str, value: object) -> None:
    with pytest.raises(CaseUnreadable, match=key):
        read_case(case | {key: value})


@pytest.mark.parametrize("raw", [[], None, 3, "still"])
def test_only_an_object_is_a_case(raw: object) -> None:
    with pytest.raises(CaseUnreadable):
        read_case(raw)


def run(path: Path) -> tuple[object, dict[str, Any]]:
    """Exit status and answer of the command."""
    out, status = StringIO(), None
    try:
        call_command("measure_still", path, stdout=out)
    except SystemExit as stopped:
        status = stopped.code
    return status, json.loads(out.getvalue())


def test_command_prints_the_measures() -> None:
    expected = json.loads((CASES / "d02.json").read_text())
    status, answer = run(CASES / "d02.json")
    u = {n: answer["standard_uncertainty"][n] for n in expected["expected_standard_uncertainty"]}
    printed = {name: answer.get(name) for name in expected["expected"]}
    assert printed == pytest.approx(expected["expected"], abs=1e-6)
    assert answer["standard_uncertainty"].keys() == expected["expected"].keys()
    assert u == pytest.approx(expected["expected_standard_uncertainty"], abs=1e-6)
    assert (status, answer["warnings"]) == (None, [])
    assert answer["roll_measured"] is True


def test_command_prints_the_first_fault_and_all_of_them(
    tmp_path: Path, case: dict[str, Any]
) -> None:
    case["landmarks_px"] |= {"lead_wrist": [math.nan, 0], "grip_end": [640, 790]}
    path = tmp_path / "case.json"
    path.write_text(json.dumps(case))
    status, answer = run(path)
    assert (status, answer["error"]) == (2, "landmark_invalid")
    assert answer["errors"] == ["landmark_invalid", "shaft_too_short"]
    assert "(lead wrist)" in answer["words"][0]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"{", "is not JSON"),
        (b"\xff\xfe\x00", "cannot be read"),
        (b"{}", "does not describe a still"),
        (b"[" * 100_000, "is not JSON"),
    ],
)
def test_command_says_what_is_wrong_with_the_file(
    tmp_path: Path, content: bytes, words: str
) -> None:
    path = tmp_path / "case.json"
    path.write_bytes(content)
    with pytest.raises(CommandError, match=words) as error:
        call_command("measure_still", path)
    assert error.value.returncode == 1


def test_command_without_a_file(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("measure_still", tmp_path / "absent.json")


def as_raw(geometry: StillGeometry) -> dict[str, list[float]]:
    return {str(mark): [point.u, point.v] for mark, point in geometry.landmarks.items()}


def written(tmp_path: Path, still: StillGeometry, **more: object) -> Path:
    path = tmp_path / "case.json"
    sides = {"width": still.width_px, "height": still.height_px}
    who = {"handedness": still.handedness, "club": still.club}
    path.write_text(json.dumps({**sides, **who, "landmarks_px": as_raw(still), **more}))
    return path


def test_command_measures_between_two_frames(tmp_path: Path) -> None:
    before, after = pair(240, 0.4)
    camera = {"frames_a_second": 60}
    path = written(tmp_path, after, landmarks_before=as_raw(before), camera=camera)
    status, answer = run(path)
    assert (status, answer["frames"], answer["yaw_deg"]) == (None, 2, None)
    assert answer["strike_weight"] == pytest.approx(0.4)
    assert "frames_far_apart" in answer["warnings"]


def test_command_squares_a_known_camera(tmp_path: Path) -> None:
    camera, seen, _ = off_square(6.0)
    path = written(tmp_path, seen, camera=asdict(camera.set_up))
    answer = run(path)[1]
    assert answer["yaw_deg"] == pytest.approx(6.0, abs=0.5)
    assert answer["gain"]["shaft_lean_deg"] != 0
    assert (answer["frames"], answer["strike_weight"]) == (1, None)


def test_command_counts_placement_and_scale(tmp_path: Path) -> None:
    case = rendered("01_iron_right_strong")
    plain = read_case(case)
    known = {"placement_sd_mm": {"lead_elbow": 12.0}, "scale_px": 21.0, "scale_sd_px": 0.2}
    still, before, filming = read_filmed_case(case | known)
    assert (before, filming) == (None, Filming())
    assert still == replace(
        plain,
        placement_sd_mm={Landmark.LEAD_ELBOW: 12.0},
        scale_px=21.0,
        scale_sd_px=0.2,
    )


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("landmarks_before", [1]),
        ("placement_sd_mm", {"knee": 3.0}),
        ("placement_sd_mm", {"lead_elbow": "3"}),
        ("scale_px", 0),
        ("scale_sd_px", "small"),
        ("camera", {"rectangle_long_mm": 1200}),
        ("camera", {"frames_a_second": "many"}),
    ],
)
def test_what_is_wrong_of_the_filming_is_named(
    case: dict[str, Any], key: str, value: object
) -> None:
    words = {"camera": "distance_mm|frames_a_second", "placement_sd_mm": "placement|lead_elbow"}
    with pytest.raises(CaseUnreadable, match=words.get(key, key)):
        read_filmed_case(case | {key: value})
