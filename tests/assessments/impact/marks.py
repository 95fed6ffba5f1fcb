"""Stills made of numbers: a plausible golfer in millimetres, put on a picture."""

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

from assessments.impact.cases import read_case
from assessments.impact.geometry import BALL_DIAMETER_MM, StillGeometry
from assessments.impact.landmarks import Landmark, Point

STILLS = Path(__file__).parents[3] / "fixtures" / "stills"
BASE_PX_PER_MM = 0.4
BALL_AT = (640.0, 800.0)

LEAN, SHAFT_LEAN = math.radians(5), math.radians(8)
WRIST = (100.0, 769.0)
GRIP = (112.0, 800.0)

# x toward the target and y up from the centre of the ball, in mm
BASE_MM: dict[Landmark, tuple[float, float]] = {
    Landmark.LEAD_WRIST: WRIST,
    Landmark.LEAD_ELBOW: (WRIST[0] + 255 * math.sin(LEAN), WRIST[1] + 255 * math.cos(LEAN)),
    Landmark.GRIP_END: GRIP,
    Landmark.SHAFT_LOW: (
        GRIP[0] - 850 * math.sin(SHAFT_LEAN),
        GRIP[1] - 850 * math.cos(SHAFT_LEAN),
    ),
    Landmark.BALL_EDGE_A: (-BALL_DIAMETER_MM / 2, 0.0),
    Landmark.BALL_EDGE_B: (BALL_DIAMETER_MM / 2, 0.0),
    Landmark.LEAD_SHOULDER: (165.0, 1290.0),
    Landmark.LEAD_HEEL: (90.0, 10.0),
    Landmark.GROUND_A: (-600.0, -25.0),
    Landmark.GROUND_B: (600.0, -25.0),
}


def still(
    mm: dict[Landmark, tuple[float, float]] = BASE_MM,
    px_per_mm: float = BASE_PX_PER_MM,
    **changes: Any,
) -> StillGeometry:
    """A right-hander's still with the ball at (640, 800) of 1280 by 960 pixels."""
    landmarks = {
        mark: Point(BALL_AT[0] + x * px_per_mm, BALL_AT[1] - y * px_per_mm)
        for mark, (x, y) in mm.items()
    }
    geometry = StillGeometry(1280, 960, "right", "iron", landmarks)
    return replace(geometry, **changes)


def moved(geometry: StillGeometry, **points: tuple[float, float] | None) -> StillGeometry:
    """The same still with some marks put elsewhere (pixels), or taken away by None."""
    changed = {Landmark(name): point for name, point in points.items()}
    kept = {m: p for m, p in geometry.landmarks.items() if m not in changed}
    placed = {m: Point(*p) for m, p in changed.items() if p is not None}
    return replace(geometry, landmarks=kept | placed)


def mirrored(geometry: StillGeometry) -> StillGeometry:
    """What the picture flipped left to right would give, for the other handedness."""
    return replace(
        geometry,
        handedness="left" if geometry.handedness == "right" else "right",
        landmarks={m: Point(geometry.width_px - p.u, p.v) for m, p in geometry.landmarks.items()},
    )


def rendered(name: str) -> dict[str, Any]:
    """The JSON beside one of the rendered stills."""
    found: dict[str, Any] = json.loads((STILLS / f"{name}.json").read_text())
    return found


def rendered_geometry(name: str) -> StillGeometry:
    return read_case(rendered(name))
