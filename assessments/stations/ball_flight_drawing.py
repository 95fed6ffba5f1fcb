"""Where the shots of intake and exit landed, seen from above with the target at the top."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from statistics import median
from typing import Any

from django.utils.translation import gettext, gettext_noop, ngettext

from assessments.clubs import club_of, club_title
from assessments.stations.ball_flight_shots import points_of, wild_shots
from assessments.stations.base import Payload
from assessments.stations.charts import round_ticks
from assessments.statistics.dispersion import Dispersion, NoEllipse, dispersion
from assessments.statistics.sizes import SIZES
from assessments.units import Units

# In units of the drawing: room for the numbers of the scales, and for a word beside an ellipse.
WIDTH, LEFT, RIGHT, TOP, BELOW = 360.0, 44.0, 30.0, 14.0, 36.0
TALLEST, SMALLEST_RANGE = 340.0, 10.0
UNIT_WORDS = {"yd": gettext_noop("yards"), "m": gettext_noop("metres")}


@dataclass(frozen=True)
class _Side:
    """The shots of one phase in the golfer's units."""

    phase: str
    points: tuple[tuple[float, float], ...]
    wild: frozenset[int]
    ellipse: Dispersion | None

    def reach(self, per_unit: float) -> tuple[list[float], list[float]]:
        """Everything that must fit into the drawing: across, and along the target line."""
        across, along = ([point[axis] for point in self.points] for axis in (0, 1))
        if self.ellipse is not None:
            centre = self.ellipse.across / per_unit, self.ellipse.along / per_unit
            for values, middle, half in zip(
                (across, along), centre, _halves(self.ellipse, per_unit), strict=True
            ):
                values += [middle - half, middle + half]
        return across, along


def dispersion_drawing(
    intake: Payload | None, exit_: Payload | None, units: Units
) -> dict[str, Any] | None:
    """What `dispersion.svg.html` draws; None if no shot of either has a side."""
    per_unit = SIZES[units.distance]
    sides = [
        side
        for phase, payload in (("intake", intake), ("exit", exit_))
        if payload is not None and (side := _side(phase, payload, per_unit)).points
    ]
    club = club_title(club_of(exit_ or intake or {}))
    return _drawing(sides, club, units, per_unit) if sides else None


def _side(phase: str, payload: Payload, per_unit: float) -> _Side:
    shots = payload["shots"]
    points = points_of(shots)
    wild = wild_shots(shots)
    try:
        ellipse = dispersion(list(points.values()))
    except NoEllipse:
        ellipse = None
    return _Side(
        phase,
        tuple((across / per_unit, along / per_unit) for across, along in points.values()),
        frozenset(place for place, index in enumerate(points) if index in wild),
        ellipse,
    )


def _halves(ellipse: Dispersion, per_unit: float) -> tuple[float, float]:
    """Half the width and half the height of the box round an ellipse."""
    turn = math.radians(ellipse.turn_deg)
    major, minor = ellipse.semi_major / per_unit, ellipse.semi_minor / per_unit
    return (
        math.hypot(major * math.sin(turn), minor * math.cos(turn)),
        math.hypot(major * math.cos(turn), minor * math.sin(turn)),
    )


class _Paper:
    """From distances to places on the drawing, both ways at one scale."""

    def __init__(self, across: list[float], along: list[float]) -> None:
        self.across_ticks = round_ticks(*_widened(0.0, *across))
        self.along_ticks = round_ticks(*_widened(*along))
        wide = self.across_ticks[-1] - self.across_ticks[0]
        tall = self.along_ticks[-1] - self.along_ticks[0]
        self.scale = min((WIDTH - LEFT - RIGHT) / wide, TALLEST / tall)
        self.left = LEFT + ((WIDTH - LEFT - RIGHT) - wide * self.scale) / 2
        self.bottom = round(TOP + tall * self.scale, 1)

    def x(self, across: float) -> float:
        return round(self.left + (across - self.across_ticks[0]) * self.scale, 1)

    def y(self, along: float) -> float:
        return round(self.bottom - (along - self.along_ticks[0]) * self.scale, 1)


def _widened(*values: float) -> tuple[float, float]:
    """The least and the greatest, at least `SMALLEST_RANGE` apart."""
    low, high = min(values), max(values)
    more = max(0.0, SMALLEST_RANGE - (high - low)) / 2
    return low - more, high + more


def _drawing(sides: list[_Side], club: str, units: Units, per_unit: float) -> dict[str, Any]:
    reaches = [side.reach(per_unit) for side in sides]
    paper = _Paper(*(list(chain(*parts)) for parts in zip(*reaches, strict=True)))
    first, last = paper.across_ticks[0], paper.across_ticks[-1]
    without = [side.phase for side in sides if side.ellipse is None]
    return {
        "heading": gettext("Where the shots landed"),
        "title": _told(sides, club, units, per_unit),
        "width": WIDTH,
        "height": paper.bottom + BELOW + (14 if without else 0),
        "left": paper.x(first),
        "scale_x": paper.x(first) - 5,
        "right": paper.x(last),
        "middle": round((paper.x(first) + paper.x(last)) / 2, 1),
        "top": TOP,
        "bottom": paper.bottom,
        "target_x": paper.x(0.0),
        "unit": gettext(UNIT_WORDS[units.distance]),
        "across": [{"x": paper.x(tick), "label": _number(tick)} for tick in paper.across_ticks],
        "along": [{"y": paper.y(tick), "label": _number(tick)} for tick in paper.along_ticks],
        "sides": [_drawn(side, paper, per_unit) for side in sides],
        "note": _without(without),
    }


def _drawn(side: _Side, paper: _Paper, per_unit: float) -> dict[str, Any]:
    is_exit = side.phase == "exit"
    end = max if is_exit else min
    across, along = zip(*side.points, strict=True)
    label = end(across), median(along)
    drawn: dict[str, Any] = {"ellipse": None}
    if side.ellipse is not None:
        ellipse = side.ellipse
        half, _ = _halves(ellipse, per_unit)
        middle = ellipse.across / per_unit, ellipse.along / per_unit
        label = middle[0] + (half if is_exit else -half), middle[1]
        drawn["ellipse"] = {
            "cx": paper.x(middle[0]),
            "cy": paper.y(middle[1]),
            "rx": round(ellipse.semi_minor / per_unit * paper.scale, 1),
            "ry": round(ellipse.semi_major / per_unit * paper.scale, 1),
            "turn": round(ellipse.turn_deg, 1),
        }
    return drawn | {
        "phase": gettext(side.phase),
        "is_exit": is_exit,
        # the word ends before an ellipse on its left, but never among the numbers of the scale
        "label_x": paper.x(label[0]) + 4
        if is_exit
        else max(paper.x(label[0]) - 4, paper.left + 38),
        "label_y": paper.y(label[1]) + 4,
        "anchor": "start" if is_exit else "end",
        "shots": [
            {"x": paper.x(x), "y": paper.y(y), "is_wild": place in side.wild}
            for place, (x, y) in enumerate(side.points)
        ],
    }


def _without(phases: Sequence[str]) -> str:
    """Which sides have no ellipse and why, for below the drawing; nothing if all have one."""
    if len(phases) > 1:
        return gettext("No ellipses: too few shots, or all on one line.")
    if "exit" in phases:
        return gettext("No ellipse of exit: too few shots, or all on one line.")
    return gettext("No ellipse of intake: too few shots, or all on one line.") if phases else ""


def _told(sides: Iterable[_Side], club: str, units: Units, per_unit: float) -> str:
    """The drawing in words, for those who do not see it."""
    pattern = gettext("Where the shots with the {club} landed, in {unit}: {sides}")
    told = "; ".join(_told_of(side, per_unit) for side in sides)
    return pattern.format(club=club, unit=gettext(UNIT_WORDS[units.distance]), sides=told)


def _told_of(side: _Side, per_unit: float) -> str:
    across, along = (median(values) for values in zip(*side.points, strict=True))
    aside = _number(abs(across))
    to = gettext("on the target line")
    if aside != "0":
        pattern = (
            gettext("{distance} left of the target line")
            if across < 0
            else gettext("{distance} right of the target line")
        )
        to = pattern.format(distance=aside)
    n = len(side.points)
    told = [
        gettext(side.phase),
        ngettext("{count} shot", "{count} shots", n).format(count=n),
        gettext("median carry {carry}").format(carry=_number(along)),
        to,
    ]
    if side.ellipse is not None:
        axes = (2 * side.ellipse.semi_major, 2 * side.ellipse.semi_minor)
        long, wide = (_number(axis / per_unit) for axis in axes)
        told.append(gettext("95 % ellipse {long} by {wide}").format(long=long, wide=wide))
    if side.wild:
        told.append(gettext("{count} far off").format(count=len(side.wild)))
    return ", ".join(told)


def _number(value: float) -> str:
    return f"{round(value):d}".replace("-", "−")
