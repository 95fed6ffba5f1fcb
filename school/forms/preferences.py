"""How a golfer reads numbers and reports, as a form."""

from __future__ import annotations

from django import forms

from school.models import DistanceUnit, Golfer, Language, SpeedUnit

FIELDS = ("distances_in", "speeds_in", "language")


class PreferencesForm(forms.Form):
    distances_in = forms.ChoiceField(
        label="Distances in", choices=DistanceUnit.choices, widget=forms.RadioSelect
    )
    speeds_in = forms.ChoiceField(
        label="Speeds in", choices=SpeedUnit.choices, widget=forms.RadioSelect
    )
    language = forms.ChoiceField(
        label="Language of the report", choices=Language.choices, widget=forms.RadioSelect
    )


def preferences_of(golfer: Golfer) -> dict[str, str]:
    return {name: getattr(golfer, name) for name in FIELDS}
