"""The construction on a still: level frame from ball and ground, measures as plain formulas.

Every formula works elementwise on arrays, real or complex, so that one body serves the value,
its derivatives by complex step, and any number of simulated draws. Hence the arctangent of a
ratio and not of a pair, and no absolute values: both would drop the imaginary part.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assessments.impact.landmarks import Club, Handedness, Landmark, Landmarks, Point

BALL_DIAMETER_MM = 42.67  # The Equipment Rules (The R&A and USGA, 2019), part 4: the minimum

CLICK_SD_PX = 1.5
"""How far a careful click lies off in one coordinate (one standard deviation), as assumed."""

Array = NDArray[Any]
Pair = tuple[Any, Any]


@dataclass(frozen=True)
class StillGeometry:
    """One still as marked: its size in pixels, who swings which club, and the landmarks.

    Parameters
    ----------
    click_sd_px
        Standard deviation of one click on one coordinate.
    step_mm
        What the school calls one step on the ground scale; one ball diameter unless it says so.
    placement_sd_mm
        How far (one standard deviation) a landmark itself is in doubt, on top of the click.
    scale_px, scale_sd_px
        The ball's diameter as a fixed camera shows it, from many stills, in place of this still's
        own; and its standard uncertainty.
    """

    width_px: int
    height_px: int
    handedness: Handedness
    club: Club
    landmarks: Landmarks
    click_sd_px: float = CLICK_SD_PX
    step_mm: float = BALL_DIAMETER_MM
    placement_sd_mm: Mapping[Landmark, float] = field(default_factory=dict)
    scale_px: float | None = None
    scale_sd_px: float = 0.0

    def __post_init__(self) -> None:
        for name in ("width_px", "height_px", "click_sd_px", "step_mm", "scale_px"):
            value = getattr(self, name)
            if value is not None and not (math.isfinite(value) and value > 0):
                raise ValueError(f"{name} must be a positive number, not {value}")
        for value in (self.scale_sd_px, *self.placement_sd_mm.values()):
            if not (math.isfinite(value) and value >= 0):
                raise ValueError(f"A spread must be a number from 0, not {value}")

    @property
    def target_sign(self) -> int:
        """+1 if the target lies to the right in the picture, as for a right-hander."""
        return 1 if self.handedness == "right" else -1

    def mirrored(self, mark: Landmark) -> tuple[float, float]:
        """The landmark with the target to the right; only differences of these are used."""
        point = self.landmarks[mark]
        return self.target_sign * point.u, point.v


@dataclass(frozen=True)
class LevelFrame:
    """Origin at the centre of the ball, x along the ground toward the target, y up, in pixels."""

    centre: Pair
    along: Pair
    diameter: Any

    @classmethod
    def of(cls, points: Mapping[Landmark, Pair], diameter: Any = None) -> LevelFrame:
        """From mirrored points; without ground points the picture's own level is taken.

        A diameter that is given replaces that of the marked ball.
        """
        (au, av), (bu, bv) = points[Landmark.BALL_EDGE_A], points[Landmark.BALL_EDGE_B]
        along: Pair = (1.0, 0.0)
        if Landmark.GROUND_A in points and Landmark.GROUND_B in points:
            along = _toward_target(points[Landmark.GROUND_A], points[Landmark.GROUND_B])
        if diameter is None:
            diameter = length((au, av), (bu, bv))
        return cls(((au + bu) / 2, (av + bv) / 2), along, diameter)

    def place(self, point: Pair) -> Pair:
        """A mirrored point in this frame."""
        du, dv = point[0] - self.centre[0], point[1] - self.centre[1]
        gu, gv = self.along
        return du * gu + dv * gv, du * gv - dv * gu

    def unplace(self, x: float, y: float, target_sign: int) -> Point:
        """The point of the picture, mirrored back, that lies at (x, y) of this frame."""
        (cu, cv), (gu, gv) = self.centre, self.along
        return Point(target_sign * (cu + x * gu + y * gv), cv + x * gv - y * gu)


def length(p: Pair, q: Pair) -> Any:
    """The distance of two points, in a form that keeps complex steps."""
    return np.sqrt((q[0] - p[0]) ** 2 + (q[1] - p[1]) ** 2)


def lean_deg(upper: Pair, lower: Pair) -> Any:
    """Degrees from vertical of the line through two points of a level frame, + toward target."""
    return np.degrees(1.0) * np.arctan((upper[0] - lower[0]) / (upper[1] - lower[1]))


def _toward_target(a: Pair, b: Pair) -> Pair:
    du, dv, size = b[0] - a[0], b[1] - a[1], length(a, b)
    sign = np.where(np.real(du) < 0, -1.0, 1.0)
    return sign * du / size, sign * dv / size


def measure_names(marks: Sequence[Landmark]) -> tuple[str, ...]:
    """The measures that these landmarks give, in the order of `evaluate`."""
    names = ["forearm_line_offset_bd", "forearm_lean_deg", "shaft_lean_deg"]
    names += ["forearm_shaft_angle_deg", "hands_ahead_bd"]
    if Landmark.LEAD_SHOULDER in marks:
        names.append("grip_line_clearance_bd")
    if Landmark.LEAD_HEEL in marks:
        names.append("ball_position_bd")
    return (*names, "roll_deg", "ball_diameter_px")


def evaluate(marks: Sequence[Landmark], coordinates: Array) -> Array:
    """All measures of `measure_names` from mirrored coordinates.

    Parameters
    ----------
    marks
        The landmarks at hand.
    coordinates
        Shape (..., 2 K): u and v of each of the K landmarks in turn. With one column more, that
        is the diameter of the ball, in place of the marked one.

    Returns
    -------
    array of shape (..., M), in ball diameters, degrees and pixels.
    """
    points = {
        m: (coordinates[..., 2 * i], coordinates[..., 2 * i + 1]) for i, m in enumerate(marks)
    }
    is_scaled = coordinates.shape[-1] > 2 * len(marks)
    frame = LevelFrame.of(points, coordinates[..., -1] if is_scaled else None)
    at = {mark: frame.place(point) for mark, point in points.items()}
    d = frame.diameter
    wrist, elbow = at[Landmark.LEAD_WRIST], at[Landmark.LEAD_ELBOW]
    grip, shaft = at[Landmark.GRIP_END], at[Landmark.SHAFT_LOW]
    phi, lam = lean_deg(elbow, wrist), lean_deg(grip, shaft)
    values = [(forearm_foot(wrist, elbow, ground_height(at, d)) + d / 2) / d]
    values += [phi, lam, lam - phi, wrist[0] / d]
    if Landmark.LEAD_SHOULDER in at:
        values.append(_clearance(grip, shaft, at[Landmark.LEAD_SHOULDER]) / d)
    if Landmark.LEAD_HEEL in at:
        values.append(at[Landmark.LEAD_HEEL][0] / d)
    gu, gv = frame.along
    values += [np.degrees(1.0) * np.arctan(gv / gu), d]
    return np.stack(np.broadcast_arrays(*values), axis=-1)


def ground_height(at: Mapping[Landmark, Pair], diameter: Any) -> Any:
    """The y of the ground in the level frame: the marked foot of the tee, else of the ball."""
    if Landmark.GROUND_CONTACT in at:
        return at[Landmark.GROUND_CONTACT][1]
    return -diameter / 2


def forearm_foot(wrist: Pair, elbow: Pair, ground: Any) -> Any:
    """Where the lead-forearm line, carried down, meets the ground (x of the level frame, px)."""
    return wrist[0] - (wrist[1] - ground) * (elbow[0] - wrist[0]) / (elbow[1] - wrist[1])


def _clearance(grip: Pair, shaft: Pair, shoulder: Pair) -> Any:
    # twice the area of the triangle over its base: the distance from shoulder to grip line
    cross = (grip[0] - shaft[0]) * (shoulder[1] - grip[1]) - (grip[1] - shaft[1]) * (
        shoulder[0] - grip[0]
    )
    return cross / length(shaft, grip)
