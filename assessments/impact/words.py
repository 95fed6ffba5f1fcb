"""The measures in words: what each is, what its signs mean, how it is written."""

from __future__ import annotations

import math
from dataclasses import dataclass

from assessments.impact.measures import Measured

UNITS = {"bd": "ball diameters", "mm": "mm", "deg": "°", "px": "px", "steps": "steps"}
UNITS |= {"m2": "m²", "yd2": "yd²", "ft2": "ft²"}


def unit_words(unit: str) -> str:
    """A unit as it is read aloud, e.g. `ball diameters` for `bd`."""
    return UNITS.get(unit, unit)


@dataclass(frozen=True)
class MeasureWords:
    """Title, what + means (empty where there is no sign), decimals."""

    title: str
    plus: str
    decimals: int


_OF_LENGTHS = {
    "forearm_line_offset": (
        "forearm-line offset",
        "the lead-forearm line meets the ground on the target side of the back of the ball",
    ),
    "hands_ahead": ("hands ahead", "the lead wrist is ahead of the middle of the ball"),
    "grip_line_clearance": (
        "grip-line clearance",
        "the grip line passes outside the lead shoulder, on the target side",
    ),
    "ball_position": ("ball position", "the ball is on the trail side of the lead heel"),
}

MEASURE_WORDS: dict[str, MeasureWords] = {
    **{
        f"{name}_{unit}": MeasureWords(title, plus, decimals)
        for name, (title, plus) in _OF_LENGTHS.items()
        for unit, decimals in (("bd", 1), ("mm", 0), ("steps", 1))
    },
    "forearm_lean_deg": MeasureWords(
        "forearm lean", "the lead elbow is on the target side of the wrist", 1
    ),
    "shaft_lean_deg": MeasureWords("shaft lean", "the grip leans toward the target", 1),
    "forearm_shaft_angle_deg": MeasureWords(
        "forearm-shaft angle", "the club still trails the lead forearm", 1
    ),
    "roll_deg": MeasureWords(
        "roll of the picture", "the target end of the ground is lower in the picture", 1
    ),
    "ball_diameter_px": MeasureWords("ball diameter", "", 1),
}


@dataclass(frozen=True)
class Reading:
    """A measure as it is printed: the number, its ± in smaller type, the unit, the 95 % range."""

    value: str
    plus_minus: str
    unit: str
    interval: str


def reading(measured: Measured) -> Reading:
    """Write a measure with two standard uncertainties, rounded up so that it never reads as 0.

    Lengths in balls and angles are given to 0.1; a signed measure always shows its sign.
    """
    words = MEASURE_WORDS[measured.name]
    scale = 10**words.decimals
    doubled = math.ceil(2 * measured.standard_uncertainty * scale - 1e-9) / scale
    signed = bool(words.plus)
    low, high = (_number(v, words.decimals, signed=signed) for v in (measured.low, measured.high))
    return Reading(
        _number(measured.value, words.decimals, signed=signed),
        f"{doubled:.{words.decimals}f}",
        UNITS[measured.unit],
        f"{low} to {high}",
    )


def _number(value: float, decimals: int, *, signed: bool) -> str:
    text = f"{value:+.{decimals}f}" if signed else f"{value:.{decimals}f}"
    return text[1:] if float(text) == 0 and signed else text.replace("-", "−")
