"""Strike: where on the face of the club balls were hit, counted in nine fields.

Powder or foot spray on the face shows each strike. Payload:
`{"club_class": "iron", "counts": {"centre_middle": 4, "toe_low": 1, ...}}`, the number of balls in
each field that was hit. Heel and toe are those of the golfer's own club, so nothing is mirrored.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

from django import forms

from assessments.models import ClubClass
from assessments.stations.base import (
    Computed,
    Context,
    MeasureKind,
    MeasureValue,
    Payload,
    StationForm,
    StationModule,
)
from assessments.stations.charts import CHANGE_CHART, change_chart
from assessments.stations.fields import count_field
from assessments.stations.values import Faults, is_count, measured, rate, refuse_any
from assessments.statistics.intervals import Z_95, Estimate

ACROSS, UP = ("heel", "centre", "toe"), ("high", "middle", "low")
FIELDS = tuple(f"{across}_{up}" for up in UP for across in ACROSS)
FEWEST_BALLS, MOST_BALLS = 5, 30
CENTRED = MeasureKind("centred_rate", "struck in the centre", "%", 0, better="higher", primary=True)
TOE_HEEL = MeasureKind("toe_heel_bias", "toe over heel, + toe", "%", 0, signed=True)
HIGH_LOW = MeasureKind("high_low_bias", "high over low, + high", "%", 0, signed=True)
MEASURES = (CENTRED, TOE_HEEL, HIGH_LOW)
Counts = Mapping[str, int]


class StrikeForm(StationForm):
    club_class = forms.ChoiceField(label="Club", choices=ClubClass.choices, initial="iron")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in FIELDS:
            label = f"Balls {name.replace('_', ', ')}"
            self.fields[name] = count_field(label, MOST_BALLS, required=False)

    def rows(self) -> list[dict[str, Any]]:
        return _rows({name: self[name] for name in FIELDS})

    def payload(self) -> Payload:
        typed = self.cleaned_data
        counts = {name: typed[name] for name in FIELDS if typed[name]}
        return {"club_class": typed["club_class"], "counts": counts}

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        return {"club_class": payload["club_class"], **payload["counts"]}


def _rows(cells: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The face as it is looked at: high above low."""
    return [{"title": up.capitalize(), "cells": [cells[f"{a}_{up}"] for a in ACROSS]} for up in UP]


def _compute(payload: Payload, context: Context) -> Computed:
    refuse_any(_faults(payload))
    return Computed(tuple(_measures(payload["counts"])))


def _faults(payload: Payload) -> Faults:
    if payload.get("club_class") not in ClubClass.values:
        yield "club_class", "Say which club was hit; clubs are never pooled."
    counts = payload.get("counts")
    if not isinstance(counts, dict) or counts.keys() - set(FIELDS):
        yield "counts", "Balls are counted in the nine fields of the face."
        return
    wrong = [name for name, count in counts.items() if not is_count(count, 0, MOST_BALLS)]
    for name in wrong:
        yield name, f"0 to {MOST_BALLS} balls are counted in a field."
    if not wrong and not FEWEST_BALLS <= sum(counts.values()) <= MOST_BALLS:
        yield (
            "counts",
            f"Hit {FEWEST_BALLS} to {MOST_BALLS} balls; {sum(counts.values())} are here.",
        )


def _measures(counts: Counts) -> Iterator[MeasureValue]:
    balls, centred = sum(counts.values()), counts.get("centre_middle", 0)
    yield rate(CENTRED.name, centred, balls, "in the middle field")
    for kind, more, less in ((TOE_HEEL, "toe", "heel"), (HIGH_LOW, "high", "low")):
        up, down = _beside(counts, more), _beside(counts, less)
        source = f"{up} {more} less {down} {less}, of {balls}; interval of Bonett and Price"
        yield measured(kind.name, "%", _bias(up, down, balls), source)


def _beside(counts: Counts, side: str) -> int:
    return sum(count for name, count in counts.items() if side in name.split("_"))


def _bias(more: int, less: int, balls: int) -> Estimate:
    """The share of `more` less that of `less`, -1 to 1, with an interval that is never a point.

    D. G. Bonett and R. M. Price, Journal of Educational and Behavioral Statistics 37 (2012)
    479-488, from memory: one ball more on either side, then the normal interval. The standard
    uncertainty is half its width over 1.96.
    """
    up, down, n = (more + 1) / (balls + 2), (less + 1) / (balls + 2), balls + 2
    half = Z_95 * math.sqrt((up + down - (up - down) ** 2) / n)
    low, high = max(-1.0, up - down - half), min(1.0, up - down + half)
    return Estimate((more - less) / balls, (high - low) / (2 * Z_95), low, high)


def _details(payload: Payload) -> dict[str, Any]:
    counts = payload["counts"]
    return {
        "club": ClubClass(payload["club_class"]).label,
        "rows": _rows({name: counts.get(name, 0) for name in FIELDS}),
    }


STATION = StationModule(
    kind="strike",
    title="Strike",
    form_class=StrikeForm,
    measures=MEASURES,
    compute=_compute,
    page_template="assessments/stations/strike.html",
    details=_details,
    detail_template="assessments/stations/strike.html",
    chart=partial(change_chart, "Strike", (CENTRED,)),
    chart_template=CHANGE_CHART,
    repeats=True,
)
