"""The measures in words: what each is, what its signs mean, how it is written."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from assessments.impact.measures import Measured

UNITS = {"bd": "ball diameters", "mm": "mm", "deg": "°", "px": "px", "steps": "steps"}


@dataclass(frozen=True)
class MeasureWords:
    """Title, unit as read aloud, what + and − mean (empty where there is no sign), decimals."""

    title: str
    unit_label: str
    plus: str
    minus: str
    decimals: int


_OF_LENGTHS: dict[str, MeasureWords] = {
    "forearm_line_offset": MeasureWords(
        "forearm-line offset",
        "ball diameters",
        "the lead-forearm line meets the ground on the target side of the back of the ball",
        "the lead-forearm line meets the ground behind the back of the ball",
        1,
    ),
    "hands_ahead": MeasureWords(
        "hands ahead",
        "ball diameters",
        "the lead wrist is ahead of the middle of the ball",
        "the lead wrist is behind the middle of the ball",
        1,
    ),
    "grip_line_clearance": MeasureWords(
        "grip-line clearance",
        "ball diameters",
        "the grip line passes outside the lead shoulder, on the target side",
        "the grip line passes through the body",
        1,
    ),
    "ball_position": MeasureWords(
        "ball position",
        "ball diameters",
        "the ball is on the trail side of the lead heel",
        "the ball is on the target side of the lead heel",
        1,
    ),
}

MEASURE_WORDS: dict[str, MeasureWords] = {
    **{
        f"{name}_{suffix}": replace(words, unit_label=label, decimals=decimals)
        for name, words in _OF_LENGTHS.items()
        for suffix, label, decimals in (
            ("bd", "ball diameters", 1),
            ("mm", "mm", 0),
            ("steps", "steps", 1),
        )
    },
    "forearm_lean_deg": MeasureWords(
        "forearm lean",
        "degrees from vertical",
        "the lead elbow is on the target side of the wrist",
        "the lead elbow is on the trail side of the wrist",
        1,
    ),
    "shaft_lean_deg": MeasureWords(
        "shaft lean",
        "degrees from vertical",
        "the grip leans toward the target",
        "the grip leans away from the target",
        1,
    ),
    "forearm_shaft_angle_deg": MeasureWords(
        "forearm-shaft angle",
        "degrees",
        "the club still trails the lead forearm",
        "the club has passed the lead forearm",
        1,
    ),
    "roll_deg": MeasureWords(
        "roll of the picture",
        "degrees",
        "the target end of the ground is lower in the picture",
        "the target end of the ground is higher in the picture",
        1,
    ),
    "ball_diameter_px": MeasureWords("ball diameter", "pixels of the still", "", "", 1),
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
