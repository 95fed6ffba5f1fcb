"""Intake above exit, a row for each measure on its own scale; drawn by one SVG template."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from django.utils.formats import get_format
from django.utils.translation import gettext

from assessments.stations.base import MeasureKind, Measures, MeasureValue
from assessments.stations.readings import reading, unit_label

CHANGE_CHART = "assessments/stations/change_chart.svg.html"

# In units of the drawing: the scale lies between the names at its left and the readings at its
# right; a row holds a title, two lanes and the numbers of the scale.
WIDTH, LEFT, RIGHT = 360, 52.0, 224.0
ROW_HEIGHT, TOP = 68, 8
LANES = {"intake": 28, "exit": 42}
MOST_STEPS = 5
NATURAL_ENDS = {"%": (0.0, 100.0), "points": (0.0, 100.0)}


def change_chart(
    title: str,
    kinds: Iterable[MeasureKind],
    intake: Measures | None,
    exit_: Measures | None,
) -> dict[str, Any]:
    """What the template draws; a measure that neither side has is left out.

    A scale has the ends that are natural for its unit, which a difference to either side has not;
    otherwise they fit the values. `title` is a station's, or one in the language that is read.
    """
    rows: list[dict[str, Any]] = []
    for kind in kinds:
        sides = {
            phase: measures[kind.name]
            for phase, measures in (("intake", intake), ("exit", exit_))
            if measures is not None and kind.name in measures
        }
        if sides:
            rows.append(_row(kind, sides) | {"y": TOP + ROW_HEIGHT * len(rows)})
    return {
        "title": f"{gettext(title)}: {_told(rows)}",
        "width": WIDTH,
        "height": TOP + ROW_HEIGHT * len(rows),
        "rows": rows,
    }


def _told(rows: Iterable[dict[str, Any]]) -> str:
    """The drawing in words, for those who do not see it."""
    return "; ".join(
        f"{row['title']}, " + ", ".join(f"{mark['phase']} {mark['text']}" for mark in row["marks"])
        for row in rows
    )


def _row(kind: MeasureKind, sides: dict[str, MeasureValue]) -> dict[str, Any]:
    # the sides may have been put into the golfer's units
    kind = replace(kind, unit=next(iter(sides.values())).unit)
    ends = [end for side in sides.values() for end in _ends(side)]
    natural = None if kind.signed else NATURAL_ENDS.get(kind.unit)
    ticks = round_ticks(*(natural or (min(ends), max(ends))))
    first, last = ticks[0], ticks[-1]

    def at(value: float) -> float:
        return round(LEFT + (value - first) / (last - first) * (RIGHT - LEFT), 1)

    marks = [
        {
            "phase": gettext(phase),
            "is_exit": phase == "exit",
            "y": LANES[phase],
            "x": at(side.value),
            "low": at(_ends(side)[0]),
            "high": at(_ends(side)[1]),
            "text": reading(kind, side).bare,
        }
        for phase, side in sides.items()
    ]
    unit = unit_label(kind.unit)
    return {
        "title": f"{kind.label} ({unit})" if unit else kind.label,
        "marks": marks,
        "ticks": [{"x": at(tick), "label": _on_scale(tick)} for tick in ticks],
    }


def _on_scale(tick: float) -> str:
    text = f"{tick:.4g}".replace("-", "−")
    return text.replace(".", get_format("DECIMAL_SEPARATOR"))


def _ends(side: MeasureValue) -> tuple[float, float]:
    low = side.value if side.low is None else side.low
    return low, side.value if side.high is None else side.high


def round_ticks(low: float, high: float) -> list[float]:
    """Two to seven round numbers, the outer ones at or past both ends."""
    reach = max(high - low, abs(high) * 0.05, 1e-6)
    power = 10.0 ** math.floor(math.log10(reach))
    step = next(
        size * power for size in (0.2, 0.5, 1, 2, 5) if reach / (size * power) <= MOST_STEPS
    )
    first, last = math.floor(low / step), math.ceil(high / step)
    return [number * step for number in range(first, max(last, first + 1) + 1)]
