"""A still's marks as a JSON object: the form in which worked cases and stills are kept."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, get_args

from assessments.impact.filmed import Filming, filming_of
from assessments.impact.geometry import BALL_DIAMETER_MM, CLICK_SD_PX, StillGeometry
from assessments.impact.landmarks import Club, Handedness, Landmark, number, parse_landmarks

_RECTANGLE = ("distance_mm", "rectangle_long_mm", "rectangle_wide_mm", "rectangle_behind_mm")


class CaseUnreadable(Exception):
    """A file that does not describe a still, said in words."""


def read_case(raw: object) -> StillGeometry:
    """Make a geometry of a decoded JSON object.

    Needs `width`, `height` (pixels), `handedness`, `club` and `landmarks_px`; `click_sd_px`,
    `step_mm`, `placement_sd_mm` (by landmark), `scale_px` and `scale_sd_px` may be given. Other
    keys are left alone.

    Raises
    ------
    CaseUnreadable
        If a key is absent or its value of the wrong kind.
    StillRefused
        If the landmarks cannot be read.
    """
    if not isinstance(raw, Mapping):
        raise CaseUnreadable("A case is a JSON object with the keys of a still.")
    return _geometry(raw, "landmarks_px")


def read_filmed_case(raw: object) -> tuple[StillGeometry, StillGeometry | None, Filming]:
    """The same with `landmarks_before`, the marks of the frame before the strike, and `camera`.

    The camera is an object with any of `is_level`, `frames_a_second`, and the lengths of a
    `CameraSetUp`; without `rectangle_long_mm` nothing is turned square.
    """
    still = read_case(raw)
    assert isinstance(raw, Mapping)  # else it was refused
    before = _geometry(raw, "landmarks_before") if raw.get("landmarks_before") else None
    return still, before, _filming(raw.get("camera"))


def _filming(camera: object) -> Filming:
    if not isinstance(camera, Mapping):
        return Filming()
    needed = set(_RECTANGLE) if camera.get("rectangle_long_mm") is not None else set()
    for key in (*_RECTANGLE, "height_mm", "frames_a_second"):
        if key in needed or camera.get(key) is not None:
            check = _finite if key == "rectangle_behind_mm" else _positive
            check(camera, key)
    return filming_of(camera)


def _geometry(raw: Mapping[str, object], marks: str) -> StillGeometry:
    landmarks = raw.get(marks)
    if not isinstance(landmarks, Mapping):
        raise CaseUnreadable(f"“{marks}” must be an object of points, each [u, v] in pixels.")
    return StillGeometry(
        width_px=round(_positive(raw, "width")),
        height_px=round(_positive(raw, "height")),
        handedness=_one_of(raw, "handedness", get_args(Handedness)),
        club=_one_of(raw, "club", get_args(Club)),
        landmarks=parse_landmarks(landmarks),
        click_sd_px=_positive(raw, "click_sd_px", CLICK_SD_PX),
        step_mm=_positive(raw, "step_mm", BALL_DIAMETER_MM),
        placement_sd_mm=_placement(raw.get("placement_sd_mm", {})),
        scale_px=None if raw.get("scale_px") is None else _positive(raw, "scale_px"),
        scale_sd_px=0.0 if raw.get("scale_sd_px") is None else _positive(raw, "scale_sd_px"),
    )


def _placement(spreads: object) -> dict[Landmark, float]:
    if not isinstance(spreads, Mapping) or not set(spreads) <= set(map(str, Landmark)):
        raise CaseUnreadable("“placement_sd_mm” must be an object of landmarks, each in mm.")
    return {Landmark(mark): _positive(spreads, mark) for mark in spreads}


def _positive(raw: Mapping[str, object], key: str, default: float | None = None) -> float:
    value = _finite(raw, key, default)
    if value <= 0:
        raise CaseUnreadable(f"“{key}” must be a number above 0.")
    return value


def _finite(raw: Mapping[str, object], key: str, default: float | None = None) -> float:
    try:
        value = number(raw.get(key, default))
    except (TypeError, OverflowError):
        value = math.nan
    if not math.isfinite(value):
        raise CaseUnreadable(f"“{key}” must be a number.")
    return value


def _one_of(raw: Mapping[str, object], key: str, allowed: tuple[Any, ...]) -> Any:
    value = raw.get(key)
    if value not in allowed:
        raise CaseUnreadable(f"“{key}” must be one of {', '.join(allowed)}.")
    return value
