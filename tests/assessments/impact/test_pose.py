"""The camera found from four corners, against an independent pinhole camera."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from assessments.impact.geometry import StillGeometry
from assessments.impact.landmarks import Club, Landmark, Point
from assessments.impact.measures import measure_still
from assessments.impact.pose import (
    PoseRefused,
    fit_pose,
    has_corners,
    off_square_deg,
    square_on,
)
from tests.assessments.impact.camera import Camera, corners, golfer, still, truth

NAMES = ("forearm_line_offset_bd", "shaft_lean_deg", "hands_ahead_bd", "ball_position_bd")


def values(geometry: StillGeometry) -> NDArray[np.float64]:
    measures = measure_still(geometry).measures
    return np.array([measures[name].value for name in NAMES])


def errors(club: Club, most_yaw: float, n: int = 40) -> tuple[NDArray[np.float64], ...]:
    """Root mean square errors of raw and of squared stills, and the worst error of the yaw."""
    rng = np.random.default_rng(7)
    raw, squared, yaw = [], [], []
    for _ in range(n):
        distance = rng.uniform(3000, 6000)
        camera = Camera(
            distance_mm=distance,
            yaw=rng.uniform(-most_yaw, most_yaw),
            roll=rng.uniform(-2, 2),
            pan=rng.uniform(-2, 2),
            focal_px=0.4 * distance,
        )
        one = golfer(rng, club)
        seen = still(camera, one | corners(rng.uniform(-200, 200)), club)
        right = square_on(seen, camera.set_up)
        true = values(truth(one, club))
        raw.append(values(seen) - true)
        squared.append(values(right.geometry) - true)
        yaw.append(right.pose.yaw_deg - camera.yaw)
    return (*(np.sqrt(np.mean(np.square(e), axis=0)) for e in (raw, squared)), np.abs(yaw).max())


@pytest.mark.parametrize(
    ("club", "most_yaw", "offset_bd", "lean_deg"),
    [("iron", 5, 0.20, 0.35), ("iron", 10, 0.30, 0.60), ("driver", 10, 0.40, 0.60)],
)
def test_squaring_recovers_most_of_what_a_camera_off_square_costs(
    club: Club, most_yaw: float, offset_bd: float, lean_deg: float
) -> None:
    raw, squared, yaw = errors(club, most_yaw)
    assert squared[0] < min(offset_bd, raw[0] / 2)
    assert squared[1] < min(lean_deg, raw[1] / 2)
    assert (squared[2:] < raw[2:] / 3).all()
    assert yaw < 0.05


def marked(yaw: float = 0.0, roll: float = 0.0) -> tuple[Camera, StillGeometry]:
    camera = Camera(yaw=yaw, roll=roll)
    return camera, still(camera, golfer(np.random.default_rng(3)) | corners())


def test_without_error_the_marks_are_explained_to_a_hundredth_of_a_pixel() -> None:
    camera, seen = marked(yaw=4, roll=1)
    pose = fit_pose(seen, camera.set_up)
    assert pose.residual_px < 0.01
    assert (pose.yaw_deg, pose.roll_deg) == pytest.approx((4, 1), abs=0.05)


def test_a_left_hander_is_the_mirror_image() -> None:
    camera, seen = marked(yaw=4, roll=1)
    mirrored = {m: Point(camera.width - p.u, p.v) for m, p in seen.landmarks.items()}
    left = replace(seen, handedness="left", landmarks=mirrored)
    right = values(square_on(seen, camera.set_up).geometry)
    assert values(square_on(left, camera.set_up).geometry) == pytest.approx(right, abs=1e-5)


def test_a_wrong_height_of_the_camera_matters_little() -> None:
    camera, seen = marked(yaw=5)
    setup = replace(camera.set_up, height_mm=None)
    right = values(square_on(seen, camera.set_up).geometry)
    assert values(square_on(seen, setup).geometry) == pytest.approx(right, abs=0.1)


def test_the_doubt_of_depth_grows_with_the_yaw() -> None:
    camera, seen = marked(yaw=10)
    squared = square_on(seen, camera.set_up)
    doubt = squared.geometry.placement_sd_mm
    assert doubt[Landmark.LEAD_WRIST] == pytest.approx(20 * np.tan(np.radians(10)), rel=0.02)
    assert Landmark.SHAFT_LOW not in doubt


def test_a_missing_corner_is_said() -> None:
    camera, seen = marked()
    marks = dict(seen.landmarks)
    del marks[Landmark.GROUND_C]
    short = replace(seen, landmarks=marks)
    assert not has_corners(short)
    with pytest.raises(PoseRefused, match="all four corners"):
        fit_pose(short, camera.set_up)


def test_corners_of_another_rectangle_are_refused() -> None:
    camera, seen = marked()
    setup = replace(camera.set_up, rectangle_wide_mm=1200.0, rectangle_long_mm=600.0)
    with pytest.raises(PoseRefused, match=r"pixels off|too far|no camera"):
        fit_pose(seen, setup)


def test_too_far_off_square_is_refused() -> None:
    camera, seen = marked(yaw=30)
    with pytest.raises(PoseRefused, match="too far to correct"):
        fit_pose(seen, camera.set_up)


def test_a_tilted_stick_tells_how_far_round_a_levelled_camera_stood() -> None:
    camera, seen = marked(yaw=10)
    marks = seen.landmarks
    a, b = marks[Landmark.GROUND_A], marks[Landmark.GROUND_B]
    tilt = np.degrees(np.arctan2(b.v - a.v, b.u - a.u))
    assert abs(off_square_deg(tilt, camera.set_up)) == pytest.approx(10, abs=2)


def test_the_height_is_needed_for_that() -> None:
    setup = replace(Camera().set_up, height_mm=None)
    with pytest.raises(ValueError, match="height"):
        off_square_deg(1.0, setup)
