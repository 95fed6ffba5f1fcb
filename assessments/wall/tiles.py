"""One still as it hangs on the wall: level, the ball at one place and of one size, its lines."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

from assessments.impact.geometry import StillGeometry
from assessments.impact.overlay import crop_around, draw_overlay

# Diameter of the ball. A tile is 35 balls wide and 48 high: 560 by 768 pixels on paper, where it
# is 39 mm wide (365 dots an inch), and as many again by half on a projector.
SHEET_BALL_PX, SCREEN_BALL_PX, LARGE_BALL_PX = 16.0, 18.0, 24.0

# A tile is shown at half its size or less; its lines and words are for reading all the same.
STRENGTH = 2.0


def draw_tile(
    picture: Image.Image,
    geometry: StillGeometry,
    *,
    ball_px: float,
    font_path: Path | None = None,
) -> Image.Image:
    """The still in the frame that all stills share. No name and no number is written on it.

    Raises
    ------
    StillRefused
        If the marks give no direction.
    ValueError
        If the picture is not of the size that was marked.
    """
    if picture.size != (geometry.width_px, geometry.height_px):
        raise ValueError("The marks belong to a picture of another size.")
    framed, marks = crop_around(picture, geometry, ball_px=ball_px)
    return draw_overlay(framed, marks, font_path=font_path, strength=STRENGTH)
