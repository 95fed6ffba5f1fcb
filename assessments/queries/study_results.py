"""What a closed study found, in words and as a table to take away."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from assessments.impact.words import unit_words
from assessments.models import Study
from assessments.queries.findings import ALPHA_OTHER, ALPHA_PRIMARY
from assessments.queries.spreads import assumed_of
from assessments.stations.base import MeasureKind
from assessments.stations.impact import MEASURES
from assessments.statistics.change import SetUp, compare
from school.exports import Cell

Found = Mapping[str, Any]
MOST_HABIT = 0.7
COEFFICIENTS = ("icc_agreement", "icc_consistency", "sem", "mdc95")


@dataclass(frozen=True)
class Figure:
    """A number as it is written, and its 95 % interval."""

    value: str
    interval: str


@dataclass(frozen=True)
class ResultRow:
    """One measure of a study. Errors and spreads are in `unit`; `threshold_…` is how far single
    swings at intake and exit must lie apart to count, with the assumed spreads and with these."""

    title: str
    unit: str
    size: str
    agreement: Figure
    consistency: Figure
    sem: Figure
    mdc95: Figure
    slips: str
    habits: str
    assumed: str
    sentence: str
    threshold_assumed: str
    threshold_found: str


def result_rows(study: Study) -> list[ResultRow]:
    """What the study found, measure by measure. No query if the place is at hand."""
    assumed = assumed_of(study.place)
    return [
        _row(measure, study.result[measure.name], assumed[measure.name])
        for measure in MEASURES
        if measure.name in study.result
    ]


def in_short(study: Study) -> str:
    """What the primary measure is worth, as a sentence; empty if the study says nothing of it."""
    measure = next(each for each in MEASURES if each.primary)
    found = study.result.get(measure.name)
    if found is None:
        return ""
    sem, unit = found["sem"], _unit(measure)
    sentence = (
        f"One marking of the {measure.title}, by anybody, lies within "
        f"{1.96 * sem['value']:.1f} {unit} of what the still would be given on average, "
        "19 times in 20"
    )
    if sem["high"] is None:
        return f"{sentence}."
    return f"{sentence}; at best {1.96 * sem['low']:.1f}, at worst {1.96 * sem['high']:.1f}."


def measures_left_out(study: Study) -> list[str]:
    """The measures of which too few stills were marked in two turns."""
    return [measure.title for measure in MEASURES if measure.name not in study.result]


def measures_of_habits(study: Study) -> list[str]:
    """The measures whose interval of the SEM is too narrow, as people's habits spread too far.

    Simulated for 20 stills by three people: with habits as wide as slips the interval holds the
    true error 85 times in 100, with habits half as wide 95 times.
    """
    return [
        measure.title
        for measure in MEASURES
        if (found := study.result.get(measure.name))
        and found["rater_sd"] > MOST_HABIT * found["click_sd"]
    ]


def _row(measure: MeasureKind, found: Found, assumed: SetUp) -> ResultRow:
    decimals = 2 if measure.unit == "bd" else 1
    measured = replace(assumed, click_sd=found["click_sd"], rater_sd=found["rater_sd"])
    assumed_sem = math.hypot(assumed.click_sd, assumed.rater_sd)
    return ResultRow(
        title=measure.title,
        unit=_unit(measure),
        size=f"{found['stills']} stills × {found['markings']}",
        agreement=_figure(found["icc_agreement"], 2),
        consistency=_figure(found["icc_consistency"], 2),
        sem=_figure(found["sem"], decimals),
        mdc95=_figure(found["mdc95"], decimals),
        slips=f"{found['click_sd']:.{decimals}f}",
        habits=f"{found['rater_sd']:.{decimals}f}",
        assumed=f"{assumed_sem:.{decimals}f}",
        sentence=_sentence(found["sem"], assumed_sem),
        threshold_assumed=f"{_threshold(measure, assumed):.{decimals}f}",
        threshold_found=f"{_threshold(measure, measured):.{decimals}f}",
    )


def _threshold(measure: MeasureKind, spread: SetUp) -> float:
    """What one swing a side must differ by, as the findings of an attendee hold it."""
    alpha = ALPHA_PRIMARY if measure.primary else ALPHA_OTHER
    return compare([0.0], [0.0], spread.session_sd, spread.mdc95(), alpha).threshold


def _unit(measure: MeasureKind) -> str:
    return "degrees" if measure.unit == "deg" else unit_words(measure.unit)


def _figure(found: Found, decimals: int) -> Figure:
    ends = [
        "no limit" if end is None else f"{end:.{decimals}f}".replace("-", "−")
        for end in (found["low"], found["high"])
    ]
    return Figure(f"{found['value']:.{decimals}f}".replace("-", "−"), " to ".join(ends))


def _sentence(sem: Found, assumed: float) -> str:
    """How the error compares with the assumed one, as far as its interval can tell."""
    if sem["high"] is not None and sem["high"] < assumed:
        return "smaller than assumed"
    if sem["low"] > assumed:
        return "larger than assumed"
    return "as assumed, as far as this study can tell"


RESULT_TITLES = (
    *("Measure", "Unit", "Stills", "Turns"),
    *(
        f"{title}{end}"
        for title in ("ICC(2,1)", "ICC(3,1)", "SEM", "MDC95")
        for end in ("", " low", " high")
    ),
    *("Slips, SD", "Habits, SD", "Degrees of freedom"),
)


def result_table(study: Study) -> Iterator[list[Cell]]:
    """The result as rows under RESULT_TITLES, unrounded to six decimals."""
    for measure in MEASURES:
        found = study.result.get(measure.name)
        if found is not None:
            ends = [found[name][end] for name in COEFFICIENTS for end in ("value", "low", "high")]
            spreads = [found["click_sd"], found["rater_sd"]]
            yield [
                *(measure.title, _unit(measure), found["stills"], found["markings"]),
                *map(_decimal, (*ends, *spreads)),
                found["df"],
            ]


MARKING_TITLES = ("Still", "Turn", "Marked by", *(f"{m.title}, {m.unit}" for m in MEASURES))


def marking_table(study: Study) -> Iterator[list[Cell]]:
    """Every marking as rows under MARKING_TITLES, stills by their number in the study. 2 queries.

    With these, whoever doubts the result can reckon it anew.
    """
    orders = dict(study.stills.values_list("still", "order"))
    markings = study.markings.select_related("marked_by").order_by("turn", "marked_at")
    rows = [(orders[each.still_id], each) for each in markings if each.still_id in orders]
    for order, each in sorted(rows, key=lambda row: (row[1].turn, row[0])):
        values = [each.values.get(measure.name) for measure in MEASURES]
        yield [order, each.turn, str(each.marked_by), *map(_decimal, values)]


def _decimal(value: float | None) -> Cell:
    return None if value is None else Decimal(f"{value:.6f}")
