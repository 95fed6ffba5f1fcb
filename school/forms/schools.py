"""Setting up and changing a school."""

from datetime import date
from typing import Any
from zoneinfo import available_timezones

from django import forms

from school.forms.fields import DayField, MoneyField
from school.models import Paper, Programme, School, Staff


class SchoolForm(forms.Form):
    """The terms of a new school that the programme only suggests."""

    name = forms.CharField(max_length=120)
    starts_on = DayField(label="First day")
    lead_instructor = forms.ModelChoiceField(
        Staff.objects.filter(teaches=True, account__is_active=True)
        .select_related("account")
        .order_by("account__full_name"),
        empty_label="Choose who leads it",
    )
    venue = forms.CharField(
        max_length=160, required=False, help_text="Where golfers come to on the first day."
    )
    capacity = forms.IntegerField(min_value=1, max_value=96, label="Seats")
    price = MoneyField(min_value=0)
    deposit = MoneyField(min_value=0, help_text="Due at once from whoever gets a seat.")
    time_zone = forms.CharField(
        max_length=40,
        widget=forms.TextInput(attrs={"list": "time-zones", "autocomplete": "off"}),
        help_text="Where the school is held, like Europe/London.",
    )

    paper = forms.ChoiceField(
        choices=Paper.choices,
        required=False,
        label="Paper",
        help_text="Of reports and whatever else is printed.",
    )

    def clean_time_zone(self) -> str:
        name = str(self.cleaned_data["time_zone"])
        if name not in available_timezones():
            raise forms.ValidationError(f"“{name}” is no time zone; write it like Europe/London.")
        return name

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        price, deposit = given.get("price"), given.get("deposit")
        if price is not None and deposit is not None and deposit > price:
            self.add_error("deposit", "The deposit cannot be more than the price.")
        return given


def defaults_of(programme: Programme) -> dict[str, Any]:
    """What a school of this programme is like by itself, held where the last one was."""
    latest = School.objects.order_by("-pk").first() or School()
    return {
        "time_zone": latest.time_zone,
        "venue": latest.venue,
        "name": programme.name,
        "capacity": programme.capacity,
        "price": programme.price,
        "paper": programme.paper,
        "deposit": programme.deposit,
    }


class CapacityForm(forms.Form):
    capacity = forms.IntegerField(min_value=1, max_value=96, label="Seats")


class CloseForm(forms.Form):
    early = forms.BooleanField(required=False, label="Close it although the last day is not over")

    def __init__(self, *args: Any, school: School, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if today >= school.ends_on:
            del self.fields["early"]
