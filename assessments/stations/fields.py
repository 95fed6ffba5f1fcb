"""Fields of numbers as they are typed at a station, on a phone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField


@dataclass(frozen=True)
class BallRow:
    """A number a ball, under one title."""

    title: str
    balls: tuple[BoundField, ...]


def count_field(label: str, most: int, **options: Any) -> forms.IntegerField:
    """A number of balls, 0 to `most`."""
    attrs = {"aria-label": label, "class": "form-control", "inputmode": "numeric"}
    widget = forms.NumberInput(attrs=attrs)
    return forms.IntegerField(label=label, min_value=0, max_value=most, widget=widget, **options)


def number_field(label: str, *, is_signed: bool = False, **options: Any) -> forms.FloatField:
    """A reading that may stay empty.

    A signed one asks for no number pad of its own: those of some phones have no minus.
    """
    attrs = {"aria-label": label, "class": "form-control", "step": "any"}
    if not is_signed:
        attrs["inputmode"] = "decimal"
    widget = forms.NumberInput(attrs=attrs)
    return forms.FloatField(label=label, required=False, widget=widget, **options)


def has_value(field: BoundField) -> bool:
    """Whether something is typed in it, a 0 too, or wrong with it."""
    return field.value() not in (None, "") or bool(field.errors)
