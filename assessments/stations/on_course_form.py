"""The card as it is filled in: eighteen holes, the tees, and what handicaps need."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from assessments.stations.base import Payload, StationForm
from assessments.stations.fields import count_field, has_value, number_field
from assessments.stations.on_course_card import (
    COUNTS,
    FAIRWAY,
    MOST_STROKES,
    NUMBERS,
    PAR,
    PENALTIES,
    PUTTS,
    SHORT,
    STROKE_INDEX,
    STROKES,
)
from assessments.stations.on_course_tees import OWN_ALLOWANCES, USUAL_ALLOWANCE

SHOWN = (
    (PAR.key, "Par"),
    (STROKE_INDEX.key, "Index"),
    (STROKES.key, "Strokes"),
    (PUTTS.key, "Putts"),
    (FAIRWAY, "Fairway"),
    (PENALTIES.key, "Penalty"),
    (SHORT.key, "Short"),
)
TEES = ("course_rating", "slope", "par")
FAIRWAYS = (("", "–"), ("hit", "hit"), ("missed", "missed"))


@dataclass(frozen=True)
class Cell:
    title: str
    field: BoundField


@dataclass(frozen=True)
class HoleRow:
    number: int
    cells: tuple[Cell, ...]


class RecordField(forms.CharField):
    """Score differentials with blanks or semicolons between them; 14,2 is 14.2."""

    def clean(self, value: Any) -> list[float]:
        found = []
        for typed in re.split(r"[\s;]+", super().clean(value)):
            token = typed.strip(",").replace(",", ".").replace("−", "-")
            if token and not re.fullmatch(r"-?\d{1,3}(\.\d)?", token):
                raise forms.ValidationError(
                    f"{typed} is no differential. Leave a blank between two, such as 14.2 15.0; "
                    "below zero is −1.2."
                )
            found += [float(token)] if token else []
        return found


class OnCourseForm(StationForm):
    course_rating = number_field("Course rating, 18 holes")
    slope = count_field("Slope rating", 155, required=False)
    tees_par = count_field("Par, 18 holes", 90, required=False)
    handicap_index = number_field(
        "Handicap Index", is_signed=True, help_text="A plus index is entered below zero: −2.1."
    )
    allowance = forms.ChoiceField(
        label="Playing handicap for",
        choices=[(key, f"{a.title}, {a.parts[0]} %") for key, a in OWN_ALLOWANCES.items()],
        initial=USUAL_ALLOWANCE,
    )
    record = RecordField(
        label="Latest score differentials",
        required=False,
        help_text="Up to twenty, oldest first, with blanks between: 14.2 15.0 13.8.",
    )
    low_index = number_field(
        "Low Handicap Index", is_signed=True, help_text="Once there are twenty scores."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number in NUMBERS:
            for column in COUNTS:
                label = f"{column.title}, hole {number}"
                field = count_field(label, MOST_STROKES, required=False)
                self.fields[f"{column.key}_{number}"] = field
            self.fields[f"{FAIRWAY}_{number}"] = _fairway(number)

    def front(self) -> list[HoleRow]:
        return list(self._rows(NUMBERS[:9]))

    def back(self) -> list[HoleRow]:
        return list(self._rows(NUMBERS[9:]))

    def _rows(self, numbers: range) -> Iterator[HoleRow]:
        for number in numbers:
            cells = (Cell(title, self[f"{key}_{number}"]) for key, title in SHOWN)
            yield HoleRow(number, tuple(cells))

    def has_back(self) -> bool:
        """Whether the second nine stands open: something is in it, or wrong with it."""
        return any(has_value(cell.field) for row in self.back() for cell in row.cells)

    def for_handicaps(self) -> list[BoundField]:
        names = ("course_rating", "slope", "tees_par", "handicap_index", "allowance")
        return [self[name] for name in (*names, "record", "low_index")]

    def has_handicaps(self) -> bool:
        return any(field.errors for field in self.for_handicaps())

    def payload(self) -> Payload:
        typed = self.cleaned_data
        payload: Payload = {"holes": [hole for n in NUMBERS if (hole := self._hole(n))]}
        tees = {"course_rating": typed["course_rating"], "slope": typed["slope"]}
        tees = {k: v for k, v in (tees | {"par": typed["tees_par"]}).items() if v is not None}
        if tees:
            payload["tees"] = tees
        for key in ("handicap_index", "low_index"):
            if typed[key] is not None:
                payload[key] = typed[key]
        if typed["record"]:
            payload["record"] = typed["record"]
        payload["allowance"] = typed["allowance"]
        return payload

    def _hole(self, number: int) -> dict[str, Any]:
        """What was typed of a hole; nothing for an empty row."""
        typed = self.cleaned_data
        counts = {c.key: typed[f"{c.key}_{number}"] for c in COUNTS}
        hole: dict[str, Any] = {key: n for key, n in counts.items() if n is not None}
        if fairway := typed[f"{FAIRWAY}_{number}"]:
            hole[FAIRWAY] = fairway == "hit"
        return {"number": number} | hole if hole else {}

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        keys = ("handicap_index", "low_index", "allowance")
        found: dict[str, Any] = {key: payload[key] for key in keys if key in payload}
        tees = payload.get("tees", {})
        found |= {cls._of_tees(key): tees[key] for key in TEES if key in tees}
        found["record"] = " ".join(f"{each:g}" for each in payload.get("record", ()))
        for hole in payload["holes"]:
            number = hole["number"]
            found |= {f"{c.key}_{number}": hole[c.key] for c in COUNTS if c.key in hole}
            if FAIRWAY in hole:
                found[f"{FAIRWAY}_{number}"] = "hit" if hole[FAIRWAY] else "missed"
        return found

    @staticmethod
    def _of_tees(key: str) -> str:
        return "tees_par" if key == "par" else key

    def field_for(self, place: str) -> str | None:
        """Places are those of the payload: `holes.4.putts`, `tees.slope`."""
        match place.split("."):
            case ["holes", number, key]:
                return super().field_for(f"{key}_{number}")
            case ["tees", key]:
                return super().field_for(self._of_tees(key))
        return super().field_for(place)


def _fairway(number: int) -> forms.ChoiceField:
    label = f"Fairway, hole {number}"
    widget = forms.Select(attrs={"aria-label": label, "class": "form-select"})
    return forms.ChoiceField(label=label, choices=FAIRWAYS, required=False, widget=widget)
