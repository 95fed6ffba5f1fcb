"""What the desk chooses when it asks for a timetable."""

from typing import Any

from django import forms

from lessons.actions.plans import SEARCH_SECONDS


class PlanForm(forms.Form):
    seconds = forms.TypedChoiceField(
        label="Look for at most",
        coerce=int,
        choices=[(SEARCH_SECONDS, "20 seconds"), (60, "one minute"), (120, "two minutes")],
        initial=SEARCH_SECONDS,
    )
    remake_squads = forms.BooleanField(
        label="Make the squads anew",
        required=False,
        help_text="Attendees change squads at once, under the timetable that is published now. "
        "Unticked, squads stay and attendees without one are given a place.",
    )

    def __init__(self, *args: Any, published: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not published:
            del self.fields["remake_squads"]

    def wish(self) -> dict[str, Any]:
        """Arguments of `request_plan`. Until a timetable is published, squads are made anew."""
        return {"remake_squads": True, **self.cleaned_data}
