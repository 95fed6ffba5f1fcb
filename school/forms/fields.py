"""Fields that read what people write, with the words of the CSV reader."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from school.golfer_csv import cells
from school.wording import format_handicap


class DayField(forms.DateField):
    """A date by the browser's own picker."""

    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})


class HandicapField(forms.CharField):
    """A Handicap Index as golfers write it: 18.4, +2.1 for a plus, or nothing."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def clean(self, value: Any) -> Decimal | None:
        try:
            return cells.handicap(super().clean(value))
        except ValueError as error:
            raise ValidationError(str(error)) from error

    def prepare_value(self, value: Any) -> Any:
        return format_handicap(value) if isinstance(value, Decimal) else value


class MoneyField(forms.DecimalField):
    """An amount to the cent; a comma may stand for the point."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_digits=9, decimal_places=2, **kwargs)

    def to_python(self, value: Any) -> Any:
        if isinstance(value, str):
            value = value.strip().replace(",", ".") if value.count(",") == 1 else value
        return super().to_python(value)
