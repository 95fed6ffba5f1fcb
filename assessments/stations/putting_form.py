"""The form of the putting station: four parts, of which any may stay empty."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from assessments.stations.base import Payload, StationForm
from assessments.stations.fields import BallRow, count_field, has_value, number_field
from assessments.stations.putting_parts import (
    CONTROL_DISTANCES_M,
    MAKE_DISTANCES_M,
    MOST_CONTROLLED,
    MOST_IN_GATE,
    MOST_MADE,
    MOST_STARTS,
)

USUAL_BALLS, USUAL_GATE_MM, USUAL_GATE_M = 10, 60, 0.5
USUAL_STARTS_M = (3, 6, 9)
STARTS = range(1, MOST_STARTS + 1)
ENDS = range(1, MOST_CONTROLLED + 1)


@dataclass(frozen=True)
class DistanceRow:
    distance_m: int
    holed: BoundField
    balls: BoundField


@dataclass(frozen=True)
class StartRow:
    distance: BoundField
    putts: BoundField


class DigitsField(forms.CharField):
    """A digit a ball: `2122` are four balls. One field of a number pad instead of ten."""

    def clean(self, value: Any) -> list[int]:
        text = re.sub(r"[\s,;]+", "", super().clean(value))
        if not re.fullmatch("[0-9]*", text):
            raise forms.ValidationError("Enter one digit a ball, like 2122 for four balls.")
        return [int(digit) for digit in text]


class PuttingForm(StationForm):
    gate_through = count_field("Balls through the gate", MOST_IN_GATE, required=False)
    gate_balls = count_field("Balls at the gate", MOST_IN_GATE, required=False, initial=USUAL_BALLS)
    gate_width_mm = number_field("Width of the gate, mm", initial=USUAL_GATE_MM)
    gate_distance_m = number_field("From the ball to the gate, m", initial=USUAL_GATE_M)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for distance in MAKE_DISTANCES_M:
            self.fields[f"holed_{distance}"] = count_field(
                f"Holed from {distance} m", MOST_MADE, required=False
            )
            self.fields[f"balls_{distance}"] = count_field(
                f"Balls from {distance} m", MOST_MADE, initial=USUAL_BALLS
            )
        for distance in CONTROL_DISTANCES_M:
            for ball in ENDS:
                label = f"From {distance} m: end of ball {ball}"
                self.fields[f"end_{distance}_{ball}"] = number_field(label, is_signed=True)
        for start, distance in zip(STARTS, USUAL_STARTS_M, strict=True):
            title = f"Start {start}"
            self.fields[f"start_{start}"] = number_field(f"{title}: metres", initial=distance)
            self.fields[f"putts_{start}"] = _digits(f"{title}: putts of each ball")

    def rows(self) -> Iterator[DistanceRow]:
        for distance in MAKE_DISTANCES_M:
            yield DistanceRow(distance, self[f"holed_{distance}"], self[f"balls_{distance}"])

    def control_rows(self) -> Iterator[BallRow]:
        for distance in CONTROL_DISTANCES_M:
            balls = tuple(self[f"end_{distance}_{ball}"] for ball in ENDS)
            yield BallRow(f"From {distance}\N{NO-BREAK SPACE}m", balls)

    def start_rows(self) -> Iterator[StartRow]:
        for start in STARTS:
            yield StartRow(self[f"start_{start}"], self[f"putts_{start}"])

    def has_gate(self) -> bool:
        """Whether this part stands open: something is in it, or wrong with it."""
        gate = [self[name] for name in self.fields if name.startswith("gate_")]
        return has_value(self["gate_through"]) or any(field.errors for field in gate)

    def has_control(self) -> bool:
        return any(has_value(ball) for row in self.control_rows() for ball in row.balls)

    def has_played_out(self) -> bool:
        rows = list(self.start_rows())
        return any(has_value(row.putts) or row.distance.errors for row in rows)

    def payload(self) -> Payload:
        """The parts that were filled in; a make rate without balls holed was not played."""
        parts = {
            "putts": self._putts(),
            "gate": self._gate(),
            "control": self._control(),
            "played_out": self._played_out(),
        }
        return {name: part for name, part in parts.items() if part}

    def _putts(self) -> list[dict[str, Any]]:
        typed = self.cleaned_data
        return [
            {"distance_m": d, "holed": typed[f"holed_{d}"], "balls": typed[f"balls_{d}"]}
            for d in MAKE_DISTANCES_M
            if typed[f"holed_{d}"] is not None
        ]

    def _gate(self) -> dict[str, Any]:
        if self.cleaned_data["gate_through"] is None:
            return {}
        keys = ("width_mm", "distance_m", "through", "balls")
        return {key: self.cleaned_data[f"gate_{key}"] for key in keys}

    def _control(self) -> list[dict[str, Any]]:
        return [
            {"distance_m": d, "ends_m": [self.cleaned_data[f"end_{d}_{ball}"] for ball in filled]}
            for d in CONTROL_DISTANCES_M
            if (filled := self._filled(d))
        ]

    def _filled(self, distance: int) -> list[int]:
        return [n for n in ENDS if self.cleaned_data.get(f"end_{distance}_{n}") is not None]

    def _played_out(self) -> list[dict[str, Any]]:
        typed = self.cleaned_data
        return [
            {"distance_m": typed[f"start_{start}"], "putts": typed[f"putts_{start}"]}
            for start in self._started()
        ]

    def _started(self) -> list[int]:
        return [start for start in STARTS if self.cleaned_data.get(f"putts_{start}")]

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for putts in payload.get("putts", ()):
            found[f"holed_{putts['distance_m']}"] = putts["holed"]
            found[f"balls_{putts['distance_m']}"] = putts["balls"]
        for key, value in payload.get("gate", {}).items():
            found[f"gate_{key}"] = value
        for row in payload.get("control", ()):
            for ball, end in enumerate(row["ends_m"], 1):
                found[f"end_{row['distance_m']}_{ball}"] = end
        for start, row in enumerate(payload.get("played_out", ()), 1):
            found[f"start_{start}"] = row["distance_m"]
            found[f"putts_{start}"] = "".join(map(str, row["putts"]))
        return found

    def field_for(self, place: str) -> str | None:
        """Places of the payload, where empty rows are left out, as the fields that were typed."""
        match place.split("."):
            case ["gate", key]:
                return f"gate_{key}"
            case ["control", distance]:
                return f"end_{distance}_{self._filled(int(distance))[0]}"
            case ["control", distance, index]:
                return f"end_{distance}_{self._filled(int(distance))[int(index)]}"
            case ["played_out", index, key]:
                name = {"distance_m": "start", "putts": "putts"}[key]
                return f"{name}_{self._started()[int(index)]}"
        return super().field_for(place)


def _digits(label: str) -> DigitsField:
    attrs = {"aria-label": label, "class": "form-control", "inputmode": "numeric"}
    attrs |= {"autocomplete": "off", "placeholder": "2122"}
    return DigitsField(label=label, required=False, widget=forms.TextInput(attrs=attrs))
