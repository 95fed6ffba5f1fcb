"""Where a session is to go, day by day and slot by slot."""

from typing import Any

from django import forms

from lessons.models import Bay, Instructor, Plan, Session
from lessons.queries.slots import span


class MoveForm(forms.Form):
    """Days and slots are counted from 0, as the planner does."""

    session = forms.ModelChoiceField(Session.objects.none(), widget=forms.HiddenInput)
    day = forms.TypedChoiceField(coerce=int)
    slot = forms.TypedChoiceField(label="Begins at", coerce=int)
    bay = forms.ModelChoiceField(Bay.objects.filter(is_open=True), empty_label=None)
    instructor = forms.ModelChoiceField(
        Instructor.objects.filter(staff__teaches=True).select_related("staff__account"),
        empty_label=None,
    )

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        school = plan.school
        sessions = plan.sessions.select_related("visit", "squad", "bay", "plan__school")
        self.fields["session"].queryset = sessions  # type: ignore[attr-defined]
        self.fields["day"].choices = [  # type: ignore[attr-defined]
            (number, f"{day:%A %-d %B}") for number, day in enumerate(school.dates)
        ]
        self.fields["slot"].choices = [  # type: ignore[attr-defined]
            (slot, f"{span(school, 0, slot).starts_at.astimezone(school.zone):%H:%M}")
            for slot in range(school.slots_per_day)
        ]

    def wish(self) -> dict[str, Any]:
        """Arguments of `move_session` and `objections_to_move`, but for the session."""
        return {name: self.cleaned_data[name] for name in ("day", "slot", "bay", "instructor")}

    def sentences(self) -> list[str]:
        """What is wrong with it, for whoever sees no fields."""
        own = self.non_field_errors()
        fields = [f"{field.label}: {error}" for field in self for error in field.errors]
        return [str(error) for error in own] + fields
