"""Choosing a still to lie beside what is recorded."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet

from assessments.models import Still


class StillBeside(forms.Form):
    """One of the attendee's stills, or none."""

    still = forms.ModelChoiceField(
        queryset=Still.objects.none(),
        required=False,
        error_messages={"invalid_choice": "That still is gone. Choose another, or none."},
    )

    def __init__(self, stills: QuerySet[Still], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._stills = stills
        field = self.fields["still"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = stills

    def stills(self) -> list[tuple[Still, bool]]:
        """Each still that can be chosen, and whether it is."""
        chosen = str(self["still"].value() or "")
        return [(still, str(still.pk) == chosen) for still in self._stills]
