"""Taking a bay or an instructor on a day of a school for something else."""

from datetime import date, datetime
from typing import Any

from django import forms

from lessons.forms.fields import ClockField
from lessons.models import Bay, Instructor
from school.models import School


class HoldForm(forms.Form):
    note = forms.CharField(
        label="What for", max_length=120, help_text="For example a private lesson or a repair."
    )
    bay = forms.ModelChoiceField(Bay.objects.all(), required=False, empty_label="No bay")
    instructor = forms.ModelChoiceField(
        Instructor.objects.select_related("staff__account"),
        required=False,
        empty_label="No instructor",
    )
    day = forms.TypedChoiceField(coerce=date.fromisoformat)
    starts = ClockField(label="From")
    ends = ClockField(label="To")

    def __init__(self, *args: Any, school: School, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.school = school
        self.fields["day"].choices = [  # type: ignore[attr-defined]
            (day.isoformat(), f"{day:%A %-d %B}") for day in school.dates
        ]

    def wish(self) -> dict[str, Any]:
        """Arguments of `take_holds`; times are local to the school."""
        typed = self.cleaned_data
        zone = self.school.zone
        return {
            "note": typed["note"],
            "bay": typed["bay"],
            "instructor": typed["instructor"],
            "starts_at": datetime.combine(typed["day"], typed["starts"], zone),
            "ends_at": datetime.combine(typed["day"], typed["ends"], zone),
        }
