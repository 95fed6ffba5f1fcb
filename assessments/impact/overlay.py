"""The drawing on a still: the lead-forearm line, the grip line and the ground scale.

Intake and exit, right- and left-handers get the same drawing: everything is laid out in the level
frame of the ball and only then put on the picture, so that a left-hander's is the mirror image and
only the words are not. Lines are drawn on a finer grid and scaled down, with a dark casing so that
they read on grass and on sky.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

from assessments.impact.checks import refuse_if_shapeless
from assessments.impact.geometry import (
    LevelFrame,
    StillGeometry,
    forearm_foot,
    ground_height,
)
from assessments.impact.landmarks import Landmark, Point
from assessments.impact.measures import ImpactResult
from assessments.impact.words import reading

# Okabe and Ito's colours, published for colour-blind safety; the casing is the ink of the pages
FOREARM_COLOUR = "#F0E442"
GRIP_COLOUR = "#56B4E9"
SCALE_COLOUR = "#FFFFFF"
CASING_COLOUR = "#14191C"
OUTSIDE_COLOUR = "#D9D3C4"

# the ground scale in ball diameters, the same for everyone unless the line lands beyond it
SCALE_FROM_BD, SCALE_TO_BD = -4, 8

# the common frame, in ball diameters: the ball in the middle, room for a tall golfer above
FRAME_WIDTH_BD, FRAME_ABOVE_BD, FRAME_BELOW_BD = 35, 44, 4

# in units of a six-hundredth of the picture's short side
LINE_UNITS, DOT_UNITS = 2.4, 6.0

Font = ImageFont.FreeTypeFont | ImageFont.ImageFont


@dataclass(frozen=True)
class _Stroke:
    """A straight piece with round ends; a dot if both ends are one point."""

    start: Point
    end: Point
    width: float


@dataclass(frozen=True)
class Labels:
    """What is written beside the lines, for a reader of another language to have replaced.

    `reading` follows the name of its line; its values have the decimal sign.
    """

    forearm: str = "lead forearm"
    grip: str = "grip line"
    reading: str = "{value} ± {plus_minus} balls"
    decimal_sign: str = "."


ENGLISH = Labels()


def draw_overlay(
    picture: Image.Image,
    geometry: StillGeometry,
    result: ImpactResult | None = None,
    *,
    labels: Labels = ENGLISH,
    font_path: str | Path | None = None,
    strength: float = 1.0,
) -> Image.Image:
    """Draw the construction on a copy of the still.

    Parameters
    ----------
    picture
        The still that was marked, upright, of the size the geometry names.
    result
        If given, the labels carry the two readings.
    labels
        The words of the labels.
    font_path
        A TrueType or OpenType file; Pillow's own font otherwise.
    strength
        How much bolder lines and words are than usual, for a picture that is shown small.

    Raises
    ------
    StillRefused
        If a needed landmark is absent or the marks give no direction.
    ValueError
        If the picture is not of the size of the geometry.
    """
    if picture.size != (geometry.width_px, geometry.height_px):
        raise ValueError(f"The marks belong to a picture of another size than {picture.size}.")
    refuse_if_shapeless(geometry)
    plan = _Plan.of(geometry)
    pen = _Pen(picture.convert("RGB"), font_path, strength)
    pen.paint_cased(plan.scale(pen.unit), SCALE_COLOUR)
    pen.paint_cased(plan.grip_line(pen.unit), GRIP_COLOUR)
    pen.paint_cased(plan.forearm_line(pen.unit), FOREARM_COLOUR)
    _write_scale(pen, plan)
    _write_labels(pen, plan, result, labels)
    return pen.picture


class _Pen:
    """Puts strokes and words on a picture; sizes are in units that grow with the picture."""

    def __init__(self, picture: Image.Image, font_path: str | Path | None, strength: float) -> None:
        self.picture = picture
        self.unit = strength * min(picture.size) / 600
        self.fine = 4 if max(picture.size) <= 2000 else 2
        size = max(10.0, 16 * self.unit)
        self.font: Font
        if font_path is None:
            self.font = ImageFont.load_default(size)
        else:
            self.font = ImageFont.truetype(str(font_path), size)
        self._has_minus = font_path is not None
        self._draw = ImageDraw.Draw(picture)

    def paint_cased(self, strokes: Sequence[_Stroke], colour: str) -> None:
        """All casings first, so that none lies on a stroke of the same line."""
        self._paint([replace(s, width=s.width + 2 * self.unit) for s in strokes], CASING_COLOUR)
        self._paint(strokes, colour)

    def _paint(self, strokes: Iterable[_Stroke], colour: str) -> None:
        """Fill strokes with one colour, through a mask drawn on the finer grid."""
        for stroke in strokes:
            box = self._box(stroke)
            if box is None:
                continue
            mask = Image.new("L", ((box[2] - box[0]) * self.fine, (box[3] - box[1]) * self.fine))
            self._fill(ImageDraw.Draw(mask), stroke, box)
            self.picture.paste(colour, box, mask.reduce(self.fine))

    def write(self, text: str, at: tuple[float, float], anchor: str, colour: str) -> None:
        """Words with a dark rim, moved as far as needed to stay on the picture."""
        if not self._has_minus:  # Pillow's own font has no minus sign
            text = text.replace("−", "-")
        rim = max(1, round(1.2 * self.unit))
        left, top, right, bottom = self._draw.textbbox(
            at, text, font=self.font, anchor=anchor, stroke_width=rim
        )
        width, height = self.picture.size
        dx = max(0.0, rim - left) or min(0.0, width - rim - right)
        dy = max(0.0, rim - top) or min(0.0, height - rim - bottom)
        self._draw.text(
            (at[0] + dx, at[1] + dy),
            text,
            fill=colour,
            font=self.font,
            anchor=anchor,
            stroke_width=rim,
            stroke_fill=CASING_COLOUR,
        )

    def text_width(self, text: str) -> float:
        return float(self._draw.textlength(text, font=self.font))

    def _box(self, stroke: _Stroke) -> tuple[int, int, int, int] | None:
        reach = stroke.width / 2 + 1
        us, vs = (stroke.start.u, stroke.end.u), (stroke.start.v, stroke.end.v)
        left, top = max(0, math.floor(min(us) - reach)), max(0, math.floor(min(vs) - reach))
        right = min(self.picture.width, math.ceil(max(us) + reach))
        bottom = min(self.picture.height, math.ceil(max(vs) + reach))
        return (left, top, right, bottom) if left < right and top < bottom else None

    def _fill(
        self, draw: ImageDraw.ImageDraw, stroke: _Stroke, box: tuple[int, int, int, int]
    ) -> None:
        # Pillow counts from pixel centres, the geometry from pixel corners: hence the half
        ends = [
            ((p.u - box[0]) * self.fine - 0.5, (p.v - box[1]) * self.fine - 0.5)
            for p in (stroke.start, stroke.end)
        ]
        radius = stroke.width * self.fine / 2
        for u, v in ends:
            draw.ellipse((u - radius, v - radius, u + radius, v + radius), fill=255)
        (au, av), (bu, bv) = ends
        size = math.hypot(bu - au, bv - av)
        if size:
            nu, nv = -(bv - av) / size * radius, (bu - au) / size * radius
            corners = [
                (au + nu, av + nv),
                (bu + nu, bv + nv),
                (bu - nu, bv - nv),
                (au - nu, av - nv),
            ]
            draw.polygon(corners, fill=255)


@dataclass(frozen=True)
class _Plan:
    """Where everything lies in the level frame of the ball, in pixels."""

    frame: LevelFrame
    target_sign: int
    at: dict[Landmark, tuple[float, float]]
    ground: float
    foot: float

    @classmethod
    def of(cls, geometry: StillGeometry) -> _Plan:
        frame = level_frame(geometry)
        at = {mark: frame.place(geometry.mirrored(mark)) for mark in geometry.landmarks}
        ground = ground_height(at, frame.diameter)
        foot = forearm_foot(at[Landmark.LEAD_WRIST], at[Landmark.LEAD_ELBOW], ground)
        return cls(frame, geometry.target_sign, at, float(ground), float(foot))

    def point(self, x: float, y: float) -> Point:
        return self.frame.unplace(x, y, self.target_sign)

    def stroke(self, p: tuple[float, float], q: tuple[float, float], width: float) -> _Stroke:
        return _Stroke(self.point(*p), self.point(*q), width)

    def ticks(self) -> list[tuple[int, float]]:
        """Number and x of each tick; 0 is the back of the ball."""
        d = self.frame.diameter
        foot = min(max((self.foot + d / 2) / d, -40.0), 40.0)
        first = min(SCALE_FROM_BD, math.floor(foot) - 1)
        last = max(SCALE_TO_BD, math.ceil(foot) + 1)
        return [(n, n * d - d / 2) for n in range(first, last + 1)]

    def scale(self, unit: float) -> list[_Stroke]:
        ticks = self.ticks()
        strokes = [self.stroke((ticks[0][1], self.ground), (ticks[-1][1], self.ground), unit)]
        for number, x in ticks:
            drop = (10 if number == 0 else 6) * unit
            strokes.append(self.stroke((x, self.ground), (x, self.ground - drop), unit))
        return strokes

    def forearm_line(self, unit: float) -> list[_Stroke]:
        elbow, wrist = self.at[Landmark.LEAD_ELBOW], self.at[Landmark.LEAD_WRIST]
        foot = (self.foot, self.ground)
        dots = [self.stroke(p, p, DOT_UNITS * unit) for p in (elbow, wrist)]
        return [self.stroke(elbow, foot, LINE_UNITS * unit), *dots]

    def grip_top(self) -> tuple[float, float]:
        """The upper end of the grip line: well past the shoulder, or where one would be."""
        grip, shaft = self.at[Landmark.GRIP_END], self.at[Landmark.SHAFT_LOW]
        wrist, elbow = self.at[Landmark.LEAD_WRIST], self.at[Landmark.LEAD_ELBOW]
        shoulder = self.at.get(Landmark.LEAD_SHOULDER, (0.0, 2.2 * elbow[1] - 1.2 * wrist[1]))
        y = max(shoulder[1], grip[1]) + 3 * self.frame.diameter
        return shaft[0] + (y - shaft[1]) * (grip[0] - shaft[0]) / (grip[1] - shaft[1]), y

    def grip_line(self, unit: float) -> list[_Stroke]:
        """Dashes from the head up, so that they begin alike on every still."""
        shaft, top = self.at[Landmark.SHAFT_LOW], self.grip_top()
        # a whole number of dashes of three parts and gaps of two, one gap fewer than dashes
        count = max(1, round(math.dist(shaft, top) / (20 * unit)))
        parts = 5 * count - 2
        dashes = []
        for start in range(0, 5 * count, 5):
            ends = [
                (shaft[0] + t * (top[0] - shaft[0]), shaft[1] + t * (top[1] - shaft[1]))
                for t in (start / parts, (start + 3) / parts)
            ]
            dashes.append(self.stroke(ends[0], ends[1], LINE_UNITS * unit))
        marked = [self.at[m] for m in (Landmark.GRIP_END, Landmark.LEAD_SHOULDER) if m in self.at]
        return [*dashes, *(self.stroke(p, p, DOT_UNITS * unit) for p in marked)]


def _write_scale(pen: _Pen, plan: _Plan) -> None:
    room = 2 * plan.frame.diameter
    every = 2 if room > 1.3 * pen.text_width("+8") else 5
    for number, x in plan.ticks():
        if number % every == 0:
            point = plan.point(x, plan.ground - 12 * pen.unit)
            if 0 <= point.u < pen.picture.width:
                text = f"{number:+d}".replace("-", "−") if number else "0"
                pen.write(text, (point.u, point.v), "ma", SCALE_COLOUR)


def _write_labels(pen: _Pen, plan: _Plan, result: ImpactResult | None, labels: Labels) -> None:
    forearm = labels.forearm + _reading(result, "forearm_line_offset_bd", labels)
    grip = labels.grip + _reading(result, "grip_line_clearance_bd", labels)
    foot = plan.point(plan.foot, plan.ground - 32 * pen.unit)
    if foot.v + 16 * pen.unit <= pen.picture.height:
        pen.write(forearm, (foot.u, foot.v), "ma", FOREARM_COLOUR)
    else:  # no room below the numbers
        _write_beside(pen, plan, forearm, (plan.foot, plan.ground + 14 * pen.unit), FOREARM_COLOUR)
    _write_beside(pen, plan, grip, plan.grip_top(), GRIP_COLOUR)


def _write_beside(pen: _Pen, plan: _Plan, text: str, at: tuple[float, float], colour: str) -> None:
    """On the target side of a point, where the body is not."""
    point = plan.point(*at)
    anchor = "lm" if plan.target_sign > 0 else "rm"
    pen.write(text, (point.u + plan.target_sign * 8 * pen.unit, point.v), anchor, colour)


def _reading(result: ImpactResult | None, name: str, labels: Labels) -> str:
    if result is None or name not in result.measures:
        return ""
    written = reading(result.measures[name])
    value, plus_minus = (
        number.replace(".", labels.decimal_sign) for number in (written.value, written.plus_minus)
    )
    return f" {labels.reading.format(value=value, plus_minus=plus_minus)}"


def crop_around(
    picture: Image.Image, geometry: StillGeometry, *, ball_px: float = 20.0
) -> tuple[Image.Image, StillGeometry]:
    """Give every still the same framing: level, the ball at one place and of one size.

    Parameters
    ----------
    ball_px
        Diameter of the ball in the new picture, which is 35 balls wide and 48 high.

    Returns
    -------
    The new picture, plain where the old one does not reach, and the geometry on it. A left-hander's
    is not turned round. Measure on the full still: the new one may fall short of the checks that
    are in pixels.

    Raises
    ------
    StillRefused
        If a needed landmark is absent or the marks give no direction.
    """
    refuse_if_shapeless(geometry)
    frame = level_frame(geometry)
    ball = frame.unplace(0.0, 0.0, geometry.target_sign)
    zoom = ball_px / float(frame.diameter)
    cos, sin = (float(part) * zoom for part in frame.along)
    sin *= geometry.target_sign  # as the ground slopes in the picture itself
    size = (round(FRAME_WIDTH_BD * ball_px), round((FRAME_ABOVE_BD + FRAME_BELOW_BD) * ball_px))
    centre = Point(FRAME_WIDTH_BD / 2 * ball_px, FRAME_ABOVE_BD * ball_px)

    def moved(p: Point) -> Point:
        du, dv = p.u - ball.u, p.v - ball.v
        return Point(centre.u + cos * du + sin * dv, centre.v - sin * du + cos * dv)

    framed = replace(
        geometry,
        width_px=size[0],
        height_px=size[1],
        click_sd_px=geometry.click_sd_px * zoom,
        scale_px=geometry.scale_px and geometry.scale_px * zoom,
        scale_sd_px=geometry.scale_sd_px * zoom,
        landmarks={mark: moved(point) for mark, point in geometry.landmarks.items()},
    )
    return _cut(picture.convert("RGB"), ball, centre, (cos, sin), size), framed


def level_frame(geometry: StillGeometry) -> LevelFrame:
    """The level frame of a still as marked."""
    points = {mark: geometry.mirrored(mark) for mark in geometry.landmarks}
    return LevelFrame.of(points, geometry.scale_px)


def _cut(
    picture: Image.Image,
    ball: Point,
    centre: Point,
    turn: tuple[float, float],
    size: tuple[int, int],
) -> Image.Image:
    """The frame, taken out of the picture in one go: turned, scaled, and plain where it ends.

    `turn` are cosine and sine of the turn times the zoom. A picture far larger than the frame is
    first reduced by whole pixels, or its finest lines would break up.
    """
    cos, sin = turn
    square = cos * cos + sin * sin
    fewer = max(1, int(1 / math.sqrt(square)))
    source = picture.reduce(fewer) if fewer > 1 else picture
    a, b = cos / square / fewer, sin / square / fewer
    across = (a, -b, ball.u / fewer - a * centre.u + b * centre.v)
    down = (b, a, ball.v / fewer - b * centre.u - a * centre.v)
    return source.transform(
        size,
        Image.Transform.AFFINE,
        (*across, *down),
        resample=Image.Resampling.BILINEAR,
        fillcolor=OUTSIDE_COLOUR,
    )
