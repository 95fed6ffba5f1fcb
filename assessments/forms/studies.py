"""Opening a repeatability study."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from assessments.models import FilmingPlace
from assessments.queries.studies import FULL_STUDY, SMALLEST_STUDY
from school.wording import count_of


class PlaceField(forms.ModelChoiceField):  # type: ignore[type-arg]
    """The filming places in use, each with the number of stills that may be drawn there."""

    drawable: Mapping[int, int]

    def label_from_instance(self, place: FilmingPlace) -> str:
        return f"{place}: {count_of(self.drawable.get(place.pk, 0), 'still')} to draw from"


class StudyForm(forms.Form):
    place = PlaceField(
        FilmingPlace.objects.none(), label="Filming place", empty_label="Choose a place"
    )
    name = forms.CharField(max_length=80, label="Name", help_text="for instance: Spring, all staff")
    stills = forms.IntegerField(
        label="Stills",
        initial=FULL_STUDY,
        min_value=SMALLEST_STUDY,
        max_value=60,
        help_text="Twenty tell enough. With fewer the error itself is known less well.",
    )
    markings_wanted = forms.IntegerField(
        label="Markings a still",
        initial=3,
        min_value=2,
        max_value=10,
        help_text="Each turn is marked by one person; best by those who mark every day.",
    )

    def __init__(self, *args: Any, drawable: Mapping[int, int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        place = self.fields["place"]
        assert isinstance(place, PlaceField)
        place.drawable = drawable
        place.queryset = FilmingPlace.objects.filter(is_in_use=True)
