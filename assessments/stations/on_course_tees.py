"""What a card says for handicapping: the tees, the golfer's index and the record behind it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from assessments.stations.base import Payload
from assessments.stations.on_course_card import Hole
from assessments.stations.values import is_count, is_number, refuse_any
from assessments.statistics import handicap
from assessments.statistics.handicap import ALLOWANCES, HOLES

USUAL_ALLOWANCE = "stroke_play"
# those that a golfer plays off alone
OWN_ALLOWANCES = {
    name: allowance for name, allowance in ALLOWANCES.items() if len(allowance.parts) == 1
}
RATINGS, PARS, INDEXES, DIFFERENTIALS = (40, 90), (54, 90), (-10, 54), (-20, 120)
IN_A_LESSON = (
    "A score made in a lesson is no acceptable score for handicapping, unless the round was played "
    "by the Rules of Golf, in an authorised format and with another player; advice during it "
    "breaks them (common practice; Rule 2.1 of the Rules of Handicapping, from memory)."
)


@dataclass(frozen=True)
class Line:
    """One result, and the rule that it follows."""

    title: str
    value: str
    rule: str


@dataclass(frozen=True)
class Reckoning:
    """What could be reckoned, and sentences on what could not."""

    lines: tuple[Line, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Tees:
    course_rating: Decimal
    slope: int
    par: int | None


def refuse_wrong_tees(payload: Payload) -> None:
    """Raise EntryRefused for tees, an index or a record that cannot be right."""
    refuse_any(_faults(payload))


def _faults(payload: Payload) -> Iterator[tuple[str, str]]:
    tees = payload.get("tees", {})
    if not isinstance(tees, dict):
        yield "tees", "Tees have a course rating and a slope rating."
        return
    if tees and not is_number(tees.get("course_rating"), *RATINGS):
        yield "tees.course_rating", "The course rating of eighteen holes lies between 40 and 90."
    if tees and not is_count(tees.get("slope"), handicap.LOWEST_SLOPE, handicap.HIGHEST_SLOPE):
        yield "tees.slope", "A slope rating is a whole number from 55 to 155."
    par = tees.get("par")
    if par is not None and not is_count(par, *PARS):
        yield "tees.par", "The par of eighteen holes is a whole number from 54 to 90."
    elif par is not None and (counted := _par_of_holes(payload)) not in (None, par):
        yield "tees.par", f"The holes make a par of {counted}, not {par}."
    for key in ("handicap_index", "low_index"):
        if key in payload and not is_number(payload[key], *INDEXES):
            yield key, "A Handicap Index lies between +10.0 (entered as −10.0) and 54.0."
    record = payload.get("record", [])
    if not _is_record(record):
        yield "record", "Enter up to twenty score differentials, such as 14.2, oldest first."
    if payload.get("allowance", USUAL_ALLOWANCE) not in list(OWN_ALLOWANCES):
        yield "allowance", "Choose one of the allowances."


def _is_record(record: object) -> bool:
    if not isinstance(record, list) or len(record) > handicap.MOST_SCORES:
        return False
    return all(is_number(each, *DIFFERENTIALS) for each in record)


def _par_of_holes(payload: Payload) -> int | None:
    pars = [row["par"] for row in payload["holes"] if "par" in row]
    return sum(pars) if len(pars) == HOLES else None


def reckoning(payload: Payload, card: Sequence[Hole]) -> Reckoning:
    """The arithmetic of the Rules of Handicapping for a card that can be right."""
    tees = _tees(payload)
    index = _exact(payload.get("handicap_index"))
    if tees is None:
        words = "With the course rating and slope rating of the tees, handicaps are reckoned here."
        return Reckoning(tuple(_of_record(payload, None)), (words,))
    course = None
    if index is not None and tees.par is not None:
        course = handicap.course_handicap(index, tees.slope, tees.course_rating, tees.par)
    notes: list[str] = []
    adjusted = _adjusted_gross(card, course, has_index=index is not None, notes=notes)
    lines = [] if course is None else list(_of_course(payload, course))
    differential = None
    if adjusted is not None:
        differential = handicap.score_differential(adjusted, tees.course_rating, tees.slope)
        lines.append(Line("Adjusted gross score", f"{adjusted}", "Rule 3.1"))
        told, rule = f"{differential}".replace("-", "−"), "Rule 5.1a, playing conditions taken as 0"
        lines.append(Line("Score differential", told, rule))
    lines += _of_record(payload, differential)
    return Reckoning(tuple(lines), (*notes, IN_A_LESSON))


def _tees(payload: Payload) -> Tees | None:
    told: dict[str, Any] = payload.get("tees", {})
    if not told:
        return None
    par = told.get("par") or _par_of_holes(payload)
    return Tees(Decimal(str(told["course_rating"])), told["slope"], par)


def _exact(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(str(value))


def _of_course(payload: Payload, course: Fraction) -> Iterator[Line]:
    allowance = OWN_ALLOWANCES[payload.get("allowance", USUAL_ALLOWANCE)]
    exact = f"{float(course):.2f}".replace("-", "−")
    yield Line("Course handicap", f"{_handicap(handicap.whole(course))} ({exact})", "Rule 6.1a")
    playing = handicap.playing_handicap([course], allowance.parts)
    title = f"Playing handicap, {allowance.title}, {allowance.parts[0]} %"
    yield Line(title, _handicap(playing), "Rule 6.2a and Appendix C")


def _adjusted_gross(
    card: Sequence[Hole], course: Fraction | None, *, has_index: bool, notes: list[str]
) -> int | None:
    """None, and why, where it cannot be reckoned."""
    if len(card) < HOLES:
        notes.append(
            f"{len(card)} of eighteen holes give no score differential here: the rest would be an "
            "expected differential, and how that is made is not published."
        )
        return None
    pars, strokes = [hole.par for hole in card], [hole.strokes for hole in card]
    if not has_index:
        notes.append("Without a Handicap Index each hole counts at most par + 5 (Rule 3.1).")
        return handicap.adjusted_gross(pars, strokes)
    indexes = [hole.stroke_index for hole in card if hole.stroke_index is not None]
    if len(indexes) < HOLES or course is None:
        notes.append("The adjusted gross score needs the stroke index of every hole (Rule 3.1).")
        return None
    return handicap.adjusted_gross(pars, strokes, indexes, handicap.whole(course))


def _of_record(payload: Payload, differential: Decimal | None) -> Iterator[Line]:
    """The index of the record typed in, and what this score would make of it."""
    record = [Decimal(str(each)) for each in payload.get("record", [])]
    low, index = _exact(payload.get("low_index")), _exact(payload.get("handicap_index"))
    if len(record) >= handicap.FEWEST_SCORES:
        counted, _ = handicap.COUNTED[len(record)]
        title = f"Index by the record: {counted} lowest of {len(record)}"
        yield Line(title, _handicap(handicap.handicap_index(record, low)), "Rules 5.2, 5.3, 5.8")
    if record and differential is not None and len(record) + 1 >= handicap.FEWEST_SCORES:
        after = handicap.handicap_index(handicap.with_score(record, differential, index), low)
        title = "Index with this score, were it acceptable"
        yield Line(title, _handicap(after), "Rules 5.2, 5.3, 5.8, 5.9")


def _handicap(value: int | Decimal) -> str:
    """As golfers write it: below zero is a plus handicap."""
    return f"+{-value}" if value < 0 else f"{value}"
