"""An instrument's table: the table itself, which column is which, and the clubs in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from django import forms
from django.forms import BoundField

from assessments.flight_csv import CARRY, CLUB, COLUMNS, Column, Reading, club_called, units_of
from assessments.models import Instrument
from assessments.stations.ball_flight_form import club_choices
from school.forms.imports import TableForm, pasted_field

SIDES = (("1", "to the right"), ("-1", "to the left"))
DECIMALS = (("", "as the table tells"), (".", "a point"), (",", "a comma"))
LEFT_OUT = "-"


class FlightTableForm(TableForm):
    """A table as text or as a file, and the instrument that wrote it."""

    pasted = "table"
    field_order = ("instrument", "upload", "table")

    instrument = forms.ModelChoiceField(
        Instrument.objects.all(),
        required=False,
        empty_label="Another one: go by the headings",
        label="Instrument",
    )
    table = pasted_field("Or paste the table")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["upload"].label = "Choose a file"


@dataclass(frozen=True)
class ColumnRow:
    """The fields for one quantity; `unit` is None if it is written in one way only."""

    column: BoundField
    unit: BoundField | None


class QuantitiesForm(forms.Form):
    """Which column gives which quantity, in what unit, and what + means to the side."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for column in (CLUB, *COLUMNS):
            self.fields[f"column_{column.key}"] = self.heading_field(column)
            units = units_of(column)
            if len(units) > 1:
                self.fields[f"unit_{column.key}"] = forms.ChoiceField(
                    required=False,
                    label=f"{column.title.capitalize()} is in",
                    choices=[("", "choose"), *((unit.key, unit.title) for unit in units)],
                )
        self.fields["side_sign"] = forms.ChoiceField(
            label="A plus means",
            choices=SIDES,
            help_text="Of side, path and face, as the golfer looks along the target line. "
            "The letters L and R say it themselves.",
        )

    def heading_field(self, column: Column) -> forms.Field:
        raise NotImplementedError

    def rows(self) -> list[ColumnRow]:
        return [
            ColumnRow(
                self[f"column_{column.key}"],
                self[name] if (name := f"unit_{column.key}") in self.fields else None,
            )
            for column in (CLUB, *COLUMNS)
        ]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if not given.get(f"column_{CARRY.key}"):
            self.add_error(f"column_{CARRY.key}", "Say which column is the carry.")
        for column in COLUMNS:
            unit = f"unit_{column.key}"
            is_open = unit in self.fields and not given.get(unit)
            if given.get(f"column_{column.key}") and is_open and not self.has_error(unit):
                self.add_error(unit, f"Say what the {column.title} is written in.")
        return given

    def reading(self) -> Reading:
        typed = self.cleaned_data
        columns = {
            column.key: typed[f"column_{column.key}"]
            for column in (CLUB, *COLUMNS)
            if typed[f"column_{column.key}"]
        }
        units = {
            column.key: typed.get(f"unit_{column.key}") or units_of(column)[0].key
            for column in COLUMNS
            if column.key in columns
        }
        return Reading(columns, units, int(typed["side_sign"]), typed.get("decimal", ""))

    @staticmethod
    def data_of(
        columns: Mapping[str, str], units: Mapping[str, str], side_sign: int
    ) -> dict[str, Any]:
        """What the form would send for this reading."""
        return {
            **{f"column_{key}": heading for key, heading in columns.items()},
            **{f"unit_{key}": unit for key, unit in units.items()},
            "side_sign": str(side_sign),
        }


class ColumnsForm(QuantitiesForm):
    """The quantities in the columns of one table; under a name they are kept as an instrument."""

    decimal = forms.ChoiceField(
        label="Before the decimals stands", choices=DECIMALS, required=False
    )
    instrument_name = forms.CharField(
        label="Keep this as",
        max_length=60,
        required=False,
        help_text="A name for the instrument; its next table is then read the same way.",
    )

    def __init__(self, *args: Any, headings: Iterable[str], **kwargs: Any) -> None:
        self.headings = list(headings)
        super().__init__(*args, **kwargs)

    def heading_field(self, column: Column) -> forms.Field:
        return forms.ChoiceField(
            required=False,
            label=column.title.capitalize(),
            choices=[("", "not in the table"), *((each, each) for each in self.headings)],
        )

    def clean(self) -> dict[str, Any]:
        given = super().clean()
        used: dict[str, str] = {}
        for column in (CLUB, *COLUMNS):
            heading = given.get(f"column_{column.key}")
            if heading and used.setdefault(heading, column.title) != column.title:
                words = f"This column is the {used[heading]} already."
                self.add_error(f"column_{column.key}", words)
        return given


class InstrumentForm(QuantitiesForm):
    """An instrument that was kept: its name, and the heading of each quantity as it writes it."""

    name = forms.CharField(label="Name", max_length=60)

    def heading_field(self, column: Column) -> forms.Field:
        return forms.CharField(required=False, label=column.title.capitalize(), max_length=200)


class ClubsForm(forms.Form):
    """Which club each name in the table means; clubs are never pooled."""

    def __init__(self, *args: Any, clubs: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.clubs = clubs
        for club in clubs:
            self.fields[_field_of(club)] = forms.ChoiceField(
                label=club or "Club",
                choices=[*club_choices(), (LEFT_OUT, "leave these shots out")],
                error_messages={"required": "Say which club was hit, or leave its shots out."},
            )

    def codes(self) -> dict[str, str]:
        """The code of each club whose shots are wanted, or its class if no more is known."""
        chosen = {club: self.cleaned_data[_field_of(club)] for club in self.clubs}
        return {club: value for club, value in chosen.items() if value != LEFT_OUT}

    @staticmethod
    def data_of(clubs: Iterable[str], typed: Mapping[str, Any]) -> dict[str, Any]:
        """What was chosen of each club, or else what its name tells."""
        return {(name := _field_of(club)): typed.get(name) or club_called(club) for club in clubs}


def _field_of(club: str) -> str:
    return f"club_{sha256(club.encode()).hexdigest()[:12]}"
