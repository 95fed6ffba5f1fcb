"""Fields of numbers as they are typed at a station, on a phone."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
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


class NumberField(forms.FloatField):
    """A number with a point or a comma before its decimals, and any kind of minus."""

    def to_python(self, value: Any) -> Any:
        if isinstance(value, str):
            value = value.strip().replace("\N{MINUS SIGN}", "-")
            if re.fullmatch(r"-?[1-9]\d{0,2},\d{3}", value):
                raise ValidationError(
                    f"{value} can be read in two ways. Write it without the comma, or with a point."
                )
            if value.count(",") == 1 and "." not in value:
                value = value.replace(",", ".")
        return super().to_python(value)


def number_field(label: str, *, is_signed: bool = False, **options: Any) -> NumberField:
    """A reading that may stay empty.

    It is a field of text: a browser empties one of numbers, and tells nobody, if the comma or the
    minus in it is not that of the browser's own language. A signed one asks for no number pad:
    those of some phones have no minus.
    """
    attrs = {"aria-label": label, "class": "form-control", "autocomplete": "off"}
    if not is_signed:
        attrs["inputmode"] = "decimal"
    widget = forms.TextInput(attrs=attrs)
    return NumberField(label=label, required=False, widget=widget, **options)


def has_value(field: BoundField) -> bool:
    """Whether something is typed in it, a 0 too, or wrong with it."""
    return field.value() not in (None, "") or bool(field.errors)
