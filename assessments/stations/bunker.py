"""Bunker: balls out of the sand to a hole 8 m away.

Payload: `{"length_m": 8, "left_m": [2.4, 0.9, ...], "stayed_in": 1}`: how far from the hole each
ball that came out ended, 0 if it was holed, and how many stayed in the sand. Those score nothing
and have no distance.

Of what a leave costs nothing is said: no average for so short a shot from sand was published.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

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
from assessments.stations.fields import count_field
from assessments.stations.tasks import (
    MOST_BALLS,
    BallsForm,
    Task,
    initial_of,
    left_faults,
    points_of,
    score_of,
    told,
    what_is_left,
)
from assessments.stations.values import Faults, is_count, rate, refuse_any

TASK = Task("bunker", "Bunker shot", 8, "bunker_proximity_m")
SCORE = MeasureKind(
    "bunker_score", "bunker score of 100", "points", 0, better="higher", primary=True
)
OUT_RATE = MeasureKind("bunker_out_rate", "out of the sand", "%", 0, better="higher")
MEASURES = (SCORE, OUT_RATE, TASK.kind())


class BunkerForm(BallsForm):
    tasks = (TASK,)
    stayed_in = count_field("Balls that stayed in the sand", MOST_BALLS, initial=0)

    def payload(self) -> Payload:
        return {
            "length_m": TASK.length_m,
            "left_m": self.left(TASK.name),
            "stayed_in": self.cleaned_data["stayed_in"],
        }

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        stayed_in = {"stayed_in": payload["stayed_in"]}
        return stayed_in | initial_of(TASK.name, payload["left_m"])


def _compute(payload: Payload, context: Context) -> Computed:
    refuse_any(_faults(payload))
    return Computed(tuple(_measures(payload["left_m"], payload["stayed_in"])))


def _faults(payload: Payload) -> Faults:
    left_m, stayed_in = payload.get("left_m"), payload.get("stayed_in")
    if payload.get("length_m") != TASK.length_m:
        yield "length_m", f"The hole is {TASK.length_m} m away."
    if not is_count(stayed_in, 0, MOST_BALLS):
        yield "stayed_in", f"0 to {MOST_BALLS} balls stayed in the sand."
        return
    yield from left_faults(TASK, left_m, fewest=max(0, 2 - stayed_in))
    if isinstance(left_m, list) and len(left_m) + stayed_in > MOST_BALLS:
        words = f"With {len(left_m)} balls that came out, {stayed_in} more cannot have stayed in:"
        yield "stayed_in", f"{words} {MOST_BALLS} are played at most."


def _measures(left_m: list[float], stayed_in: int) -> Iterator[MeasureValue]:
    yield score_of(SCORE.name, [points_of(TASK, left_m, stayed_in)])
    out, balls = len(left_m), len(left_m) + stayed_in
    yield rate(OUT_RATE.name, out, balls, "out")
    yield from what_is_left(TASK, left_m)


def _details(payload: Payload) -> dict[str, Any]:
    return {"tasks": [told(TASK, payload["left_m"], payload["stayed_in"])]}


def _costs(measures: Measures) -> Mapping[str, float]:
    """A ball that stays in has cost its stroke, whatever follows."""
    if OUT_RATE.name not in measures:
        return {}
    return {OUT_RATE.name: 1 - measures[OUT_RATE.name].value / 100}


STATION = StationModule(
    kind="bunker",
    title="Bunker",
    form_class=BunkerForm,
    measures=MEASURES,
    compute=_compute,
    page_template="assessments/stations/bunker.html",
    details=_details,
    detail_template="assessments/stations/balls_details.html",
    chart=partial(change_chart, "Bunker", MEASURES),
    chart_template=CHANGE_CHART,
    costs=_costs,
    costs_source="for one bunker shot a round: a ball that stays in has cost its stroke",
)
