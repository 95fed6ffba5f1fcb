"""Whether the marks on a still can be right: faults refuse it, doubts only warn.

Every check stands before the division it protects. A check whose inputs are themselves at fault
is left out, so that a coach is not sent after consequences of the first mistake.
"""

from __future__ import annotations

import math

from assessments.impact.errors import Doubt, Fault, StillRefused
from assessments.impact.geometry import LevelFrame, Pair, StillGeometry, lean_deg, length
from assessments.impact.landmarks import Landmark, Point, needed

MIN_BALL_PX = 8.0
SMALL_BALL_PX = 16.0
MAX_LEAN_DEG = 60.0

FARTHEST_PX = 1e100
"""Beyond this, distances leave the range of numbers."""


def refuse_if_faulty(geometry: StillGeometry) -> None:
    """Raise `StillRefused` with every fault that can still be evaluated, or return."""
    _refuse(geometry, _marking_faults(geometry))


def refuse_if_shapeless(geometry: StillGeometry) -> None:
    """Raise `StillRefused` if the construction cannot be drawn, wherever the picture ends.

    A landmark far outside is let pass, unlike in `refuse_if_faulty`: cropping brings it about.
    """
    about = _marking_faults(geometry)
    about.pop(Fault.LANDMARK_FAR_OUTSIDE, None)
    _refuse(geometry, about)


def _refuse(geometry: StillGeometry, about: dict[str, str]) -> None:
    faults = [*about, *_shape_faults(geometry)]
    if faults:
        raise StillRefused(faults, about)


def _marking_faults(geometry: StillGeometry) -> dict[str, str]:
    """Faults of single landmarks, each with the names of those landmarks."""
    marks = geometry.landmarks
    wrong: dict[Fault, list[Landmark]] = {
        Fault.LANDMARK_INVALID: [m for m, p in marks.items() if not _finite(p)],
        Fault.LANDMARK_MISSING: [m for m in needed(geometry.club, marks) if m not in marks],
        Fault.LANDMARK_FAR_OUTSIDE: [
            m for m, p in marks.items() if _finite(p) and _far_outside(p, geometry)
        ],
    }
    return {
        fault: ", ".join(mark.label for mark in found) for fault, found in wrong.items() if found
    }


def _finite(point: Point) -> bool:
    return abs(point.u) < FARTHEST_PX and abs(point.v) < FARTHEST_PX


def _far_outside(point: Point, geometry: StillGeometry) -> bool:
    width, height = geometry.width_px, geometry.height_px
    return not (-width / 2 <= point.u <= 1.5 * width and -height / 2 <= point.v <= 1.5 * height)


def _shape_faults(geometry: StillGeometry) -> list[Fault]:
    """Faults in how the landmarks lie to each other, as far as they are there and finite."""
    points = {m: geometry.mirrored(m) for m, p in geometry.landmarks.items() if _finite(p)}
    if not {Landmark.BALL_EDGE_A, Landmark.BALL_EDGE_B} <= points.keys():
        return []
    diameter = length(points[Landmark.BALL_EDGE_A], points[Landmark.BALL_EDGE_B])
    faults = _ball_faults(diameter, geometry)
    if faults:
        diameter = 0.0  # no scale: lengths are then only held against the click
    ground_faults = _ground_faults(points, diameter)
    frame = None if ground_faults else LevelFrame.of(points)
    return [
        *faults,
        *ground_faults,
        *_forearm_faults(points, diameter, frame, geometry.click_sd_px),
        *_shaft_faults(points, diameter, frame, geometry.click_sd_px),
    ]


def _ball_faults(diameter: float, geometry: StillGeometry) -> list[Fault]:
    if diameter < MIN_BALL_PX:
        return [Fault.BALL_TOO_SMALL]
    if diameter > 0.25 * min(geometry.width_px, geometry.height_px):
        return [Fault.BALL_TOO_LARGE]
    return []


def _ground_faults(points: dict[Landmark, Pair], diameter: float) -> list[Fault]:
    if not {Landmark.GROUND_A, Landmark.GROUND_B} <= points.keys():
        return []
    a, b = points[Landmark.GROUND_A], points[Landmark.GROUND_B]
    size = length(a, b)
    if size == 0 or size < 5 * diameter:
        return [Fault.GROUND_LINE_TOO_SHORT]
    if abs(b[1] - a[1]) > math.tan(math.radians(15)) * abs(b[0] - a[0]):
        return [Fault.ROLL_IMPLAUSIBLE]
    return []


def _forearm_faults(
    points: dict[Landmark, Pair], diameter: float, frame: LevelFrame | None, sigma: float
) -> list[Fault]:
    if Landmark.LEAD_WRIST not in points:
        return []
    wrist = points[Landmark.LEAD_WRIST]
    faults = []
    if frame and frame.place(wrist)[1] <= -diameter / 2:
        faults.append(Fault.WRIST_BELOW_GROUND)
    if Landmark.LEAD_ELBOW not in points:
        return faults
    elbow = points[Landmark.LEAD_ELBOW]
    if length(elbow, wrist) < max(2 * diameter, 10 * sigma):
        return [Fault.FOREARM_TOO_SHORT, *faults]
    direction = (Fault.FOREARM_POINTS_UP, Fault.FOREARM_NEAR_HORIZONTAL)
    return [*faults, *_direction_faults(elbow, wrist, frame, direction)]


def _shaft_faults(
    points: dict[Landmark, Pair], diameter: float, frame: LevelFrame | None, sigma: float
) -> list[Fault]:
    if not {Landmark.GRIP_END, Landmark.SHAFT_LOW} <= points.keys():
        return []
    grip, shaft = points[Landmark.GRIP_END], points[Landmark.SHAFT_LOW]
    if length(grip, shaft) < max(6 * diameter, 20 * sigma):
        return [Fault.SHAFT_TOO_SHORT]
    direction = (Fault.SHAFT_POINTS_UP, Fault.SHAFT_NEAR_HORIZONTAL)
    return _direction_faults(grip, shaft, frame, direction)


def _direction_faults(
    upper: Pair, lower: Pair, frame: LevelFrame | None, faults: tuple[Fault, Fault]
) -> list[Fault]:
    """The first fault if the upper point is not above, the second if the line lies too flat."""
    if frame is None:
        return []
    upper, lower = frame.place(upper), frame.place(lower)
    if upper[1] <= lower[1]:
        return [faults[0]]
    return [faults[1]] if abs(lean_deg(upper, lower)) > MAX_LEAN_DEG else []


def doubts(geometry: StillGeometry, values: dict[str, float]) -> tuple[str, ...]:
    """Warnings on a still that has passed `refuse_if_faulty`, given its measured values."""
    points = {mark: geometry.mirrored(mark) for mark in geometry.landmarks}
    d = values["ball_diameter_px"]
    forearm = length(points[Landmark.LEAD_ELBOW], points[Landmark.LEAD_WRIST]) / d
    shaft = length(points[Landmark.GRIP_END], points[Landmark.SHAFT_LOW]) / d
    roll, bow, off = abs(values["roll_deg"]), _bow(points), _head_off_ball(points, d)
    raised = {
        Doubt.BALL_SMALL: d < SMALL_BALL_PX,
        Doubt.ROLL_LARGE: 3 < roll <= 5,
        Doubt.ROLL_TOO_LARGE: roll > 5,
        Doubt.FOREARM_LEAN_LARGE: abs(values["forearm_lean_deg"]) > 45,
        Doubt.SHAFT_LEAN_LARGE: abs(values["shaft_lean_deg"]) > 35,
        Doubt.FOREARM_LENGTH_RATIO: not 4 <= forearm <= 8,
        Doubt.SHAFT_LENGTH_RATIO: not 12 <= shaft <= 30,
        Doubt.SHAFT_BOWED: 0.01 < bow <= 0.02,
        Doubt.SHAFT_BENT: bow > 0.02,
        Doubt.HANDEDNESS_DOUBTFUL: _shoulders_swapped(points),
        Doubt.HEAD_OFF_BALL: 1 < off <= 3,
        Doubt.NOT_AT_IMPACT: off > 3,
    }
    return tuple(doubt for doubt, is_raised in raised.items() if is_raised)


def _bow(points: dict[Landmark, Pair]) -> float:
    """How far the middle of the shaft lies off its line, as a share of the marked length."""
    if Landmark.SHAFT_MID not in points:
        return 0.0
    (gu, gv), (su, sv) = points[Landmark.GRIP_END], points[Landmark.SHAFT_LOW]
    mu, mv = points[Landmark.SHAFT_MID]
    cross = (gu - su) * (mv - sv) - (gv - sv) * (mu - su)
    return float(abs(cross) / ((gu - su) ** 2 + (gv - sv) ** 2))


def _head_off_ball(points: dict[Landmark, Pair], diameter: float) -> float:
    """How far the front of the club head is from the back of the ball, in ball diameters."""
    if Landmark.CLUB_HEAD not in points:
        return 0.0
    x, _ = LevelFrame.of(points).place(points[Landmark.CLUB_HEAD])
    return float(abs(x + diameter / 2) / diameter)


def _shoulders_swapped(points: dict[Landmark, Pair]) -> bool:
    if not {Landmark.LEAD_SHOULDER, Landmark.TRAIL_SHOULDER} <= points.keys():
        return False
    frame = LevelFrame.of(points)
    lead, trail = (points[m] for m in (Landmark.LEAD_SHOULDER, Landmark.TRAIL_SHOULDER))
    return bool(frame.place(trail)[0] > frame.place(lead)[0])
