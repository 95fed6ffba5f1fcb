"""A card of up to eighteen holes: what may stand on it, and what follows from it.

A hole is played if its strokes are known. Putts are strokes on the green; "short" are strokes from
within 50 m of the green that are no putts; a tee shot is never short.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from assessments.errors import EntryRefused
from assessments.stations.base import Payload, is_list_of_objects
from assessments.stations.values import is_count
from assessments.statistics.handicap import HOLES

LOWEST_PAR, HIGHEST_PAR = 3, 6
MOST_STROKES = 30
NUMBERS = range(1, HOLES + 1)
SHORT_M = 50


@dataclass(frozen=True)
class Column:
    """What is counted of a hole: its key in the payload, and what it is called."""

    key: str
    title: str
    low: int
    high: int


PAR = Column("par", "Par", LOWEST_PAR, HIGHEST_PAR)
STROKE_INDEX = Column("stroke_index", "Stroke index", 1, HOLES)
STROKES = Column("strokes", "Strokes", 1, MOST_STROKES)
PUTTS = Column("putts", "Putts", 0, MOST_STROKES)
PENALTIES = Column("penalties", "Penalties", 0, MOST_STROKES)
SHORT = Column("short", "Short", 0, MOST_STROKES)
COUNTS = (PAR, STROKE_INDEX, STROKES, PUTTS, PENALTIES, SHORT)
FAIRWAY = "fairway"
OF_PLAY = (PUTTS.key, FAIRWAY, PENALTIES.key, SHORT.key)


@dataclass(frozen=True)
class Hole:
    """A hole that was played; `fairway` is None on a par 3 or where nobody noted it."""

    number: int
    par: int
    strokes: int
    putts: int
    stroke_index: int | None = None
    fairway: bool | None = None
    penalties: int = 0
    short: int | None = None

    @property
    def over_par(self) -> int:
        return self.strokes - self.par

    @property
    def has_green(self) -> bool:
        """Green in regulation: on it with two strokes left to par."""
        return self.strokes - self.putts <= self.par - 2

    @property
    def is_saved(self) -> bool:
        """Par or better without the green in regulation: up and down."""
        return not self.has_green and self.over_par <= 0

    @property
    def from_tee(self) -> int:
        """The tee shot of a par 4 or longer; that of a par 3 is one to the green."""
        return int(self.par > LOWEST_PAR)

    @property
    def approach(self) -> int:
        """What is left of the strokes after all other categories."""
        others = self.putts + self.penalties + (self.short or 0) + self.from_tee
        return self.strokes - others


def card_of(payload: Payload) -> tuple[Hole, ...]:
    """The holes played, in their order.

    Raises
    ------
    EntryRefused
        With words for each place `holes.<number>.<key>` that cannot be right.
    """
    rows = payload.get("holes")
    if not is_list_of_objects(rows):
        raise EntryRefused({"holes": "A card is a list of holes."})
    numbers = [row.get("number") for row in rows]
    if not all(is_count(number, 1, HOLES) for number in numbers):
        raise EntryRefused({"holes": "Holes are numbered 1 to 18."})
    if len(set(numbers)) < len(numbers):
        raise EntryRefused({"holes": "Each hole stands on the card once."})
    wrong = {
        f"holes.{row['number']}.{key}": f"Hole {row['number']}: {words}"
        for row in rows
        for key, words in _faults(row)
    } or dict(_faults_between(rows))
    if wrong:
        raise EntryRefused(wrong)
    played = [Hole(**row) for row in rows if STROKES.key in row]
    if not played:
        raise EntryRefused({"holes": "Enter the par, strokes and putts of at least one hole."})
    return tuple(sorted(played, key=lambda hole: hole.number))


def _faults(row: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """What is wrong with one hole by itself: the key, and words."""
    unknown = row.keys() - {"number", FAIRWAY, *(column.key for column in COUNTS)}
    if unknown:
        yield "unknown", f"nobody knows what {', '.join(sorted(unknown))} would be."
    wrong = [c for c in COUNTS if c.key in row and not is_count(row[c.key], c.low, c.high)]
    for column in wrong:
        title = column.title.lower()
        yield column.key, f"{title} must be a whole number from {column.low} to {column.high}."
    if FAIRWAY in row and type(row[FAIRWAY]) is not bool:
        yield FAIRWAY, "a fairway is hit or missed."
    if wrong:
        return
    if STROKES.key not in row:
        if any(key in row for key in OF_PLAY):
            yield STROKES.key, "enter the strokes, or empty the hole if it was not played."
        return
    for column in (PAR, PUTTS):
        if column.key not in row:
            yield (
                column.key,
                f"the {column.title.lower()} is missing.".replace("putts is", "putts are"),
            )
    if row.get(PAR.key) == LOWEST_PAR and FAIRWAY in row:
        yield FAIRWAY, "a par 3 has no fairway to hit; leave it empty."
    yield from _overspent(row)


def _overspent(row: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """More strokes in the parts than in the whole, which has a tee shot besides."""
    strokes, putts = row[STROKES.key], row.get(PUTTS.key, 0)
    penalties, short = row.get(PENALTIES.key, 0), row.get(SHORT.key, 0)
    if putts >= strokes:
        yield PUTTS.key, f"of {strokes} strokes, {putts} cannot have been putts."
    elif putts + penalties >= strokes:
        words = f"{putts} putts and {penalties} penalty strokes leave none of {strokes} for the tee"
        yield PENALTIES.key, f"{words} shot."
    elif putts + penalties + short >= strokes:
        yield (
            SHORT.key,
            f"{short} strokes from within {SHORT_M} m, with putts and penalties, leave none of "
            f"{strokes} for the tee shot.",
        )


def _faults_between(rows: list[dict[str, Any]]) -> Iterator[tuple[str, str]]:
    """What is wrong between holes, each of which can be right."""
    indexes = Counter(row[STROKE_INDEX.key] for row in rows if STROKE_INDEX.key in row)
    for row in rows:
        number, index = row["number"], row.get(STROKE_INDEX.key)
        if index is not None and indexes[index] > 1:
            words = f"Hole {number}: stroke index {index} stands on another hole too."
            yield f"holes.{number}.{STROKE_INDEX.key}", words
    played = [row for row in rows if STROKES.key in row]
    without = [row["number"] for row in played if SHORT.key not in row]
    if 0 < len(without) < len(played):
        for number in without:
            yield (
                f"holes.{number}.{SHORT.key}",
                f"Hole {number}: the short game is counted on every hole played, or on none; "
                "enter 0 if there was none.",
            )
