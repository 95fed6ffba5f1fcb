"""Tiles: the ball at one pixel and of one size, the ground level, the golfer as they stood."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageOps

from assessments.impact.geometry import StillGeometry
from assessments.impact.landmarks import Landmark, Point
from assessments.impact.overlay import crop_around, level_frame
from assessments.wall.tiles import draw_tile
from tests.assessments.impact.marks import BALL_AT, STILLS, mirrored, rendered_geometry, still

ALL = sorted(path.stem for path in STILLS.glob("*.jpg"))
BALL_PX = 20.0


@cache
def photograph(name: str) -> Image.Image:
    with Image.open(STILLS / f"{name}.jpg") as picture:
        return picture.convert("RGB")


def tilted(geometry: StillGeometry, degrees: float) -> StillGeometry:
    """The same still filmed with the camera turned about the ball."""
    turn = complex(np.cos(np.radians(degrees)), np.sin(np.radians(degrees)))
    middle = complex(*BALL_AT)
    turned = {
        mark: turn * (complex(p.u, p.v) - middle) + middle for mark, p in geometry.landmarks.items()
    }
    return replace(geometry, landmarks={m: Point(z.real, z.imag) for m, z in turned.items()})


def spotted(geometry: StillGeometry, *marks: Landmark) -> Image.Image:
    """Grey, with a red square on some landmarks."""
    picture = Image.new("RGB", (geometry.width_px, geometry.height_px), "#808080")
    for mark in marks:
        p = geometry.landmarks[mark]
        u, v = round(p.u), round(p.v)
        picture.paste("#ff0000", (u - 5, v - 5, u + 5, v + 5))
    return picture


def red_at(picture: Image.Image) -> tuple[float, float]:
    pixels: NDArray[np.int_] = np.asarray(picture).astype(int)
    v, u = np.nonzero((pixels[..., 0] > 200) & (pixels[..., 1] < 90))
    return float(u.mean() + 0.5), float(v.mean() + 0.5)


@pytest.mark.parametrize("name", ALL)
def test_every_ball_is_at_one_pixel_and_of_one_size(name: str) -> None:
    picture, framed = crop_around(photograph(name), rendered_geometry(name), ball_px=BALL_PX)
    frame = level_frame(framed)
    ball = frame.unplace(0.0, 0.0, framed.target_sign)
    assert (ball.u, ball.v) == pytest.approx((17.5 * BALL_PX, 44 * BALL_PX), abs=1e-6)
    assert float(frame.diameter) == pytest.approx(BALL_PX)
    u, v = int(ball.u), int(ball.v)
    white = np.asarray(picture)[v - 3 : v + 4, u - 3 : u + 4].min(axis=2)
    assert np.median(white) > 120  # the ball itself, not grass


@pytest.mark.parametrize("name", ALL)
def test_every_tile_is_level(name: str) -> None:
    _, framed = crop_around(photograph(name), rendered_geometry(name), ball_px=BALL_PX)
    a, b = framed.landmarks[Landmark.GROUND_A], framed.landmarks[Landmark.GROUND_B]
    assert a.v == pytest.approx(b.v, abs=1e-6)


@pytest.mark.parametrize("degrees", [-4.0, 0.0, 3.0])
@pytest.mark.parametrize("is_left", [False, True])
def test_the_picture_turns_with_its_marks(degrees: float, is_left: bool) -> None:
    upright = mirrored(still()) if is_left else still()
    geometry = tilted(upright, degrees)
    cut, framed = crop_around(spotted(geometry, Landmark.LEAD_ELBOW), geometry, ball_px=BALL_PX)
    at = framed.landmarks[Landmark.LEAD_ELBOW]
    assert red_at(cut) == pytest.approx((at.u, at.v), abs=0.8)
    _, level = crop_around(spotted(upright), upright, ball_px=BALL_PX)
    wanted = level.landmarks[Landmark.LEAD_ELBOW]
    assert (at.u, at.v) == pytest.approx((wanted.u, wanted.v), abs=0.02)


def test_a_left_hander_is_not_turned_round_but_drawn_as_a_mirror_image() -> None:
    right, left = still(), mirrored(still())
    drawn = draw_tile(spotted(right, Landmark.LEAD_HEEL), right, ball_px=BALL_PX)
    other = draw_tile(spotted(left, Landmark.LEAD_HEEL), left, ball_px=BALL_PX)
    (u, v), (mirrored_u, mirrored_v) = red_at(drawn), red_at(other)
    assert u > 350 > mirrored_u  # the target lies to the left in the left-hander's own picture
    assert (drawn.width - u, v) == pytest.approx((mirrored_u, mirrored_v), abs=0.6)
    lines = np.asarray(drawn)[340:740, :, 0], np.asarray(ImageOps.mirror(other))[340:740, :, 0]
    alike = (abs(lines[0].astype(int) - lines[1].astype(int)) < 40).mean()
    assert alike > 0.99  # words are above and below


def test_a_fixed_scale_is_the_size_of_the_ball() -> None:
    """Of a still whose ball was marked too small: the others of its camera say how large it is."""
    geometry = replace(still(), scale_px=20.0, scale_sd_px=0.2)
    _, framed = crop_around(spotted(geometry), geometry, ball_px=10.0)
    assert (framed.scale_px, framed.scale_sd_px) == pytest.approx((10.0, 0.1))
    wrist, ball = framed.landmarks[Landmark.LEAD_WRIST], (175.0, 440.0)
    assert (wrist.u - ball[0]) / 10 == pytest.approx(
        (geometry.landmarks[Landmark.LEAD_WRIST].u - BALL_AT[0]) / 20
    )


def test_a_tile_is_35_balls_wide_whatever_was_filmed() -> None:
    sizes = {draw_tile(photograph(n), rendered_geometry(n), ball_px=10).size for n in ALL[:3]}
    assert sizes == {(350, 480)}


def test_marks_of_another_picture_are_refused() -> None:
    with pytest.raises(ValueError, match="another size"):
        draw_tile(Image.new("RGB", (640, 480)), still(), ball_px=10)
