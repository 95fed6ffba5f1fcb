"""One frame or two, a camera known or not: what is measured, and what is said of it."""

from dataclasses import replace

import numpy as np
import pytest

from assessments.impact.errors import Doubt
from assessments.impact.filmed import Filming, measure_filmed
from assessments.impact.geometry import StillGeometry
from assessments.impact.landmarks import Landmark, Point
from assessments.impact.measures import measure_still
from assessments.impact.two_frames import measure_two_frames
from tests.assessments.impact.camera import Camera, corners, golfer, still, truth
from tests.assessments.impact.marks import moved
from tests.assessments.impact.marks import still as base_still
from tests.assessments.impact.test_two_frames import pair

FLO = "forearm_line_offset_bd"


def off_square(yaw: float = 6.0) -> tuple[Camera, StillGeometry, float]:
    """A still from a camera moved round, and the offset that a square one would have shown."""
    camera, one = Camera(yaw=yaw), golfer(np.random.default_rng(5))
    return camera, still(camera, one | corners()), measure_still(truth(one)).measures[FLO].value


def test_without_anything_known_it_is_the_plain_measure() -> None:
    found = measure_filmed(base_still())
    assert found.result.measures == measure_still(base_still()).measures
    assert (found.pose, found.gain) == (None, {})


def test_a_known_camera_is_squared_and_the_gain_is_what_that_moved() -> None:
    camera, seen, true = off_square()
    found = measure_filmed(seen, filming=Filming(camera.set_up))
    assert found.pose is not None
    assert found.uncorrected is not None
    raw, squared = found.uncorrected.measures[FLO].value, found.result.measures[FLO].value
    assert abs(squared - true) < abs(raw - true) / 2
    assert found.gain[FLO] == pytest.approx(squared - raw)
    assert found.result.roll_measured


def test_corners_that_fit_nothing_leave_the_still_as_it_is_and_say_so() -> None:
    camera, seen, _ = off_square()
    away = {**seen.landmarks, Landmark.GROUND_C: Point(300.0, 300.0)}
    found = measure_filmed(replace(seen, landmarks=away), filming=Filming(camera.set_up))
    assert found.pose is None
    assert Doubt.CORNERS_DOUBTFUL in found.result.warnings


def test_a_stick_that_tilts_tells_on_a_levelled_camera_alone() -> None:
    tilted = moved(base_still(), ground_a=(400.0, 805.0), ground_b=(880.0, 815.0))
    assert measure_filmed(tilted).result.warnings == ()
    found = measure_filmed(tilted, filming=Filming(is_level=True))
    assert found.result.warnings == (Doubt.CAMERA_FAR_OFF_SQUARE,)


def test_two_frames_lend_each_other_ball_and_ground() -> None:
    before, after = pair(240, 0.4)
    gone = moved(after, ball_edge_a=None, ball_edge_b=None, ground_a=None, ground_b=None)
    found = measure_filmed(gone, before, Filming(frames_a_second=240))
    lent = measure_two_frames(before, gone).measures[FLO]
    assert found.result.frames == 2
    assert found.result.measures[FLO].value == pytest.approx(lent.value)
    assert found.result.measures[FLO].standard_uncertainty == lent.standard_uncertainty


def test_two_frames_of_a_camera_off_square_are_both_squared() -> None:
    camera, rng = Camera(yaw=6.0), np.random.default_rng(5)
    one = golfer(rng) | corners()
    head = Landmark.CLUB_HEAD
    frames = [still(camera, one | {head: np.array([x, 0.0, 0.0])}) for x in (-100.0, 60.0)]
    found = measure_filmed(frames[1], frames[0], Filming(camera.set_up, frames_a_second=240))
    assert found.pose is not None
    assert found.result.strike_weight == pytest.approx((100 - 42.67 / 2) / 160, abs=0.01)
