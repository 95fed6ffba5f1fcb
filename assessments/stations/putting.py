"""Putting: four parts on one page, any of which may be left out.

Payload, each part only if it was played:

- `"putts": [{"distance_m": 1, "holed": 9, "balls": 10}, ...]`, balls holed from 1, 2 and 3 m on a
  straight, level line;
- `"gate": {"width_mm": 60, "distance_m": 0.5, "through": 8, "balls": 10}`, balls that started on
  line;
- `"control": [{"distance_m": 6, "ends_m": [0.4, -0.8, ...]}, ...]`, where balls played at the hole
  from 3, 6 and 9 m ended, + past it and - short of it;
- `"played_out": [{"distance_m": 6.0, "putts": [2, 1, 2]}, ...]`, the putts that each ball took.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Any

from assessments.errors import EntryRefused
from assessments.stations.base import (
    Computed,
    Context,
    MeasureKind,
    Measures,
    MeasureValue,
    Payload,
    StationModule,
    Typical,
)
from assessments.stations.charts import CHANGE_CHART, change_chart
from assessments.stations.putting_form import PuttingForm
from assessments.stations.putting_parts import (
    CONTROL_DISTANCES_M,
    MAKE_DISTANCES_M,
    Part,
    control_faults,
    control_values,
    gate_angle_deg,
    gate_faults,
    gate_rate,
    make_faults,
    make_rates,
    played_out_faults,
    putting_gained,
)
from assessments.stations.values import Faults, refuse_any
from assessments.statistics.strokes_gained import SOURCE, expected_putts

FIRST_PUTTS_A_ROUND = 18
GAINED = "putting_strokes_gained"
PARTS: dict[str, tuple[Callable[[Part], Faults], Callable[[Part], Iterator[MeasureValue]]]] = {
    "putts": (make_faults, make_rates),
    "gate": (gate_faults, gate_rate),
    "control": (control_faults, control_values),
    "played_out": (played_out_faults, putting_gained),
}
NOTHING = "Enter the balls holed from at least one distance, or one of the other parts."
AT_THE_HOLE = Typical(0.0, 0.5, "common practice, no source: up to half a metre past the hole")

MAKE_RATES = tuple(
    MeasureKind(f"make_rate_{d}m", f"make rate from {d} m", "%", 0, better="higher", primary=d == 2)
    for d in MAKE_DISTANCES_M
)
GATE_RATE = MeasureKind("gate_rate", "balls through the gate", "%", 0, better="higher")
BIASES = tuple(
    MeasureKind(
        f"distance_bias_{d}m",
        f"end of putts from {d} m, + past the hole",
        "m",
        1,
        signed=True,
        typical=(AT_THE_HOLE,),
    )
    for d in CONTROL_DISTANCES_M
)
SPREADS = tuple(
    MeasureKind(f"distance_spread_{d}m", f"spread of length from {d} m", "m", 1, better="lower")
    for d in CONTROL_DISTANCES_M
)
STROKES_GAINED = MeasureKind(
    GAINED, "strokes gained a first putt", "strokes", 2, better="higher", signed=True
)
CHARTED = (*MAKE_RATES, GATE_RATE, *SPREADS, STROKES_GAINED)


def _compute(payload: Payload, context: Context) -> Computed:
    played = {name: payload[name] for name in PARTS if name in payload}
    unknown = payload.keys() - PARTS.keys()
    if unknown:
        raise EntryRefused({"putts": f"Nobody knows what {', '.join(sorted(unknown))} would be."})
    if not played or not all(played.values()):
        raise EntryRefused({"putts": NOTHING})
    refuse_any(fault for name, part in played.items() for fault in PARTS[name][0](part))
    return Computed(tuple(value for name, part in played.items() for value in PARTS[name][1](part)))


def _details(payload: Payload) -> dict[str, Any]:
    return {
        "gate": _gate(payload["gate"]) if payload.get("gate") else None,
        "control": [
            (row["distance_m"], [_end(end) for end in row["ends_m"]])
            for row in payload.get("control", ())
        ],
        "played_out": [
            (f"{row['distance_m']:g}", row["putts"], expected_putts(row["distance_m"]))
            for row in payload.get("played_out", ())
        ],
    }


def _gate(gate: dict[str, Any]) -> dict[str, Any]:
    angle = gate_angle_deg(gate["width_mm"], gate["distance_m"])
    width, distance = (f"{gate[key]:g}" for key in ("width_mm", "distance_m"))
    return {"width": width, "distance": distance, "angle_deg": angle}


def _end(end_m: float) -> str:
    return f"{end_m:+g}".replace("-", "−") if end_m else "0"


def _costs(measures: Measures) -> Mapping[str, float]:
    if GAINED not in measures:
        return {}
    return {GAINED: -FIRST_PUTTS_A_ROUND * measures[GAINED].value}


STATION = StationModule(
    kind="putting",
    title="Putting",
    form_class=PuttingForm,
    measures=(*MAKE_RATES, GATE_RATE, *BIASES, *SPREADS, STROKES_GAINED),
    compute=_compute,
    page_template="assessments/stations/putting.html",
    details=_details,
    detail_template="assessments/stations/putting_details.html",
    chart=partial(change_chart, "Putting", CHARTED),
    chart_template=CHANGE_CHART,
    costs=_costs,
    costs_source=(
        f"for {FIRST_PUTTS_A_ROUND} first putts from the distances that were tested, against "
        f"{SOURCE}"
    ),
)
