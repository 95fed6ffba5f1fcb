"""Where the camera stood, from four corners on the ground, and the still as a square one sees it.

World, in millimetres: X toward the target, Y up, Z toward the camera, the centre of the ball at the
origin, the ground one ball radius below it. Pictures are mirrored for left-handers first.

1. The camera's place, aim and focal length and where the rectangle lies along the target line are
   fitted by least squares to the corners and the ball, with the school's tape measure (distance
   and height, each within 5 %) as further observations.
2. The ray of each landmark is cut with the upright plane in which that landmark is assumed to lie
   at impact; the lead heel's with the ground.
3. What a camera square to the target line, far away, would see is drawn from that at the scale of
   the ball, and measured like any still.

The planes are assumptions, the same for everyone. A golfer who stands 60 mm off them moves all
joints alike by 60 mm times the tangent of the yaw, an eighth of a ball at 5 degrees, which is not
added to the uncertainty; that each joint lies off its plane by 20 mm more (one standard deviation,
assumed) is. The lens is taken to be free of distortion, as it nearly is in the middle half of a
picture.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assessments.impact.geometry import BALL_DIAMETER_MM, Pair, StillGeometry
from assessments.impact.landmarks import Club, Landmark, Point

Vector = NDArray[np.float64]

CORNERS = (Landmark.GROUND_A, Landmark.GROUND_B, Landmark.GROUND_C, Landmark.GROUND_D)
"""Round the rectangle: near trail, near target, far target, far trail."""

TAPE_DOUBT = 0.05
"""How far the measured distance and height of the camera may be off, as a share of them."""

DEPTH_DOUBT_MM = 20.0
MOST_RESIDUAL_CLICKS = 4.0
MOST_YAW_DEG = 25.0
UNKNOWN_HEIGHT_MM, UNKNOWN_HEIGHT_SD_MM = 1000.0, 500.0

# Assumed depths behind the ball's plane, in millimetres, for an iron; longer clubs stand farther.
_BEHIND_MM: dict[Landmark, float] = {
    Landmark.LEAD_WRIST: 400.0,
    Landmark.LEAD_ELBOW: 435.0,
    Landmark.LEAD_SHOULDER: 420.0,
    Landmark.TRAIL_SHOULDER: 420.0,
    Landmark.GRIP_END: 420.0,
    Landmark.SHAFT_LOW: 20.0,
    Landmark.SHAFT_MID: 220.0,
    Landmark.CLUB_HEAD: 0.0,
    Landmark.GROUND_CONTACT: 0.0,
}
_FARTHER_MM: dict[Club, float] = {"driver": 180.0, "wood": 120.0}
_BODY = frozenset(_BEHIND_MM) - {Landmark.SHAFT_LOW, Landmark.CLUB_HEAD, Landmark.GROUND_CONTACT}


@dataclass(frozen=True)
class CameraSetUp:
    """What a tape measure says of a filming place, in millimetres.

    The rectangle lies on the ground with its long sides along the target line, the near one
    `rectangle_behind_mm` behind the ball (minus: between ball and camera).
    """

    distance_mm: float
    height_mm: float | None
    rectangle_long_mm: float
    rectangle_wide_mm: float
    rectangle_behind_mm: float


@dataclass(frozen=True)
class Pose:
    """Where the camera stood and how well that explains the marks.

    `yaw_deg` is how far it had moved round the golfer, + toward the target; `roll_deg` as in a
    still; `residual_px` the root mean square distance of the corners and the ball from where
    they should be.
    """

    position_mm: tuple[float, float, float]
    yaw_deg: float
    roll_deg: float
    focal_px: float
    residual_px: float


@dataclass(frozen=True)
class Squared:
    """A still as a square camera would have seen it, to be measured in place of the original."""

    geometry: StillGeometry
    pose: Pose


class PoseRefused(Exception):
    """The four corners give no camera that can be believed; the message says why."""


def off_square_deg(tilt_deg: float, setup: CameraSetUp) -> float:
    """How far a levelled camera has moved round, from how far the target line tilts in its picture.

    tan(yaw) = tan(tilt) distance / height, for a line on the ground through the ball.

    Raises
    ------
    ValueError
        If the height of the camera is not known.
    """
    if not setup.height_mm:
        raise ValueError("The height of the camera is not known.")
    slope = math.tan(math.radians(tilt_deg)) * setup.distance_mm / setup.height_mm
    return math.degrees(math.atan(slope))


def has_corners(geometry: StillGeometry) -> bool:
    """Whether all four corners of the rectangle are marked."""
    return all(corner in geometry.landmarks for corner in CORNERS)


def fit_pose(geometry: StillGeometry, setup: CameraSetUp) -> Pose:
    """Find the camera from the corners and the ball of a still.

    Raises
    ------
    PoseRefused
        If a corner is missing, or no camera near the measured place explains the marks.
    """
    camera, residual_px = _fit(geometry, setup)
    return _pose(camera, residual_px)


def square_on(geometry: StillGeometry, setup: CameraSetUp) -> Squared:
    """The landmarks moved to where a camera square to the target line would see them.

    The result is level and has no ground points; its placement doubt includes that of the depths.

    Raises
    ------
    PoseRefused
        As `fit_pose`.
    """
    camera, residual_px = _fit(geometry, setup)
    pose = _pose(camera, residual_px)
    centre, d = _ball(geometry)
    px_per_mm = d / BALL_DIAMETER_MM
    edges = {Landmark.BALL_EDGE_A: (-d / 2, 0.0), Landmark.BALL_EDGE_B: (d / 2, 0.0)}
    seen: dict[Landmark, tuple[float, float]] = dict(edges)
    for mark in geometry.landmarks:
        if mark in _BEHIND_MM or mark is Landmark.LEAD_HEEL:
            x_mm, y_mm = _cut(camera, geometry.mirrored(mark), mark, geometry.club)
            seen[mark] = (x_mm * px_per_mm, -y_mm * px_per_mm)
    sign = geometry.target_sign
    landmarks = {
        mark: Point(sign * (centre[0] + u), centre[1] + v) for mark, (u, v) in seen.items()
    }
    doubt_mm = DEPTH_DOUBT_MM * abs(math.tan(math.radians(pose.yaw_deg)))
    placement = dict(geometry.placement_sd_mm)
    for mark in _BODY & landmarks.keys():
        placement[mark] = math.hypot(placement.get(mark, 0.0), doubt_mm)
    return Squared(replace(geometry, landmarks=landmarks, placement_sd_mm=placement), pose)


@dataclass(frozen=True)
class _Camera:
    """A pinhole: its place, how it is turned (yaw, pitch, roll in radians) and its focal length."""

    position: Vector
    turn: Vector
    focal_px: float
    middle: Pair

    @property
    def axes(self) -> NDArray[np.float64]:
        """Rows: right, down and forward of the camera in the world."""
        yaw, pitch, roll = self.turn
        cy, sy, cp, sp = math.cos(yaw), math.sin(yaw), math.cos(pitch), math.sin(pitch)
        forward = np.array([-sy * cp, -sp, -cy * cp])
        right = np.array([cy, 0.0, -sy])
        down = np.cross(forward, right)
        cr, sr = math.cos(roll), math.sin(roll)
        return np.stack([cr * right - sr * down, sr * right + cr * down, forward])

    def project(self, world: Vector) -> Vector:
        """Pixels, shape (..., 2), of world points of shape (..., 3)."""
        seen = (world - self.position) @ self.axes.T
        pixels: Vector = self.focal_px * seen[..., :2] / seen[..., 2:] + np.asarray(self.middle)
        return pixels

    def ray(self, pixel: Pair) -> Vector:
        """The direction in the world in which a pixel looks."""
        across = (np.asarray(pixel) - np.asarray(self.middle)) / self.focal_px
        direction: Vector = np.append(across, 1.0) @ self.axes
        return direction


def _fit(geometry: StillGeometry, setup: CameraSetUp) -> tuple[_Camera, float]:
    if not has_corners(geometry):
        raise PoseRefused("Mark all four corners of the ground rectangle, or none of the far two.")
    # a camera is fitted when an entry is recorded; whoever only reads need not hold the library
    from scipy.optimize import least_squares

    middle = (geometry.target_sign * geometry.width_px / 2, geometry.height_px / 2)
    corners = np.array([geometry.mirrored(corner) for corner in CORNERS])
    centre, d = _ball(geometry)
    observed = np.vstack([corners, centre])
    click = geometry.click_sd_px
    height, height_sd = _height(setup)

    def off(x: Vector) -> Vector:
        camera, along = _camera(x, middle)
        seen = camera.project(_rectangle(setup, along))
        depth = float((-camera.position) @ camera.axes[2])
        return np.concatenate(
            [
                ((seen - observed) / click).ravel(),
                [(camera.focal_px * BALL_DIAMETER_MM / depth - d) / click],
                [(math.hypot(x[0], x[2]) / setup.distance_mm - 1) / TAPE_DOUBT],
                [(x[1] - height) / height_sd],
            ]
        )

    found = least_squares(off, _start(geometry, setup, observed, d), x_scale="jac", method="trf")
    camera, _ = _camera(found.x, middle)
    pixels = found.fun[: observed.size] * click
    residual = float(np.sqrt(np.mean(np.sum(pixels.reshape(-1, 2) ** 2, axis=1))))
    _refuse(found.success, camera, residual, click)
    return camera, residual


def _refuse(success: bool, camera: _Camera, residual_px: float, click: float) -> None:
    if not success or not math.isfinite(residual_px):
        raise PoseRefused("The four corners and the ball fit no camera. Check the corners.")
    if residual_px > MOST_RESIDUAL_CLICKS * click:
        raise PoseRefused(
            f"The corners lie {residual_px:.0f} pixels off those of the rectangle that is set up. "
            "Check the corners, and the lengths of the sticks."
        )
    if abs(_yaw_deg(camera)) > MOST_YAW_DEG:
        raise PoseRefused(
            f"The camera stood {abs(_yaw_deg(camera)):.0f} degrees off square, too far to correct."
        )


def _camera(x: Vector, middle: Pair) -> tuple[_Camera, float]:
    """The camera of a vector of unknowns, and where the rectangle's middle lies along X."""
    return _Camera(x[:3], x[3:6], math.exp(x[6]), middle), float(x[7])


def _start(geometry: StillGeometry, setup: CameraSetUp, observed: Vector, d: float) -> Vector:
    """Square to the target line at the measured distance, looking at what is in the middle."""
    focal = d / BALL_DIAMETER_MM * setup.distance_mm
    height, _ = _height(setup)
    fall = (observed[4, 1] - geometry.height_px / 2) / focal
    pitch = math.atan2(height, setup.distance_mm) - math.atan(fall)
    along = float(observed[:4, 0].mean() - observed[4, 0]) * BALL_DIAMETER_MM / d
    aside = (observed[4, 0] - geometry.target_sign * geometry.width_px / 2) / focal
    return np.array(
        [0.0, height, setup.distance_mm, math.atan(aside), pitch, 0.0, math.log(focal), along]
    )


def _height(setup: CameraSetUp) -> tuple[float, float]:
    if setup.height_mm is None:
        return UNKNOWN_HEIGHT_MM, UNKNOWN_HEIGHT_SD_MM
    return setup.height_mm, TAPE_DOUBT * setup.height_mm


def _rectangle(setup: CameraSetUp, along: float) -> Vector:
    """The four corners in the order of `CORNERS`, and the ball."""
    half, ground = setup.rectangle_long_mm / 2, -BALL_DIAMETER_MM / 2
    near = -setup.rectangle_behind_mm
    far = near - setup.rectangle_wide_mm
    trail, target = along - half, along + half
    corners = [(trail, near), (target, near), (target, far), (trail, far)]
    return np.array([*((x, ground, z) for x, z in corners), (0.0, 0.0, 0.0)])


def _ball(geometry: StillGeometry) -> tuple[Vector, float]:
    a, b = (np.array(geometry.mirrored(m)) for m in (Landmark.BALL_EDGE_A, Landmark.BALL_EDGE_B))
    return (a + b) / 2, float(np.hypot(*(b - a)))


def _cut(camera: _Camera, pixel: Pair, mark: Landmark, club: Club) -> tuple[float, float]:
    """X and Y in millimetres where the ray of a landmark meets the plane assumed for it."""
    ray = camera.ray(pixel)
    if mark is Landmark.LEAD_HEEL:
        axis, plane = 1, -BALL_DIAMETER_MM / 2
    else:
        axis, plane = 2, -_depth_mm(mark, club)
    point = camera.position + (plane - camera.position[axis]) / ray[axis] * ray
    return float(point[0]), float(point[1])


def _depth_mm(mark: Landmark, club: Club) -> float:
    return _BEHIND_MM[mark] + (_FARTHER_MM.get(club, 0.0) if mark in _BODY else 0.0)


def _yaw_deg(camera: _Camera) -> float:
    return math.degrees(math.atan2(camera.position[0], camera.position[2]))


def _pose(camera: _Camera, residual_px: float) -> Pose:
    x, y, z = map(float, camera.position)
    return Pose(
        (x, y, z), _yaw_deg(camera), math.degrees(camera.turn[2]), camera.focal_px, residual_px
    )
