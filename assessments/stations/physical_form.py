"""The physical screen as it is filled in: a value, pain, or nothing for what was not done."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django import forms
from django.forms import BoundField

from assessments.stations.base import Payload, StationForm
from assessments.stations.fields import count_field, number_field
from assessments.stations.physical_items import DEGREES, PARTS, SEEN, Item, Part, side_of_body
from school.models import Handedness

ANSWERS = (("", "not done"), ("yes", "yes"), ("no", "no"), ("pain", "pain"))
UNITS = {DEGREES: "degrees", "s": "seconds"}


@dataclass(frozen=True)
class PartRow:
    """A field of an item; `pain` is the box beside a value, None where pain is an answer."""

    title: str
    value: BoundField
    pain: BoundField | None


@dataclass(frozen=True)
class ItemRows:
    item: Item
    rows: tuple[PartRow, ...]


class PhysicalForm(StationForm):
    asked = forms.BooleanField(
        label="Asked about pain, injuries and a doctor’s advice; the golfer agrees to start",
        required=False,
    )
    handedness = forms.ChoiceField(label="Plays", choices=Handedness.choices)
    age_years = count_field("Age in years", 110, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for part in PARTS:
            if part.item.unit == SEEN:
                self.fields[part.key] = _answer(part)
            else:
                unit = UNITS[part.item.unit]
                label = f"{part.heading}, {unit}"
                self.fields[part.key] = number_field(label, is_signed=part.item.low < 0)
                self.fields[f"pain_{part.key}"] = _pain(part)

    def items(self) -> Iterator[ItemRows]:
        for item, parts in groupby(PARTS, key=lambda part: part.item):
            yield ItemRows(item, tuple(self._row(part) for part in parts))

    def _row(self, part: Part) -> PartRow:
        if part.item.unit == SEEN:
            return PartRow("", self[part.key], None)
        side = side_of_body(part.side, self["handedness"].value() or Handedness.RIGHT)
        title = f"{part.side} {part.item.side_words} ({side}), {UNITS[part.item.unit]}"
        return PartRow(title[:1].upper() + title[1:], self[part.key], self[f"pain_{part.key}"])

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        for part in PARTS:
            value = self.cleaned_data.get(part.key)
            if value is not None and self.cleaned_data.get(f"pain_{part.key}"):
                self.add_error(part.key, "Leave the value empty where it hurt, or take pain away.")
        return cleaned

    def payload(self) -> Payload:
        typed = self.cleaned_data
        payload: Payload = {"asked": typed["asked"], "handedness": typed["handedness"]}
        if typed["age_years"] is not None:
            payload["age_years"] = typed["age_years"]
        found = {part.key: self._found(part) for part in PARTS}
        payload["found"] = {key: value for key, value in found.items() if value is not None}
        return payload

    def _found(self, part: Part) -> Any:
        typed = self.cleaned_data[part.key]
        if part.item.unit == SEEN:
            return {"": None, "yes": True, "no": False}.get(typed, typed)
        return "pain" if self.cleaned_data[f"pain_{part.key}"] else typed

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        keys = ("asked", "handedness", "age_years")
        initial = {key: payload[key] for key in keys if key in payload}
        for part in PARTS:
            value = payload["found"].get(part.key)
            if value == "pain" and part.item.unit != SEEN:
                initial[f"pain_{part.key}"] = True
            elif isinstance(value, bool):
                initial[part.key] = "yes" if value else "no"
            elif value is not None:
                initial[part.key] = value
        return initial

    def field_for(self, place: str) -> str | None:
        """Places are those of the payload: `found.toe_touch`."""
        return super().field_for(place.removeprefix("found."))


def _answer(part: Part) -> forms.ChoiceField:
    widget = forms.Select(attrs={"aria-label": part.heading, "class": "form-select"})
    return forms.ChoiceField(label=part.heading, choices=ANSWERS, required=False, widget=widget)


def _pain(part: Part) -> forms.BooleanField:
    widget = forms.CheckboxInput(attrs={"class": "form-check-input"})
    label = f"Pain at {part.title}"
    return forms.BooleanField(label=label, required=False, widget=widget)
