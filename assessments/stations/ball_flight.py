"""Ball flight: up to ten shots with one club, read off an instrument and typed in.

Payload, in SI units whatever was typed:
`{"club_class": "iron", "shots": [{"carry_m": 137.2, ...}, ...],
"entered_in": {"distance": "yd", "speed": "mph"}}`.
Each shot has `carry_m` and may have `side_m` (+ to the right of the target line as the golfer looks
along it), `ball_speed_mps`, `club_speed_mps` and `launch_deg`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from django import forms
from django.forms import BoundField

from assessments.errors import EntryRefused
from assessments.models import ClubClass
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
from assessments.statistics.ball_speed import HIGHEST_READ_RATIO
from assessments.statistics.intervals import Estimate, mean, spread

MOST_SHOTS, SHOTS_SHOWN = 10, 5
YARD_M, MPH_M_S = 0.9144, 0.44704  # exact since the international yard of 1959
FACTORS = {"m": 1.0, "yd": YARD_M, "m/s": 1.0, "mph": MPH_M_S, "°": 1.0}
DISTANCE_UNITS = (("yd", "yards"), ("m", "metres"))
SPEED_UNITS = (("mph", "miles an hour"), ("m/s", "metres a second"))
ANGLE = "angle"
SI_UNITS = {"distance": "m", "speed": "m/s", ANGLE: "°"}


@dataclass(frozen=True)
class Quantity:
    """What is read of a shot. `low` and `high` bound what is possible at all, and `resolution` is
    the step in which it is assumed to be written down; all in SI units."""

    name: str
    key: str
    title: str
    dimension: str
    low: float
    high: float
    resolution: float

    def unit(self, payload: Payload) -> str:
        """The unit it was typed in."""
        entered = payload.get("entered_in", {}).get(self.dimension)
        return entered if entered in FACTORS else SI_UNITS[self.dimension]


CARRY = Quantity("carry", "carry_m", "Carry", "distance", 0, 400, 1.0)
SIDE = Quantity("side", "side_m", "Side", "distance", -200, 200, 1.0)
BALL_SPEED = Quantity("ball_speed", "ball_speed_mps", "Ball speed", "speed", 1, 110, 0.5)
CLUB_SPEED = Quantity("club_speed", "club_speed_mps", "Club speed", "speed", 1, 80, 0.5)
LAUNCH = Quantity("launch", "launch_deg", "Launch angle", ANGLE, -30, 85, 0.5)
QUANTITIES = (CARRY, SIDE, BALL_SPEED, CLUB_SPEED, LAUNCH)
RATIO, RATIO_RESOLUTION = "speed_ratio", 0.01
MEASURES = (
    MeasureKind("carry_m", "carry", "m", 0, better="higher", primary=True),
    MeasureKind("carry_spread_m", "spread of carry", "m", 0, better="lower"),
    MeasureKind("side_m", "side, + to the right", "m", 0, signed=True),
    MeasureKind("side_spread_m", "spread to the side", "m", 0, better="lower"),
    MeasureKind("ball_speed_mps", "ball speed", "m/s", 1, better="higher"),
    MeasureKind("club_speed_mps", "club speed", "m/s", 1),
    MeasureKind(RATIO, "ball speed over club speed", "", 2, better="higher"),
    MeasureKind("launch_deg", "launch angle", "deg", 1),
)
CHARTED = ("carry_m", "side_spread_m", "ball_speed_mps", "launch_deg")


@dataclass(frozen=True)
class Cell:
    title: str
    field: BoundField


@dataclass(frozen=True)
class ShotRow:
    number: int
    cells: tuple[Cell, ...]


class BallFlightForm(StationForm):
    club_class = forms.ChoiceField(label="Club", choices=ClubClass.choices, initial="iron")
    distance_unit = forms.ChoiceField(label="Distances in", choices=DISTANCE_UNITS)
    speed_unit = forms.ChoiceField(label="Speeds in", choices=SPEED_UNITS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number in range(1, MOST_SHOTS + 1):
            for quantity in QUANTITIES:
                self.fields[f"{quantity.name}_{number}"] = _reading(number, quantity)

    def rows(self) -> list[ShotRow]:
        return [
            ShotRow(number, tuple(Cell(q.title, self[f"{q.name}_{number}"]) for q in QUANTITIES))
            for number in range(1, MOST_SHOTS + 1)
        ]

    def first_rows(self) -> list[ShotRow]:
        return self.rows()[:SHOTS_SHOWN]

    def more_rows(self) -> list[ShotRow]:
        return self.rows()[SHOTS_SHOWN:]

    def has_more(self) -> bool:
        """Whether one of the rows that are folded away has something in it."""
        fields = [cell.field for row in self.more_rows() for cell in row.cells]
        return any(field.value() or field.errors for field in fields)

    def payload(self) -> Payload:
        typed = self.cleaned_data
        payload: Payload = {
            "club_class": typed["club_class"],
            "entered_in": {"distance": typed["distance_unit"], "speed": typed["speed_unit"]},
        }
        payload["shots"] = [
            {
                quantity.key: round(value * FACTORS[quantity.unit(payload)], 4)
                for quantity in QUANTITIES
                if (value := typed[f"{quantity.name}_{number}"]) is not None
            }
            for number in self._filled()
        ]
        return payload

    def _filled(self) -> list[int]:
        return [
            number
            for number in range(1, MOST_SHOTS + 1)
            if any(self.cleaned_data.get(f"{q.name}_{number}") is not None for q in QUANTITIES)
        ]

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        found: dict[str, Any] = {
            "club_class": payload["club_class"],
            "distance_unit": CARRY.unit(payload),
            "speed_unit": BALL_SPEED.unit(payload),
        }
        for number, shot in enumerate(_typed(payload), 1):
            for quantity, value in zip(QUANTITIES, shot, strict=True):
                found[f"{quantity.name}_{number}"] = value
        return found

    def field_for(self, place: str) -> str | None:
        """Places are those of the payload, `shots.0.carry`, where empty rows are left out."""
        match place.split("."):
            case ["shots", index, name]:
                return f"{name}_{self._filled()[int(index)]}"
        return super().field_for(place)


def _reading(number: int, quantity: Quantity) -> forms.FloatField:
    label = f"{quantity.title} of shot {number}"
    attrs = {"aria-label": label, "class": "form-control", "inputmode": "decimal", "step": "any"}
    return forms.FloatField(label=label, required=False, widget=forms.NumberInput(attrs=attrs))


def _details(payload: Payload) -> dict[str, Any]:
    """The shots as a table, in the units they were typed in."""
    columns = [
        f"{quantity.title},\N{NO-BREAK SPACE}{quantity.unit(payload)}" for quantity in QUANTITIES
    ]
    rows = [
        [(column, _text(value)) for column, value in zip(columns, shot, strict=True)]
        for shot in _typed(payload)
    ]
    return {"club": ClubClass(payload["club_class"]).label, "columns": columns, "rows": rows}


def _text(value: float | None) -> str:
    return "not read" if value is None else f"{value:g}".replace("-", "−")


def _typed(payload: Payload) -> list[tuple[float | None, ...]]:
    """Of each shot the quantities in turn, in the units they were typed in."""
    return [
        tuple(
            round(shot[q.key] / FACTORS[q.unit(payload)], 2) if q.key in shot else None
            for q in QUANTITIES
        )
        for shot in payload["shots"]
    ]


def _compute(payload: Payload, context: Context) -> Computed:
    shots = payload.get("shots")
    if not is_list_of_objects(shots) or not 1 <= len(shots) <= MOST_SHOTS:
        raise EntryRefused({"shots": f"Enter one to {MOST_SHOTS} shots."})
    if payload.get("club_class") not in ClubClass.values:
        raise EntryRefused({"club_class": "Say which club was hit; clubs are never pooled."})
    wrong = {
        f"shots.{index}.{name}": f"Shot {index + 1}: {words}"
        for index, shot in enumerate(shots)
        for name, words in _faults(shot, payload)
    }
    if wrong:
        raise EntryRefused(wrong)
    return Computed(tuple(_measures(shots)))


def _faults(shot: dict[str, Any], payload: Payload) -> Iterator[tuple[str, str]]:
    """What is wrong with a shot: the name of the quantity, and words."""
    unknown = shot.keys() - {quantity.key for quantity in QUANTITIES}
    if unknown:
        yield "unknown", f"nobody knows what {', '.join(sorted(unknown))} would be."
    if shot.get(CARRY.key) is None:
        yield CARRY.name, "the carry is missing."
    for quantity in QUANTITIES:
        value = shot.get(quantity.key)
        if value is not None and not _is_possible(value, quantity):
            unit = quantity.unit(payload)
            low, high = (round(end / FACTORS[unit]) for end in (quantity.low, quantity.high))
            words = f"{quantity.title.lower()} must be a number from {low} to {high} {unit}."
            yield quantity.name, words.replace("-", "−").replace(" °", "°")
    ratio = _ratio(shot)
    if ratio is not None and ratio > HIGHEST_READ_RATIO:
        yield (
            BALL_SPEED.name,
            f"the ball left at {ratio:.2f} times the speed of the club. "
            f"No club gives more than {HIGHEST_READ_RATIO:.2f}; check both speeds.",
        )


def _is_possible(value: object, quantity: Quantity) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return math.isfinite(value) and quantity.low <= value <= quantity.high


def _ratio(shot: dict[str, Any]) -> float | None:
    ball, club = shot.get(BALL_SPEED.key), shot.get(CLUB_SPEED.key)
    if not (isinstance(ball, int | float) and isinstance(club, int | float) and club > 0):
        return None
    return ball / club


def _measures(shots: Sequence[dict[str, Any]]) -> Iterator[MeasureValue]:
    for kind in MEASURES:
        values, resolution, is_spread = _values(kind.name, shots)
        if is_spread and len(values) > 1:
            source = f"standard deviation of {len(values)} shots; chi-squared interval"
            yield _stored(kind, spread(values, resolution), source)
        elif not is_spread and len(values) > 1:
            source = f"mean of {len(values)} shots; their scatter and Student's t"
            yield _stored(kind, mean(values, resolution), source)
        elif not is_spread and values:
            source = "one shot; how it scatters is not known"
            yield MeasureValue(kind.name, values[0], kind.unit, None, None, None, source)


def _values(name: str, shots: Sequence[dict[str, Any]]) -> tuple[list[float], float, bool]:
    """The readings behind a measure, their resolution, and whether their spread is meant."""
    if name == RATIO:
        return [r for shot in shots if (r := _ratio(shot)) is not None], RATIO_RESOLUTION, False
    key = name.replace("_spread", "")
    quantity = next(quantity for quantity in QUANTITIES if quantity.key == key)
    values = [float(shot[key]) for shot in shots if shot.get(key) is not None]
    return values, quantity.resolution, key != name


def _stored(kind: MeasureKind, estimate: Estimate, source: str) -> MeasureValue:
    return MeasureValue(
        kind.name,
        estimate.value,
        kind.unit,
        estimate.standard_uncertainty,
        estimate.low,
        estimate.high,
        source,
    )


STATION = StationModule(
    kind="ball_flight",
    title="Ball flight",
    form_class=BallFlightForm,
    measures=MEASURES,
    compute=_compute,
    page_template="assessments/stations/ball_flight.html",
    details=_details,
    detail_template="assessments/stations/shots.html",
    chart=partial(change_chart, "Ball flight", [m for m in MEASURES if m.name in CHARTED]),
    chart_template=CHANGE_CHART,
    repeats=True,
)
