"""What is known of the place where a still was filmed, as parts of an entry's payload."""

from __future__ import annotations

from typing import Any

from assessments.impact.geometry import CLICK_SD_PX
from assessments.impact.landmarks import PLACEMENT_MARKED_MM, PLACEMENT_UNMARKED_MM
from assessments.models import FilmingPlace, Joints, Still
from assessments.queries.scale import scale_of
from assessments.stations.base import Payload

PLACEMENT_MM = {Joints.MARKED: PLACEMENT_MARKED_MM, Joints.UNMARKED: PLACEMENT_UNMARKED_MM}


def settings_of(still: Still) -> Payload:
    """The spreads, the scale and the camera of the still's place; of no place, the click alone.

    At most two queries.
    """
    place = still.filming_place
    if place is None:
        return {"click_sd_px": CLICK_SD_PX}
    settings: Payload = {
        "click_sd_px": place.click_sd_px,
        "step_mm": place.step_mm,
        "joints": place.joints,
        "placement_sd_mm": {str(m): sd for m, sd in PLACEMENT_MM[Joints(place.joints)].items()},
        "camera": _camera(place),
    }
    scale = scale_of(still) if place.is_camera_fixed else None
    if scale is not None:
        settings |= {"scale_px": scale.px, "scale_sd_px": scale.sd_px}
    return settings


def _camera(place: FilmingPlace) -> dict[str, Any]:
    return {
        "is_level": place.is_camera_level,
        "frames_a_second": place.frames_a_second,
        "distance_mm": place.camera_distance_mm,
        "height_mm": place.camera_height_mm,
        "rectangle_long_mm": place.rectangle_long_mm,
        "rectangle_wide_mm": place.rectangle_wide_mm,
        "rectangle_behind_mm": place.rectangle_behind_mm,
    }
