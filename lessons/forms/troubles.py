"""What the desk says when something upsets a timetable, and when it asks to plan again."""

from datetime import date, datetime
from typing import Any

from django import forms
from django.utils.text import capfirst

from lessons.actions.plans import SEARCH_CHOICES, SEARCH_SECONDS
from lessons.forms.fields import ClockField
from lessons.forms.squads import AttendeeField, seated
from lessons.models import Bay, Instructor, Trouble
from lessons.queries.slots import all_slots
from lessons.queries.troubles import starts_to_come
from school.models import School


class TroubleForm(forms.Form):
    kind = forms.ChoiceField(
        label="What happens",
        choices=[(kind.value, capfirst(kind.label)) for kind in Trouble.Kind],
        help_text="Choose below whom or what it is about; the rain is everybody's.",
    )
    instructor = forms.ModelChoiceField(
        Instructor.objects.select_related("staff__account"),
        required=False,
        empty_label="No instructor",
    )
    bay = forms.ModelChoiceField(Bay.objects.all(), required=False, empty_label="No bay")
    enrolment = AttendeeField(label="Golfer", required=False, empty_label="No golfer")
    first_day = forms.TypedChoiceField(label="From day", coerce=date.fromisoformat)
    starts = ClockField(label="From time")
    last_day = forms.TypedChoiceField(
        label="Until day",
        coerce=date.fromisoformat,
        help_text="As it stands, until the school ends.",
    )
    ends = ClockField(label="Until time")
    note = forms.CharField(max_length=120, required=False)

    def __init__(self, *args: Any, school: School, now: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.school = school
        days = [(day.isoformat(), f"{day:%A %-d %B}") for day in school.dates]
        self.fields["enrolment"].queryset = seated(school)  # type: ignore[attr-defined]
        for name in ("first_day", "last_day"):
            self.fields[name].choices = days  # type: ignore[attr-defined]
        ahead = [*starts_to_come(school, now), *[s.starts_at for s in all_slots(school).values()]]
        first = ahead[0].astimezone(school.zone)
        last = max(slot.ends_at for slot in all_slots(school).values()).astimezone(school.zone)
        self.initial = {
            **self.initial,
            "first_day": first.date().isoformat(),
            "starts": first.time(),
            "last_day": last.date().isoformat(),
            "ends": last.time(),
        }

    def wish(self) -> dict[str, Any]:
        """Arguments of `note_trouble`; times are local to the school."""
        typed, zone = self.cleaned_data, self.school.zone
        return {
            **{name: typed[name] for name in ("kind", "instructor", "bay", "enrolment", "note")},
            "starts_at": datetime.combine(typed["first_day"], typed["starts"], zone),
            "ends_at": datetime.combine(typed["last_day"], typed["ends"], zone),
        }


class ReplanForm(forms.Form):
    """From which slot on, under the field name `from`; empty once nothing is left to plan."""

    seconds = forms.TypedChoiceField(
        label="Look for at most", coerce=int, choices=SEARCH_CHOICES, initial=SEARCH_SECONDS
    )

    def __init__(self, *args: Any, school: School, now: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        starts = starts_to_come(school, now)
        following = [at for at in starts if at >= now]
        self.fields["from"] = forms.TypedChoiceField(
            label="Plan again from",
            coerce=datetime.fromisoformat,
            choices=[(at.isoformat(), _in_words(at, school, now)) for at in starts],
            initial=following[0].isoformat() if following else None,
            help_text="What begins earlier stays as it is.",
        )
        self.order_fields(["from", "seconds"])
        self.has_any = bool(starts)

    def wish(self) -> dict[str, Any]:
        """Arguments of `request_replan`."""
        return {"kept_before": self.cleaned_data["from"], "seconds": self.cleaned_data["seconds"]}


def _in_words(starts_at: datetime, school: School, now: datetime) -> str:
    local = starts_at.astimezone(school.zone)
    words = f"{local:%A %-d %B, %H:%M}"
    return f"{words} (the slot that is on now)" if starts_at < now else words
