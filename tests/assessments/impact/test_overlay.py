"""The drawing: its pixels lie where the geometry says."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageColor, ImageFont, ImageOps

from assessments.impact.errors import StillRefused
from assessments.impact.geometry import BALL_DIAMETER_MM, StillGeometry
from assessments.impact.landmarks import Landmark
from assessments.impact.measures import measure_still
from assessments.impact.overlay import (
    ENGLISH,
    FOREARM_COLOUR,
    GRIP_COLOUR,
    SCALE_COLOUR,
    crop_around,
    draw_overlay,
)
from tests.assessments.impact.marks import (
    BALL_AT,
    BASE_PX_PER_MM,
    STILLS,
    mirrored,
    moved,
    rendered_geometry,
    still,
)

Mask = NDArray[np.bool_]

BALL_PX = BALL_DIAMETER_MM * BASE_PX_PER_MM


def plain(geometry: StillGeometry) -> Image.Image:
    return Image.new("RGB", (geometry.width_px, geometry.height_px), "#808080")


def drawn(geometry: StillGeometry) -> Image.Image:
    return draw_overlay(plain(geometry), geometry)


def is_colour(picture: Image.Image, colour: str) -> Mask:
    """Which pixels have this colour, give or take the smoothing."""
    far = np.abs(
        np.asarray(picture, dtype=np.int16) - np.array(ImageColor.getrgb(colour), np.int16)
    ).max(axis=2)
    return np.asarray(far < 40)


def line_u(geometry: StillGeometry, upper: Landmark, lower: Landmark, v: float) -> float:
    p, q = geometry.landmarks[upper], geometry.landmarks[lower]
    return p.u + (v - p.v) * (q.u - p.u) / (q.v - p.v)


def inked_rows(mask: Mask) -> Mask:
    return np.asarray(mask.any(axis=1))


def centre_of(mask: Mask, row: int) -> float:
    return float(np.flatnonzero(mask[row]).mean() + 0.5)


@pytest.mark.parametrize("row", [430, 520, 600, 700, 780])
def test_the_forearm_line_lies_on_elbow_and_wrist(row: int) -> None:
    expected = line_u(still(), Landmark.LEAD_ELBOW, Landmark.LEAD_WRIST, row + 0.5)
    found = centre_of(is_colour(drawn(still()), FOREARM_COLOUR), row)
    assert found == pytest.approx(expected, abs=0.5)


def test_the_forearm_line_is_solid_from_elbow_to_ground() -> None:
    rows = inked_rows(is_colour(drawn(still()), FOREARM_COLOUR)[:, 560:760])
    elbow, ground = still().landmarks[Landmark.LEAD_ELBOW].v, BALL_AT[1] + BALL_PX / 2
    assert rows[int(elbow) : int(ground)].all()
    assert not rows[: int(elbow) - 6].any()


def test_the_forearm_line_ends_at_the_offset() -> None:
    offset = measure_still(still()).measures["forearm_line_offset_bd"].value
    foot = BALL_AT[0] - BALL_PX / 2 + offset * BALL_PX
    found = centre_of(is_colour(drawn(still()), FOREARM_COLOUR), int(BALL_AT[1] + BALL_PX / 2) - 1)
    assert found == pytest.approx(foot, abs=0.6)


def test_the_grip_line_is_dashed_and_lies_on_the_club() -> None:
    mask = is_colour(drawn(still()), GRIP_COLOUR)
    inked = inked_rows(mask)
    rows = [row for row in range(690, 810) if inked[row - 3 : row + 4].all()]  # not the round ends
    line = [line_u(still(), Landmark.GRIP_END, Landmark.SHAFT_LOW, row + 0.5) for row in rows]
    assert [centre_of(mask, row) for row in rows] == pytest.approx(line, abs=0.6)
    assert 20 < len(rows) < 90
    assert not inked[690:810].all()


def test_the_grip_line_goes_past_the_shoulder() -> None:
    top = int(still().landmarks[Landmark.LEAD_SHOULDER].v)
    mask = is_colour(drawn(still()), GRIP_COLOUR)
    assert mask[top - 50 : top - 15].any()
    without = is_colour(drawn(moved(still(), lead_shoulder=None)), GRIP_COLOUR)
    assert without[:380].any()


def test_ticks_stand_one_ball_apart_from_its_back() -> None:
    mask = is_colour(drawn(still()), SCALE_COLOUR)
    row = int(BALL_AT[1] + BALL_PX / 2 + 4)
    for number in (-3, -1, 0, 2, 5, 7):
        u = BALL_AT[0] - BALL_PX / 2 + number * BALL_PX
        assert mask[row, int(u) - 1 : int(u) + 2].any(), number
        assert not mask[row, int(u + BALL_PX / 2) - 2 : int(u + BALL_PX / 2) + 2].any(), number


def test_the_scale_reaches_the_line_wherever_it_lands() -> None:
    far = moved(still(), lead_elbow=(640.0, 397.0))
    offset = measure_still(far).measures["forearm_line_offset_bd"].value
    tick = BALL_AT[0] - BALL_PX / 2 + np.ceil(offset) * BALL_PX
    row = int(BALL_AT[1] + BALL_PX / 2 + 4)
    assert offset > 8
    assert is_colour(drawn(far), SCALE_COLOUR)[row, int(tick) - 1 : int(tick) + 2].any()


def test_lines_have_a_dark_casing_on_both_sides() -> None:
    row = np.asarray(drawn(still()).convert("L"), dtype=int)[600]
    u = int(line_u(still(), Landmark.LEAD_ELBOW, Landmark.LEAD_WRIST, 600.5))
    assert row[u] > 180
    assert row[u - 6 : u].min() < 40
    assert row[u + 1 : u + 7].min() < 40
    assert row[u - 12] == row[u + 12] == 128


def test_a_left_handers_drawing_is_the_mirror_image_up_to_the_words() -> None:
    right = np.asarray(drawn(still()), dtype=int)
    left = np.asarray(ImageOps.mirror(drawn(mirrored(still()))), dtype=int)
    differs = np.abs(right - left).max(axis=2) > 60
    top = still().landmarks[Landmark.LEAD_SHOULDER].v - 3 * BALL_PX
    words = np.zeros_like(differs)
    words[int(top) - 20 : int(top) + 20, 700:] = True
    words[int(BALL_AT[1] + BALL_PX / 2 + 15) :] = True
    assert differs[words].any()
    assert differs[~words].sum() < 60  # single pixels on the edges of lines


def label(picture: Image.Image) -> Mask:
    """The words at the top of the grip line, cut to their outline."""
    top = int(still().landmarks[Landmark.LEAD_SHOULDER].v - 3 * BALL_PX)
    mask = is_colour(picture, GRIP_COLOUR)[top - 16 : top + 16]
    u = np.flatnonzero(mask.any(axis=0))
    return mask[:, u.min() : u.max() + 1]


def without_line(picture: Image.Image, geometry: StillGeometry) -> Image.Image:
    """The top of the line itself painted over, so that only its words are left."""
    top = int(still().landmarks[Landmark.LEAD_SHOULDER].v - 3 * BALL_PX)
    u = line_u(geometry, Landmark.GRIP_END, Landmark.SHAFT_LOW, top)
    picture.paste("#808080", (int(u) - 9, top - 10, int(u) + 9, top + 40))
    return picture


def test_words_are_never_mirrored() -> None:
    right = label(without_line(drawn(still()), still()))
    left = label(without_line(drawn(mirrored(still())), mirrored(still())))
    width = min(right.shape[1], left.shape[1])
    assert abs(right.shape[1] - left.shape[1]) <= 2
    alike = (right[:, :width] == left[:, :width]).mean()
    flipped = (right[:, :width] == left[:, ::-1][:, :width]).mean()
    assert alike > 0.9 > flipped


def test_readings_stand_in_the_labels() -> None:
    geometry, result = still(), measure_still(still())
    bare = is_colour(drawn(geometry), FOREARM_COLOUR)[830:].sum()
    told = is_colour(draw_overlay(plain(geometry), geometry, result), FOREARM_COLOUR)[830:].sum()
    assert told > 1.5 * bare > 0


def test_labels_are_in_the_words_that_are_given() -> None:
    geometry, result = still(), measure_still(still())
    english, other = (
        is_colour(draw_overlay(plain(geometry), geometry, result, labels=words), FOREARM_COLOUR)
        for words in (ENGLISH, replace(ENGLISH, forearm="vorderer Unterarm"))
    )
    assert other[830:].sum() > 1.1 * english[830:].sum()
    comma = replace(ENGLISH, decimal_sign=",")
    assert draw_overlay(plain(geometry), geometry, result, labels=comma) != draw_overlay(
        plain(geometry), geometry, result
    )


def test_without_a_shoulder_the_grip_line_bears_no_reading() -> None:
    geometry = moved(still(), lead_shoulder=None)
    told = draw_overlay(plain(geometry), geometry, measure_still(geometry))
    bare = drawn(geometry)
    assert (is_colour(told, GRIP_COLOUR) == is_colour(bare, GRIP_COLOUR)).all()


def test_lines_grow_with_the_picture() -> None:
    small = still()
    large = replace(
        small,
        width_px=2560,
        height_px=1920,
        landmarks={m: replace(p, u=2 * p.u, v=2 * p.v) for m, p in small.landmarks.items()},
    )
    thin = is_colour(drawn(small), FOREARM_COLOUR)[600].sum()
    thick = is_colour(drawn(large), FOREARM_COLOUR)[1200].sum()
    assert 1.6 * thin <= thick <= 3 * thin


def test_the_picture_itself_is_left_alone() -> None:
    picture = plain(still())
    draw_overlay(picture, still())
    assert picture.getcolors() == [(1280 * 960, (128, 128, 128))]


def test_the_foot_of_the_line_is_named_above_when_there_is_no_room_below() -> None:
    low = replace(still(), height_px=850)
    mask = is_colour(drawn(low), FOREARM_COLOUR)
    beside = slice(int(BALL_AT[0] + 60), int(BALL_AT[0] + 160))
    assert mask[760:808, beside].any()
    assert not mask[808:, beside].any()


def test_a_font_of_ones_own(tmp_path: Path) -> None:
    own = ImageFont.load_default(20)
    assert isinstance(own, ImageFont.FreeTypeFont)
    (tmp_path / "own.otf").write_bytes(own.font_bytes)
    picture = draw_overlay(plain(still()), still(), font_path=tmp_path / "own.otf")
    ink = [is_colour(p, GRIP_COLOUR)[:, 760:].sum() for p in (picture, drawn(still()))]
    assert ink[0] == pytest.approx(ink[1], rel=0.1)
    with pytest.raises(OSError, match="cannot open"):
        draw_overlay(plain(still()), still(), font_path=tmp_path / "absent.otf")


def test_a_picture_of_another_size_is_refused() -> None:
    with pytest.raises(ValueError, match="another size"):
        draw_overlay(Image.new("RGB", (640, 480)), still())


def test_marks_without_a_direction_are_not_drawn() -> None:
    with pytest.raises(StillRefused):
        drawn(moved(still(), lead_elbow=(680.0, 492.0)))
    with pytest.raises(StillRefused):
        crop_around(plain(still()), moved(still(), ball_edge_b=None))


@pytest.mark.parametrize("name", ["01_iron_right_strong", "07_iron_left_strong"])
def test_framing_puts_every_ball_at_one_place_and_size(name: str) -> None:
    geometry = rendered_geometry(name)
    picture, framed = crop_around(Image.open(STILLS / f"{name}.jpg"), geometry)
    a, b = (framed.landmarks[m] for m in (Landmark.BALL_EDGE_A, Landmark.BALL_EDGE_B))
    assert picture.size == (framed.width_px, framed.height_px) == (700, 960)
    assert ((a.u + b.u) / 2, (a.v + b.v) / 2) == pytest.approx((350, 880))
    assert np.hypot(b.u - a.u, b.v - a.v) == pytest.approx(20)
    ball = np.asarray(picture)[873:888, 343:358].min(axis=2)
    assert ball[5:10, 5:10].min() > 150  # white paint where the ball must be


def test_framing_changes_no_measure() -> None:
    geometry = rendered_geometry("04_driver_right_strong")
    _, framed = crop_around(plain(geometry), geometry)
    before, after = measure_still(geometry).measures, measure_still(framed).measures
    assert after.pop("roll_deg").value == pytest.approx(0, abs=1e-9)  # turned level
    for name in [name for name in after if name.endswith(("_bd", "_deg"))]:
        assert after[name].value == pytest.approx(before[name].value, abs=1e-9)
        assert after[name].standard_uncertainty == pytest.approx(
            before[name].standard_uncertainty, abs=1e-9
        )


def test_framing_keeps_the_picture_under_its_marks() -> None:
    """A cross painted on a still lies under the same landmark in the frame."""
    geometry = still()
    wrist = geometry.landmarks[Landmark.LEAD_WRIST]
    picture = plain(geometry)
    picture.paste(
        "#ff0000", (round(wrist.u) - 4, round(wrist.v) - 4, round(wrist.u) + 4, round(wrist.v) + 4)
    )
    cut, framed = crop_around(picture, geometry)
    v, u = np.nonzero(is_colour(cut, "#ff0000"))
    at = framed.landmarks[Landmark.LEAD_WRIST]
    assert (u.mean() + 0.5, v.mean() + 0.5) == pytest.approx((at.u, at.v), abs=0.7)


@pytest.mark.parametrize("shift", [-620.0, 620.0])
def test_what_lies_beyond_the_picture_is_plain(shift: float) -> None:
    geometry = replace(
        still(),
        landmarks={m: replace(p, u=p.u + shift) for m, p in still().landmarks.items()},
    )
    cut, framed = crop_around(plain(geometry), geometry)
    columns = np.asarray(cut)[480, :, 0]
    edge = 330 if shift < 0 else 370  # the picture ends one ball to the side of the ball
    grey = columns == 128
    assert grey[edge:].all() if shift < 0 else grey[:edge].all()
    assert not grey[:320].any() if shift < 0 else not grey[380:].any()
    assert draw_overlay(cut, framed).size == (700, 960)
