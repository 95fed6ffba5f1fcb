"""A pinhole camera and invented golfers at impact, to see what a picture makes of the truth.

Written for the tests alone: it shares no code with the pose that is fitted. Millimetres, X toward
the target, Y up, Z toward the camera, the centre of the ball at the origin.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assessments.impact.geometry import BALL_DIAMETER_MM, StillGeometry
from assessments.impact.landmarks import Club, Landmark, Point
from assessments.impact.pose import CameraSetUp

World = dict[Landmark, NDArray[np.float64]]

RADIUS = BALL_DIAMETER_MM / 2
LONG, WIDE, BEHIND = 1200.0, 450.0, -150.0


@dataclass(frozen=True)
class Camera:
    """At a distance and a height, moved round by `yaw`, panned from the ball, rolled; degrees."""

    distance_mm: float = 4000.0
    height_mm: float = 1000.0
    yaw: float = 0.0
    roll: float = 0.0
    pan: float = 0.0
    focal_px: float = 1600.0
    width: int = 1600
    height: int = 1200

    @property
    def set_up(self) -> CameraSetUp:
        return CameraSetUp(self.distance_mm, self.height_mm, LONG, WIDE, BEHIND)

    def see(self, world: World, *, d_error: float = 0.0) -> dict[Landmark, Point]:
        """Every point of the world, and the ball's edges level with its middle in the picture."""
        yaw = math.radians(self.yaw)
        place = np.array(
            [self.distance_mm * math.sin(yaw), self.height_mm, self.distance_mm * math.cos(yaw)]
        )
        seen = {mark: self._pixel(place, point) for mark, point in world.items()}
        u, v = self._pixel(place, np.zeros(3))
        radius = self.focal_px * RADIUS / float(np.linalg.norm(place)) + d_error / 2
        seen[Landmark.BALL_EDGE_A] = (u - radius, v)
        seen[Landmark.BALL_EDGE_B] = (u + radius, v)
        return {mark: Point(*pixel) for mark, pixel in seen.items()}

    def _pixel(self, place: NDArray[np.float64], point: NDArray[np.float64]) -> tuple[float, float]:
        aim = np.array([0.0, 700.0, -300.0]) - place
        turned = math.atan2(aim[0], -aim[2]) + math.radians(self.pan)
        ahead = np.array([math.sin(turned), 0.0, -math.cos(turned)])
        ahead[1] = aim[1] / math.hypot(aim[0], aim[2])
        ahead /= np.linalg.norm(ahead)
        right = np.cross(ahead, [0.0, 1.0, 0.0])
        right /= np.linalg.norm(right)
        down = np.cross(ahead, right)
        x, y, z = ((point - place) @ axis for axis in (right, down, ahead))
        c, s = math.cos(math.radians(self.roll)), math.sin(math.radians(self.roll))
        return (
            float(self.width / 2 + self.focal_px * (c * x - s * y) / z),
            float(self.height / 2 + self.focal_px * (s * x + c * y) / z),
        )


def golfer(rng: np.random.Generator, club: Club = "iron") -> World:
    """Somebody at impact, standing 60 mm off the usual and with each joint 20 mm off by itself."""
    farther = 180.0 if club == "driver" else 0.0
    stance = rng.normal(0, 60)

    def behind(usual: float) -> float:
        return -(usual + farther + stance + rng.normal(0, 20))

    lean, shaft_lean = rng.normal(4, 5), rng.normal(6, 4)
    wrist = np.array([rng.normal(70, 40), rng.normal(780, 30) + farther / 3, behind(400)])
    phi = math.radians(lean)
    elbow = np.array([wrist[0] + 255 * math.sin(phi), wrist[1] + 255 * math.cos(phi), behind(435)])
    grip = np.array([wrist[0] + 15, wrist[1] + 60, behind(420)])
    lam = math.radians(shaft_lean)
    low_y = 40.0
    shaft = np.array([grip[0] - (grip[1] - low_y) * math.tan(lam), low_y, -20.0])
    return {
        Landmark.LEAD_WRIST: wrist,
        Landmark.LEAD_ELBOW: elbow,
        Landmark.LEAD_SHOULDER: np.array([rng.normal(90, 30), 1330.0, behind(420)]),
        Landmark.GRIP_END: grip,
        Landmark.SHAFT_LOW: shaft,
        Landmark.LEAD_HEEL: np.array([rng.normal(90, 25), -RADIUS, -650.0 - farther]),
    }


def corners(along: float = 0.0) -> World:
    near, far = -BEHIND, -BEHIND - WIDE
    ends = along - LONG / 2, along + LONG / 2
    return {
        Landmark.GROUND_A: np.array([ends[0], -RADIUS, near]),
        Landmark.GROUND_B: np.array([ends[1], -RADIUS, near]),
        Landmark.GROUND_C: np.array([ends[1], -RADIUS, far]),
        Landmark.GROUND_D: np.array([ends[0], -RADIUS, far]),
    }


def still(camera: Camera, world: World, club: Club = "iron") -> StillGeometry:
    """The world as a still; a driver's ball stands on the ground here too, so `club` is a depth."""
    marks = camera.see(world)
    if club == "driver":
        marks[Landmark.GROUND_CONTACT] = camera.see(
            {Landmark.CLUB_HEAD: np.array([0.0, -RADIUS, 0.0])}
        )[Landmark.CLUB_HEAD]
    return StillGeometry(camera.width, camera.height, "right", club, marks)


def truth(world: World, club: Club = "iron") -> StillGeometry:
    """The same from infinitely far away and square: one pixel a millimetre."""
    marks = {m: Point(1000 + p[0], 1500 - p[1]) for m, p in world.items() if "ground" not in m}
    marks[Landmark.BALL_EDGE_A] = Point(1000 - RADIUS, 1500)
    marks[Landmark.BALL_EDGE_B] = Point(1000 + RADIUS, 1500)
    if club == "driver":
        marks[Landmark.GROUND_CONTACT] = Point(1000, 1500 + RADIUS)
    return StillGeometry(2000, 2000, "right", club, marks)
