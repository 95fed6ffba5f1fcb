"""Forms about drills: the search of the library, and the admin's drills and rules."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from django import forms
from django.conf import settings

from assessments.models import ClubClass, Drill, DrillRule
from assessments.practice.rules_check import MAY_NAME, faults_of_drill, faults_of_rule
from assessments.practice.words import EQUIPMENT, HURTS
from assessments.queries.drills import Search, known_measures, station_titles
from assessments.stations import registry

if TYPE_CHECKING:
    BaseDrillForm = forms.ModelForm[Drill]
    BaseRuleForm = forms.ModelForm[DrillRule]
else:
    BaseDrillForm = BaseRuleForm = forms.ModelForm

ANY = ("", "Anything")


@cache
def drawn_pictures() -> frozenset[str]:
    """The pictures that there are templates of."""
    folder = settings.BASE_DIR / "templates" / "assessments" / "drills"
    return frozenset(path.name.removesuffix(".svg.html") for path in folder.glob("*.svg.html"))


class DrillSearchForm(forms.Form):
    words = forms.CharField(required=False, max_length=80, label="Words")
    serves = forms.ChoiceField(required=False, label="Serves")
    have = forms.MultipleChoiceField(
        required=False,
        choices=EQUIPMENT.items(),
        widget=forms.CheckboxSelectMultiple,
        label="Only what can be done with",
        help_text="None ticked: whatever it needs.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        serves = self.fields["serves"]
        assert isinstance(serves, forms.ChoiceField)
        serves.choices = [ANY, *station_titles().items()]

    def search(self) -> Search:
        """What is looked for; for a form without errors."""
        cleaned = self.cleaned_data
        have = frozenset(cleaned["have"])
        return Search(cleaned["words"], cleaned["serves"], have or None)


class DrillForm(BaseDrillForm):
    """Refuses what could not be printed or proposed, beside the field it stands in."""

    equipment = forms.MultipleChoiceField(
        required=False,
        choices=EQUIPMENT.items(),
        widget=forms.CheckboxSelectMultiple,
        label="What is needed",
    )
    avoid_with = forms.MultipleChoiceField(
        required=False,
        choices=HURTS.items(),
        widget=forms.CheckboxSelectMultiple,
        label="Not if this hurts",
    )
    picture = forms.ChoiceField()

    class Meta:
        model = Drill
        exclude = ()
        widgets = {
            "name": forms.TextInput(attrs={"size": 60}),
            "purpose": forms.Textarea(attrs={"rows": 2, "cols": 90}),
            "set_up": forms.Textarea(attrs={"rows": 4, "cols": 90}),
            "steps": forms.Textarea(attrs={"rows": 7, "cols": 90}),
            "count": forms.TextInput(attrs={"size": 80}),
            "caution": forms.Textarea(attrs={"rows": 3, "cols": 90}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        picture = self.fields["picture"]
        assert isinstance(picture, forms.ChoiceField)
        picture.choices = [(name, name.replace("_", " ")) for name in sorted(drawn_pictures())]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        faults = faults_of_drill(
            steps=cleaned.get("steps", ""),
            equipment=cleaned.get("equipment", ()),
            avoid_with=cleaned.get("avoid_with", ()),
            picture=cleaned.get("picture", ""),
            pictures=drawn_pictures(),
        )
        for name, words in faults.items():
            if name not in self.errors:
                self.add_error(name, words)
        return cleaned


class DrillRuleForm(BaseRuleForm):
    """A rule for a measure that a station has, whose line names only what its finding has."""

    kind = forms.ChoiceField(label="Station")
    measure = forms.ChoiceField()
    club_class = forms.ChoiceField(required=False, label="Club", help_text="Empty: any club.")

    class Meta:
        model = DrillRule
        exclude = ()
        widgets = {"why": forms.Textarea(attrs={"rows": 3, "cols": 90})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._offer("kind", [("", "Choose one"), *station_titles().items()])
        self._offer("measure", [("", "Choose one"), *_measures_by_station()])
        self._offer("club_class", [("", "any club"), *ClubClass.choices])
        self.fields["why"].help_text = _names_in_words()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        faults = faults_of_rule(
            kind=cleaned.get("kind", ""),
            measure=cleaned.get("measure", ""),
            when=cleaned.get("when", ""),
            why=cleaned.get("why", ""),
            known=known_measures(),
        )
        for name, words in faults.items():
            if name in cleaned:
                self.add_error(name, words)
        return cleaned

    def _offer(self, name: str, choices: list[Any]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices


def _measures_by_station() -> list[tuple[str, list[tuple[str, str]]]]:
    return [
        (station.title, [(measure.name, measure.heading) for measure in station.measures])
        for station in registry().values()
        if station.measures
    ]


def _names_in_words() -> str:
    """What `why` may name, by when the rule applies."""
    whens = [
        f"if {label}: {', '.join(f'{{{name}}}' for name in MAY_NAME[when])}"
        for when, label in DrillRule.When.choices
    ]
    return f"What the line may name: {'; '.join(whens)}."
