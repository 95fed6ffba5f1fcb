"""What the desk chooses when it asks for a timetable."""

from typing import Any

from django import forms

from lessons.actions.plans import SEARCH_CHOICES, SEARCH_SECONDS
from lessons.models import Plan


class PlanForm(forms.Form):
    """`pins_of` is the timetable on show if sessions of it are pinned.

    While nobody is in a squad there is nothing to choose: squads are made.
    """

    seconds = forms.TypedChoiceField(
        label="Look for at most", coerce=int, choices=SEARCH_CHOICES, initial=SEARCH_SECONDS
    )
    remake_squads = forms.BooleanField(
        label="Make the squads anew",
        required=False,
        help_text="Attendees change squads at once, also under a timetable that is published, and "
        "what was moved by hand is lost. Unticked, squads stay and attendees without one are "
        "given a place.",
    )
    keep_pins = forms.BooleanField(
        label="Keep the pinned sessions",
        required=False,
        initial=True,
        help_text="They stay as they are in the timetable on show, and so do all squads.",
    )

    def __init__(
        self,
        *args: Any,
        published: bool,
        has_squads: bool,
        pins_of: Plan | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.pins_of = pins_of
        self.fields["remake_squads"].initial = not published and pins_of is None
        if not (published or has_squads):
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
        """Arguments of `request_plan`."""
        typed = self.cleaned_data
        keeps = bool(typed.get("keep_pins"))
        return {
            "seconds": typed["seconds"],
            "remake_squads": typed.get("remake_squads", not keeps),
            "pins_of": self.pins_of if keeps else None,
        }
