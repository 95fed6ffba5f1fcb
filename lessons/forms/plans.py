"""What the desk chooses when it asks for a timetable."""

from typing import Any

from django import forms

from lessons.actions.plans import SEARCH_CHOICES, SEARCH_SECONDS
from lessons.models import Plan


class PlanForm(forms.Form):
    """`pins_of` is the timetable on show if sessions of it are pinned."""

    seconds = forms.TypedChoiceField(
        label="Look for at most", coerce=int, choices=SEARCH_CHOICES, initial=SEARCH_SECONDS
    )
    remake_squads = forms.BooleanField(
        label="Make the squads anew",
        required=False,
        help_text="Attendees change squads at once, under the timetable that is published now. "
        "Unticked, squads stay and attendees without one are given a place.",
    )
    keep_pins = forms.BooleanField(
        label="Keep the pinned sessions",
        required=False,
        initial=True,
        help_text="They stay as they are in the timetable on show, and so do all squads.",
    )

    def __init__(
        self, *args: Any, published: bool, pins_of: Plan | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.pins_of = pins_of
        if not published:
            del self.fields["remake_squads"]
        if pins_of is None:
            del self.fields["keep_pins"]

    def clean(self) -> dict[str, Any]:
        typed = super().clean() or {}
        if typed.get("keep_pins") and typed.get("remake_squads"):
            self.add_error(
                "remake_squads", "Pinned sessions belong to squads: untick this or the pins."
            )
        return typed

    def wish(self) -> dict[str, Any]:
        """Arguments of `request_plan`. Until a timetable is published, squads are made anew."""
        typed = self.cleaned_data
        keeps = bool(typed.get("keep_pins"))
        return {
            "seconds": typed["seconds"],
            "remake_squads": typed.get("remake_squads", not keeps),
            "pins_of": self.pins_of if keeps else None,
        }
