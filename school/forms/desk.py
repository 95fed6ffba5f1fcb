"""Forms of the desk's pages about people: merging, moving, the trail, files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from school.actions.merge import FIELDS, JOINED, Side
from school.forms.fields import DayField
from school.forms.golfers import GolferForm
from school.models import Account, Golfer, Handedness, School
from school.queries.audit import TrailFilter, actors, verbs_used
from school.queries.exports import Column
from school.queries.golfers import details_of
from school.wording import format_handicap


class MergeForm(forms.Form):
    """One choice for each field in which the two golfers differ; the one who stays goes first."""

    def __init__(self, *args: Any, keep: Golfer, gone: Golfer, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        mine, theirs = details_of(keep), details_of(gone)
        self.alike: list[tuple[str, str]] = []
        for name in FIELDS:
            one, other = getattr(mine, name), getattr(theirs, name)
            label = GolferForm.base_fields[name].label or name
            if one == other:
                self.alike.append((str(label), _shown(name, one)))
                continue
            choices = [("keep", _shown(name, one)), ("gone", _shown(name, other))]
            if name == JOINED and one and other:
                choices.append(("both", "both, one below the other"))
            self.fields[name] = forms.ChoiceField(
                choices=choices,
                widget=forms.RadioSelect(
                    attrs={"class": "form-check-input", "aria-describedby": f"id_{name}_detail"}
                ),
                label=label,
                initial=choices[-1][0] if one in ("", None) or len(choices) > 2 else "keep",
            )

    def take(self) -> dict[str, Side]:
        return dict(self.cleaned_data)


class MoveForm(forms.Form):
    to = forms.ModelChoiceField(
        School.objects.none(), label="To which school", empty_label="Choose a school"
    )

    def __init__(self, *args: Any, schools: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["to"].queryset = schools  # type: ignore[attr-defined]


class TrailForm(forms.Form):
    """What of the trail to show; every field may stay empty."""

    actor = forms.ModelChoiceField(
        Account.objects.none(), required=False, label="Done by", empty_label="anybody"
    )
    school = forms.ModelChoiceField(
        School.objects.all(), required=False, label="School", empty_label="any school"
    )
    golfer = forms.ModelChoiceField(Golfer.objects.all(), required=False, widget=forms.HiddenInput)
    verb = forms.ChoiceField(required=False, label="What was done")
    since = DayField(required=False, label="From")
    until = DayField(required=False, label="To")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["actor"].queryset = actors()  # type: ignore[attr-defined]
        words = [(verb, verb.replace("_", " ")) for verb in verbs_used()]
        self.fields["verb"].choices = [("", "anything"), *words]  # type: ignore[attr-defined]

    def wanted(self) -> TrailFilter:
        return TrailFilter(**self.cleaned_data)


class ExportForm(forms.Form):
    """One box for each column; what only few need is not ticked."""

    columns = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        label="Columns",
        error_messages={"required": "Tick at least one column."},
    )

    def __init__(self, *args: Any, columns: Sequence[Column[Any]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["columns"].choices = [(c.key, c.title) for c in columns]  # type: ignore[attr-defined]
        self.fields["columns"].initial = [c.key for c in columns if not c.is_private]


class SearchForm(forms.Form):
    q = forms.CharField(
        required=False,
        max_length=120,
        label="Name, e-mail, telephone or guardian",
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )


def _shown(name: str, value: Any) -> str:
    if value in ("", None) and name != "handicap_index":
        return "nothing"
    if name == "handicap_index":
        return format_handicap(value)
    if name == "handedness":
        return str(Handedness(value).label)
    if name == "birth_date":
        return f"{value:%-d %B %Y}"
    return str(value)
