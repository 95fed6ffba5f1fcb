"""Form fields of this app's own."""

from typing import Any

from django import forms


class ClockField(forms.TimeField):
    """A time of day, picked in quarter hours."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.TimeInput(attrs={"type": "time", "step": 900}, format="%H:%M")
        super().__init__(widget=widget, **kwargs)
