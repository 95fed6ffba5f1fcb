"""Whether the picture itself can be trusted: sharpness of ball and wrist, the shaft's outline.

Sharpness is the variance of the Laplacian after a Gaussian of one pixel, in 8-bit greys, over a
square about the mark. Without the Gaussian noise would count as sharpness; over the whole picture
grass would. A ball may be sharp in a picture whose club and wrist are not: it stands still.

The shaft is looked at across its line, at sixty parts of a hundred from the grip to the low mark:
how wide it stands out at half its height, and by how many greys.

The limits were found on rendered pictures of 1280 by 960 pixels; a school does well to look at them
again on fifty of its own. What one picture cannot tell: how far round the camera stood (without a
ground reference) and the true instant.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, laplace, map_coordinates

from assessments.impact.errors import Doubt
from assessments.impact.geometry import StillGeometry
from assessments.impact.landmarks import Landmark, Point
from assessments.impact.measures import ball_px

Grey = NDArray[np.float64]

BALL_PATCH_BD, WRIST_PATCH_BD = 60 / 21, 90 / 21
PROFILE_AT, PROFILE_HALF_BD, PROFILE_LENGTH_BD = 0.6, 1.0, 1.0

SOFT_BALL, BLURRED_BALL = 25.0, 10.0
SOFT_WRIST, BLURRED_WRIST = 12.0, 6.0
WIDE_SHAFT_PX, LOW_CONTRAST, NO_CONTRAST = 8.0, 45.0, 20.0
OFF_SQUARE_TILT_DEG, FAR_OFF_SQUARE_TILT_DEG = 0.5, 1.0


@dataclass(frozen=True)
class GateReadings:
    """Sharpness in squared greys, the shaft's width in pixels and its contrast in greys."""

    ball_sharpness: float
    wrist_sharpness: float
    shaft_width_px: float
    shaft_contrast: float


def readings(grey: Grey, geometry: StillGeometry) -> GateReadings:
    """Look at the picture about the marks of a still that can be measured.

    Parameters
    ----------
    grey
        Shape (height, width), 0 for black to 255 for white.

    Raises
    ------
    ValueError
        If the picture is not of the size of the geometry.
    """
    if grey.shape != (geometry.height_px, geometry.width_px):
        raise ValueError(f"The marks belong to a picture of another size than {grey.shape}.")
    d = ball_px(geometry)
    marks = geometry.landmarks
    a, b = marks[Landmark.BALL_EDGE_A], marks[Landmark.BALL_EDGE_B]
    ball = Point((a.u + b.u) / 2, (a.v + b.v) / 2)
    width, contrast = _shaft(grey, marks[Landmark.GRIP_END], marks[Landmark.SHAFT_LOW], d)
    return GateReadings(
        _sharpness(grey, ball, BALL_PATCH_BD * d),
        _sharpness(grey, marks[Landmark.LEAD_WRIST], WRIST_PATCH_BD * d),
        width,
        contrast,
    )


def doubts_of(found: GateReadings) -> tuple[Doubt, ...]:
    """Every gate that the picture does not pass."""
    raised = {
        Doubt.BALL_SOFT: BLURRED_BALL <= found.ball_sharpness < SOFT_BALL,
        Doubt.BALL_BLURRED: found.ball_sharpness < BLURRED_BALL,
        Doubt.WRIST_SOFT: BLURRED_WRIST <= found.wrist_sharpness < SOFT_WRIST,
        Doubt.WRIST_BLURRED: found.wrist_sharpness < BLURRED_WRIST,
        Doubt.SHAFT_SOFT: found.shaft_contrast >= NO_CONTRAST
        and (found.shaft_contrast < LOW_CONTRAST or found.shaft_width_px > WIDE_SHAFT_PX),
        Doubt.SHAFT_FAINT: found.shaft_contrast < NO_CONTRAST,
    }
    return tuple(doubt for doubt, is_raised in raised.items() if is_raised)


def off_square_doubts(tilt_deg: float) -> tuple[Doubt, ...]:
    """What the tilt of a stick on the target line says when the camera is levelled."""
    tilt = abs(tilt_deg)
    if tilt > FAR_OFF_SQUARE_TILT_DEG:
        return (Doubt.CAMERA_FAR_OFF_SQUARE,)
    return (Doubt.CAMERA_OFF_SQUARE,) if tilt > OFF_SQUARE_TILT_DEG else ()


def _sharpness(grey: Grey, at: Point, side: float) -> float:
    """Zero where the mark lies so far outside that nothing of the square is in the picture."""
    half = side / 2
    rows, columns = (
        slice(max(0, round(centre - half)), max(0, round(centre + half))) for centre in (at.v, at.u)
    )
    patch = grey[rows, columns]
    if min(patch.shape) < 3:
        return 0.0
    return float(laplace(gaussian_filter(patch, 1.0)).var())


def _shaft(grey: Grey, grip: Point, low: Point, d: float) -> tuple[float, float]:
    """Width and contrast of the outline across the shaft, averaged along a ball's length."""
    along = np.array([low.u - grip.u, low.v - grip.v])
    along /= np.hypot(*along)
    across = np.array([-along[1], along[0]])
    middle = np.array([grip.u, grip.v]) + PROFILE_AT * np.array([low.u - grip.u, low.v - grip.v])
    offsets = np.arange(-PROFILE_HALF_BD * d, PROFILE_HALF_BD * d + 0.25, 0.25)
    steps = np.arange(-PROFILE_LENGTH_BD * d / 2, PROFILE_LENGTH_BD * d / 2 + 0.5)
    points = middle + steps[:, None, None] * along + offsets[None, :, None] * across - 0.5
    profile = map_coordinates(grey, [points[..., 1], points[..., 0]], order=1, mode="nearest").mean(
        axis=0
    )
    return _outline(profile, 0.25)


def _outline(profile: NDArray[np.float64], step: float) -> tuple[float, float]:
    """Of the highest peak, bright or dark, over the median beside it: width at half, and height."""
    beyond = profile - np.median(profile)
    peak = int(np.argmax(np.abs(beyond)))
    height = abs(beyond[peak])
    if height == 0:
        return 0.0, 0.0
    above = np.sign(beyond[peak]) * beyond >= height / 2
    left = right = peak
    while left > 0 and above[left - 1]:
        left -= 1
    while right < len(above) - 1 and above[right + 1]:
        right += 1
    return (right - left + 1) * step, float(height)
