"""A still measured as it was filmed: from one frame or two, by a camera that is known or not.

This is the order of things: a frame before the strike lends its ball and ground to the one after;
each frame is turned square if four corners of a known rectangle are marked; then one frame is
measured, or two.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from assessments.impact.errors import Doubt
from assessments.impact.gates import off_square_doubts
from assessments.impact.geometry import StillGeometry
from assessments.impact.landmarks import STILL_THERE
from assessments.impact.measures import ImpactResult, measure_still
from assessments.impact.pose import CameraSetUp, Pose, PoseRefused, has_corners, square_on
from assessments.impact.two_frames import measure_two_frames


@dataclass(frozen=True)
class Filming:
    """What is known of how a still was filmed."""

    camera: CameraSetUp | None = None
    is_level: bool = False
    frames_a_second: int | None = None


def filming_of(camera: Mapping[str, Any]) -> Filming:
    """The camera from plain values: `is_level`, `frames_a_second` and the lengths of a set-up.

    Without a rectangle or a distance there is nothing to turn square by.
    """
    setup = None
    if camera.get("rectangle_long_mm") and camera.get("distance_mm"):
        setup = CameraSetUp(
            camera["distance_mm"],
            camera.get("height_mm"),
            camera["rectangle_long_mm"],
            camera["rectangle_wide_mm"],
            camera["rectangle_behind_mm"],
        )
    return Filming(setup, bool(camera.get("is_level")), camera.get("frames_a_second"))


@dataclass(frozen=True)
class Filmed:
    """The measures, the camera if it was found, and the measures without that correction."""

    result: ImpactResult
    pose: Pose | None = None
    uncorrected: ImpactResult | None = None

    @property
    def gain(self) -> dict[str, float]:
        """By how much squaring the camera moved each measure, in its unit."""
        if self.uncorrected is None:
            return {}
        raw, squared = self.uncorrected.measures, self.result.measures
        return {name: squared[name].value - raw[name].value for name in squared if name in raw}


def measure_filmed(
    still: StillGeometry, before: StillGeometry | None = None, filming: Filming | None = None
) -> Filmed:
    """Measure a still, with the frame before the strike if there is one.

    Corners that fit no camera leave the still as it is, with a doubt that says so.

    Raises
    ------
    StillRefused
        If the marks cannot be measured.
    """
    filming = filming or Filming()
    if before is not None:
        still = _lent(before, still)
    raw = _measure(still, before, filming)
    if filming.camera is None or not has_corners(still):
        return Filmed(_with_tilt(raw, filming))
    try:
        squared, pose = _squared(still, filming.camera)
        earlier = None if before is None else _squared(before, filming.camera)[0]
    except PoseRefused:
        doubtful = _with_doubts(_with_tilt(raw, filming), Doubt.CORNERS_DOUBTFUL)
        return Filmed(doubtful)
    result = _measure(squared, earlier, filming)
    return Filmed(replace(result, roll_measured=True), pose, raw)


def _measure(still: StillGeometry, before: StillGeometry | None, filming: Filming) -> ImpactResult:
    if before is None:
        return measure_still(still)
    return measure_two_frames(before, still, frames_a_second=filming.frames_a_second)


def _squared(still: StillGeometry, camera: CameraSetUp) -> tuple[StillGeometry, Pose]:
    squared = square_on(still, camera)
    return squared.geometry, squared.pose


def _lent(before: StillGeometry, after: StillGeometry) -> StillGeometry:
    lent = {m: before.landmarks[m] for m in STILL_THERE if m in before.landmarks}
    return replace(after, landmarks={**lent, **after.landmarks})


def _with_tilt(result: ImpactResult, filming: Filming) -> ImpactResult:
    """A stick is no level: in a levelled picture its tilt says that the camera moved round."""
    if not (filming.is_level and result.roll_measured):
        return result
    return _with_doubts(result, *off_square_doubts(result.measures["roll_deg"].value))


def _with_doubts(result: ImpactResult, *doubts: Doubt) -> ImpactResult:
    return replace(result, warnings=(*result.warnings, *doubts))
