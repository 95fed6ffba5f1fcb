"""A still's marks as a JSON object: the form in which worked cases and stills are kept."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, get_args

from assessments.impact.geometry import BALL_DIAMETER_MM, CLICK_SD_PX, StillGeometry
from assessments.impact.landmarks import Club, Handedness, number, parse_landmarks


class CaseUnreadable(Exception):
    """A file that does not describe a still, said in words."""


def read_case(raw: object) -> StillGeometry:
    """Make a geometry of a decoded JSON object.

    Needs `width`, `height` (pixels), `handedness`, `club` and `landmarks_px`; `click_sd_px` and
    `step_mm` may be given. Other keys are left alone.

    Raises
    ------
    CaseUnreadable
        If a key is absent or its value of the wrong kind.
    StillRefused
        If the landmarks cannot be read.
    """
    if not isinstance(raw, Mapping):
        raise CaseUnreadable("A case is a JSON object with the keys of a still.")
    landmarks = raw.get("landmarks_px")
    if not isinstance(landmarks, Mapping):
        raise CaseUnreadable("“landmarks_px” must be an object of points, each [u, v] in pixels.")
    return StillGeometry(
        width_px=round(_positive(raw, "width")),
        height_px=round(_positive(raw, "height")),
        handedness=_one_of(raw, "handedness", get_args(Handedness)),
        club=_one_of(raw, "club", get_args(Club)),
        landmarks=parse_landmarks(landmarks),
        click_sd_px=_positive(raw, "click_sd_px", CLICK_SD_PX),
        step_mm=_positive(raw, "step_mm", BALL_DIAMETER_MM),
    )


def _positive(raw: Mapping[str, object], key: str, default: float | None = None) -> float:
    try:
        value = number(raw.get(key, default))
    except (TypeError, OverflowError):
        value = math.nan
    if not (math.isfinite(value) and value > 0):
        raise CaseUnreadable(f"“{key}” must be a number above 0.")
    return value


def _one_of(raw: Mapping[str, object], key: str, allowed: tuple[Any, ...]) -> Any:
    value = raw.get(key)
    if value not in allowed:
        raise CaseUnreadable(f"“{key}” must be one of {', '.join(allowed)}.")
    return value
