"""On course: nine or eighteen holes as they were played, and what they mean for a handicap.

Payload: `{"holes": [{"number": 4, "par": 4, "stroke_index": 7, "strokes": 5, "putts": 2,
"fairway": true, "penalties": 0, "short": 1}, ...], "tees": {"course_rating": 71.4, "slope": 128,
"par": 72}, "handicap_index": 14.2, "allowance": "stroke_play", "record": [14.1, ...],
"low_index": 13.0}`. A hole without strokes was not played; all but number, par, strokes and putts
of a hole may be missing, and so may all but the holes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from typing import Any

from assessments.queries.courses import course_of
from assessments.stations.base import (
    Computed,
    Context,
    MeasureKind,
    Measures,
    MeasureValue,
    Payload,
    StationModule,
)
from assessments.stations.charts import CHANGE_CHART, change_chart
from assessments.stations.on_course_card import Hole, card_of
from assessments.stations.on_course_form import OnCourseForm
from assessments.stations.on_course_tees import reckoning, refuse_wrong_tees
from assessments.stations.values import measured, rate
from assessments.statistics.counts import events
from assessments.statistics.handicap import HOLES
from assessments.statistics.intervals import mean
from school.models import Enrolment

KIND = "on_course"
OVER_PAR, PUTTS, PENALTIES = "strokes_over_par_per_hole", "putts_per_hole", "penalties_per_hole"
FAIRWAYS, GREENS, SCRAMBLE = "fairways_rate", "greens_rate", "scramble_rate"
APPROACH, SHORT = "strokes_approach", "strokes_short"
A_HOLE = "strokes a hole"
MEASURES = (
    MeasureKind(OVER_PAR, "strokes over par", A_HOLE, 2, better="lower", primary=True, signed=True),
    MeasureKind(PUTTS, "putts", "a hole", 2, better="lower"),
    MeasureKind(FAIRWAYS, "fairways hit", "%", 0, better="higher"),
    MeasureKind(GREENS, "greens in regulation", "%", 0, better="higher"),
    MeasureKind(SCRAMBLE, "up and down", "%", 0, better="higher"),
    MeasureKind(PENALTIES, "penalty strokes", A_HOLE, 2, better="lower"),
    MeasureKind(APPROACH, "approach strokes", A_HOLE, 2, better="lower"),
    MeasureKind(SHORT, "short-game strokes", A_HOLE, 2, better="lower"),
)
UNITS = {kind.name: kind.unit for kind in MEASURES}
CHARTED = (OVER_PAR, PUTTS, PENALTIES)


def _compute(payload: Payload, context: Context) -> Computed:
    card = card_of(payload)
    refuse_wrong_tees(payload)
    return Computed(tuple(_measures(card)))


def _measures(card: Sequence[Hole]) -> Iterator[MeasureValue]:
    yield _mean(OVER_PAR, [hole.over_par for hole in card])
    yield _mean(PUTTS, [hole.putts for hole in card])
    noted = [hole.fairway for hole in card if hole.fairway is not None]
    if noted:
        yield rate(FAIRWAYS, sum(noted), len(noted), "fairways")
    yield rate(GREENS, sum(hole.has_green for hole in card), len(card), "greens")
    tries = [hole for hole in card if not hole.has_green]
    if tries:
        saved = sum(hole.is_saved for hole in tries)
        yield rate(SCRAMBLE, saved, len(tries), "holes without the green in regulation")
    penalties = sum(hole.penalties for hole in card)
    source = f"{penalties} on {len(card)} holes; Garwood's interval of counts"
    yield measured(PENALTIES, UNITS[PENALTIES], events(penalties, len(card)), source)
    if all(hole.short is not None for hole in card):
        yield _mean(APPROACH, [hole.approach for hole in card])
        yield _mean(SHORT, [hole.short or 0 for hole in card])


def _mean(name: str, values: Sequence[int]) -> MeasureValue:
    """Over the holes of one card. A count hides up to half a stroke of how well each hole was
    played, so that holes alike do not make it certain."""
    n = len(values)
    if n == 1:
        source = "one hole; how holes differ is not known"
        return MeasureValue(name, values[0], UNITS[name], None, None, None, source)
    source = f"mean of {n} holes; their scatter and Student's t; how days differ is not in it"
    return measured(name, UNITS[name], mean(values, resolution=1 / math.sqrt(n)), source)


def _details(payload: Payload) -> dict[str, Any]:
    card = card_of(payload)
    over = sum(hole.over_par for hole in card)
    return {
        "holes": [_row(hole) for hole in card],
        "strokes": sum(hole.strokes for hole in card),
        "to_par": _signed(over),
        "count": len(card),
        "categories": _categories(card),
        "handicap": reckoning(payload, card),
    }


def _row(hole: Hole) -> dict[str, Any]:
    """A hole as it is written on a card."""
    green = "green hit" if hole.has_green else "up and down" if hole.is_saved else "green missed"
    notes = [green]
    if hole.fairway is not None:
        notes.insert(0, f"fairway {'hit' if hole.fairway else 'missed'}")
    if hole.penalties:
        notes.append(f"{hole.penalties} penalt{'y' if hole.penalties == 1 else 'ies'}")
    return {"hole": hole, "to_par": _signed(hole.over_par), "notes": ", ".join(notes)}


def _categories(card: Sequence[Hole]) -> list[tuple[str, int]]:
    """The score in parts that add up to it; those of the long game only if the short is known."""
    putts, penalties = sum(h.putts for h in card), sum(h.penalties for h in card)
    tee = sum(h.from_tee for h in card)
    short = [h.short for h in card if h.short is not None]
    if len(short) < len(card):
        rest = sum(h.approach for h in card)
        parts = [("From the tee, par 4 and 5", tee), ("Approach and short game", rest)]
    else:
        parts = [
            ("From the tee, par 4 and 5", tee),
            ("Approach, with tee shots of par 3", sum(h.approach for h in card)),
            ("Short game, within 50 m", sum(short)),
        ]
    return [*parts, ("Putts", putts), ("Penalty strokes", penalties)]


def _signed(strokes: int) -> str:
    return f"{strokes:+d}".replace("-", "−") if strokes else "0"


def _initial(enrolment: Enrolment) -> dict[str, Any]:
    """The golfer's index, and the course as the school's last card has it."""
    payload: Payload = {"holes": []} | course_of(enrolment, KIND)
    index = enrolment.golfer.handicap_index
    if index is not None:
        payload["handicap_index"] = float(index)
    return OnCourseForm.initial_from(payload)


def _costs(measures: Measures) -> Mapping[str, float]:
    return {PENALTIES: HOLES * measures[PENALTIES].value} if PENALTIES in measures else {}


STATION = StationModule(
    kind=KIND,
    title="On course",
    form_class=OnCourseForm,
    measures=MEASURES,
    compute=_compute,
    page_template="assessments/stations/on_course.html",
    details=_details,
    detail_template="assessments/stations/scorecard.html",
    initial=_initial,
    chart=partial(change_chart, "On course", [m for m in MEASURES if m.name in CHARTED]),
    chart_template=CHANGE_CHART,
    repeats=True,
    costs=_costs,
    costs_source="penalty strokes of the card, carried to eighteen holes",
)
