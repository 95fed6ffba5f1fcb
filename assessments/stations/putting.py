"""Putting: balls holed from set distances on a straight, level line.

Payload: `{"putts": [{"distance_m": 1, "holed": 9, "balls": 10}, ...]}`, each distance once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from django import forms
from django.forms import BoundField

from assessments.errors import EntryRefused
from assessments.stations.base import (
    Computed,
    Context,
    MeasureKind,
    MeasureValue,
    Payload,
    StationForm,
    StationModule,
    is_list_of_objects,
)
from assessments.stations.charts import CHANGE_CHART, change_chart
from assessments.statistics.intervals import proportion

DISTANCES_M = (1, 2, 3)
USUAL_BALLS, MOST_BALLS = 10, 50


@dataclass(frozen=True)
class DistanceRow:
    distance_m: int
    holed: BoundField
    balls: BoundField


class PuttingForm(StationForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for distance in DISTANCES_M:
            self.fields[f"holed_{distance}"] = _count(f"Holed from {distance} m", required=False)
            self.fields[f"balls_{distance}"] = _count(
                f"Balls from {distance} m", initial=USUAL_BALLS
            )

    def rows(self) -> Iterator[DistanceRow]:
        for distance in DISTANCES_M:
            yield DistanceRow(distance, self[f"holed_{distance}"], self[f"balls_{distance}"])

    def payload(self) -> Payload:
        typed = self.cleaned_data
        return {
            "putts": [
                {"distance_m": d, "holed": typed[f"holed_{d}"], "balls": typed[f"balls_{d}"]}
                for d in DISTANCES_M
                if typed[f"holed_{d}"] is not None
            ]
        }

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        found = {}
        for putts in payload["putts"]:
            found[f"holed_{putts['distance_m']}"] = putts["holed"]
            found[f"balls_{putts['distance_m']}"] = putts["balls"]
        return found


def _count(label: str, **options: Any) -> forms.IntegerField:
    attrs = {"aria-label": label, "class": "form-control", "inputmode": "numeric"}
    widget = forms.NumberInput(attrs=attrs)
    return forms.IntegerField(
        label=label, min_value=0, max_value=MOST_BALLS, widget=widget, **options
    )


def _compute(payload: Payload, context: Context) -> Computed:
    rows = payload.get("putts")
    if not is_list_of_objects(rows) or not rows:
        raise EntryRefused({"putts": "Enter the balls holed from at least one distance."})
    counts = [_counts(row) for row in rows]
    distances = [distance for distance, _, _ in counts]
    if len(set(distances)) < len(distances) or not set(distances) <= set(DISTANCES_M):
        raise EntryRefused({"putts": "Each of 1, 2 and 3 m is counted once."})
    wrong = dict(filter(None, (_fault(*count) for count in counts)))
    if wrong:
        raise EntryRefused(wrong)
    return Computed(tuple(_make_rate(*count) for count in sorted(counts)))


def _counts(row: dict[str, Any]) -> tuple[int, int, int]:
    distance, holed, balls = (row.get(key) for key in ("distance_m", "holed", "balls"))
    if not (type(distance) is int and type(holed) is int and type(balls) is int):
        raise EntryRefused({"putts": "Distances and balls are whole numbers."})
    return distance, holed, balls


def _fault(distance: int, holed: int, balls: int) -> tuple[str, str] | None:
    """The field that is wrong and what is wrong with it."""
    if not 1 <= balls <= MOST_BALLS:
        return f"balls_{distance}", f"From {distance} m: 1 to {MOST_BALLS} balls are counted."
    if not 0 <= holed <= balls:
        words = f"From {distance} m: of {balls} balls played, {holed} cannot have been holed."
        return f"holed_{distance}", words
    return None


def _make_rate(distance: int, holed: int, balls: int) -> MeasureValue:
    share = proportion(holed, balls)
    return MeasureValue(
        _name(distance),
        100 * share.value,
        "%",
        100 * share.standard_uncertainty,
        100 * share.low,
        100 * share.high,
        f"{holed} of {balls} holed; Wilson's interval",
    )


def _name(distance: int) -> str:
    return f"make_rate_{distance}m"


MEASURES = tuple(
    MeasureKind(_name(d), f"make rate from {d} m", "%", 0, better="higher", primary=d == 2)
    for d in DISTANCES_M
)

STATION = StationModule(
    kind="putting",
    title="Putting",
    form_class=PuttingForm,
    measures=MEASURES,
    compute=_compute,
    page_template="assessments/stations/putting.html",
    chart=partial(change_chart, "Putting", MEASURES, bounds=(0, 100)),
    chart_template=CHANGE_CHART,
)
