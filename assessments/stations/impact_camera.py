"""What squaring the camera changed of a still's measures, in words."""

from __future__ import annotations

from dataclasses import dataclass, replace

from assessments.errors import EntryRefused
from assessments.impact.errors import StillRefused
from assessments.impact.words import unit_words
from assessments.models import Still
from assessments.stations.base import Payload
from assessments.stations.impact import MEASURES, filmed
from assessments.stations.readings import written


@dataclass(frozen=True)
class Gained:
    """One measure without and with the correction, and the difference."""

    title: str
    unit: str
    without: str
    corrected: str
    gain: str


@dataclass(frozen=True)
class CameraGain:
    """How far the camera had moved round, how well the corners fit, and what that was worth."""

    yaw: str
    side: str
    residual_px: float
    rows: list[Gained]


def camera_gain(still: Still, payload: Payload) -> CameraGain | None:
    """None where the camera was not corrected for; the marks are measured once more."""
    if not payload.get("camera", {}).get("rectangle_long_mm"):
        return None
    try:
        found = filmed(still, payload)
    except (StillRefused, EntryRefused):
        return None
    if found.pose is None or found.uncorrected is None:
        return None
    raw, squared = found.uncorrected.measures, found.result.measures
    rows = [
        Gained(
            kind.heading,
            unit_words(kind.unit),
            written(raw[kind.name].value, kind),
            written(squared[kind.name].value, kind),
            written(gain, replace(kind, signed=True)),
        )
        for kind in MEASURES
        if (gain := found.gain.get(kind.name)) is not None
    ]
    yaw = found.pose.yaw_deg
    side = "toward the target" if yaw > 0 else "away from the target"
    return CameraGain(f"{abs(yaw):.1f}", side, found.pose.residual_px, rows)
