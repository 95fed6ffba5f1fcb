"""From the text of one cell to a number, a side or a class of club.

What cannot be read raises ValueError with words for the person who looks at the table.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from assessments.flight_csv.columns import Unit, folded, unit_called
from school.golfer_csv.cells import quoted

POINT, COMMA = ".", ","
MARKS = {POINT: "point", COMMA: "comma"}
EMPTY = {"", "-", "--", "---", "–", "—", "n/a", "na", "nan", "null", "none"}
_GAPS = " \u00a0\u202f\u2009'’"
_FIGURE = re.compile(rf"[0-9.,{_GAPS}]*[0-9]|[0-9]+[.,]")
_CELL = re.compile(
    rf"([a-z]+)?\s*([+\-−–])?\s*((?:{_FIGURE.pattern}))\s*(.*)", re.IGNORECASE | re.DOTALL
)
_RIGHT, _LEFT = {"r", "right"}, {"l", "left"}
_SUMMARY = {"average", "averages", "avg", "mean", "median", "stdev", "stddev", "std", "summary"}
_SUMMARIES = {
    *("sd", "min", "max", "minimum", "maximum", "total", "totals", "sum", "deviation"),
    *("standard deviation", "st dev", "s d", "all shots"),
}
_NAMES_TOO = {"min", "max"}


@dataclass(frozen=True)
class Number:
    """`side` is 1 if a letter said right, -1 left, 0 if there was none; `unit` if it named one."""

    value: float
    side: int = 0
    unit: Unit | None = None


def is_empty(cell: str) -> bool:
    return cell.strip().casefold() in EMPTY


def is_number(cell: str) -> bool:
    """Whether the cell is written as a number, maybe with a unit or a letter beside it."""
    match = _CELL.fullmatch(cell.strip())
    return match is not None and (match[1] or "").casefold() in {"", *_RIGHT, *_LEFT}


def unit_in(cell: str) -> str:
    """The key of the unit that stands behind a number; empty if none does."""
    match = _CELL.fullmatch(cell.strip())
    words = folded(match[4]).split() if match else []
    unit = unit_called(" ".join(word for word in words if word not in _RIGHT | _LEFT))
    return unit.key if unit is not None else ""


def number(cell: str, decimal: str) -> Number:
    """A number with `decimal` before its fraction; empty `decimal`: nothing in the table tells."""
    match = _CELL.fullmatch(cell.strip())
    if match is None:
        raise ValueError(f"{quoted(cell)} is no number.")
    before, sign, figure, behind = match.groups()
    sides, unit = _beside(before or "", behind, cell)
    if sides and sign:
        raise ValueError(f"{quoted(cell)} has a sign and a letter; one of them says the side.")
    value = _value(figure, decimal, cell)
    return Number(-value if sign and sign != "+" else value, sides, unit)


def _beside(before: str, behind: str, cell: str) -> tuple[int, Unit | None]:
    """The side and the unit among what stands before and behind the figure."""
    words = [*folded(before).split(), *folded(behind).split()]
    letters = [word for word in words if word in _RIGHT | _LEFT]
    rest = " ".join(word for word in words if word not in _RIGHT | _LEFT)
    unit = unit_called(rest) if rest else None
    if len(letters) > 1 or (rest and unit is None):
        raise ValueError(f"{quoted(cell)} is no number.")
    side = 0 if not letters else 1 if letters[0] in _RIGHT else -1
    return side, unit


def _value(figure: str, decimal: str, cell: str) -> float:
    figure = re.sub(f"[{_GAPS}]", " ", figure)
    if not decimal and re.fullmatch(r"[1-9][0-9]{0,2}[.,][0-9]{3}", figure):
        raise ValueError(
            f"{quoted(cell)} can be read in two ways. Say which mark stands before the decimals."
        )
    decimal = decimal or POINT
    group = COMMA if decimal == POINT else POINT
    if not re.fullmatch(
        rf"(?:[0-9]*|[0-9]{{1,3}}(?:[{group} ][0-9]{{3}})+)(?:[{decimal}][0-9]*)?", figure
    ):
        raise ValueError(
            f"{quoted(cell)} is no number with a {MARKS[decimal]} before its decimals."
        )
    return float(figure.replace(group, "").replace(" ", "").replace(decimal, "."))


def decimal_of(cells: Iterable[str]) -> str:
    """The mark before decimals, as most cells that leave no doubt have it; empty if none does."""
    told: Counter[str] = Counter()
    for cell in cells:
        match = _CELL.fullmatch(cell.strip())
        if match:
            told[_mark_of(match[3].translate(dict.fromkeys(map(ord, _GAPS))))] += 1
    del told[""]
    return told.most_common(1)[0][0] if told else ""


def _mark_of(figure: str) -> str:
    """The decimal mark of one figure if only one reading makes sense, else empty."""
    marks = [letter for letter in figure if letter in MARKS]
    if not marks:
        return ""
    last = marks[-1]
    other = COMMA if last == POINT else POINT
    if len(marks) > 1:
        return other if set(marks) == {last} else last
    return "" if re.fullmatch(r"[1-9][0-9]{0,2}[.,][0-9]{3}", figure) else last


def may_be_a_name(cell: str) -> bool:
    """Whether a word that sums up others is what people are called, too."""
    return folded(cell) in _NAMES_TOO


def is_summary(cell: str) -> bool:
    """Whether the cell names a row that sums up others: “Average”, “Std. dev.”"""
    words = folded(cell)
    return words in _SUMMARIES or words.split(" ")[0] in _SUMMARY


def club_called(name: str) -> str:
    """The code that a club's name tells of, like `7i`, `3w`, `pw` or `driver`; empty if none.

    A wedge named by its loft alone is `wedge`: lofts of one name differ between sets.
    """
    words = folded(name)
    tight = words.replace(" ", "")
    if tight in {"driver", "dr", "d", "1w", "w1", "1wood"}:
        return "driver"
    if match := re.fullmatch(r"(pitching|gap|sand|lob)wedge|([pgsl])w", tight):
        return f"{(match[1] or match[2])[0]}w"
    if re.fullmatch(r".*wedge|[auf]w|(?:4[4-9]|5[0-9]|6[0-4])(?:deg)?", tight):
        return "wedge"
    number = re.sub("[^0-9]", "", tight)
    kind = re.sub("[0-9]", "", tight)
    letter = {"iron": "i", "i": "i", "": "i", "wood": "w", "w": "w", "hybrid": "h", "h": "h"}
    kind = letter.get(kind.replace("fairwaywood", "wood").replace("fairway", "wood"), "")
    if kind and re.fullmatch("[1-9]", number):
        return f"{number}{kind}"
    return {"iron": "iron", "fairwaywood": "wood", "wood": "wood"}.get(tight, "")
