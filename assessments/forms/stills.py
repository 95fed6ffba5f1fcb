"""The forms that send a still. Whether its picture can be used is for the action."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from assessments.models import ClubClass, FilmingPlace, ShotKind
from lessons.models import Phase
from school.models import Enrolment

ACCEPTED = "image/jpeg,image/png,image/webp"


class StillDetails(forms.Form):
    """What is said of a still beside its picture."""

    still_id = forms.UUIDField(widget=forms.HiddenInput)
    club_class = forms.ChoiceField(label="Club", choices=ClubClass.choices, initial="iron")
    shot_kind = forms.ChoiceField(label="Shot", choices=ShotKind.choices)
    filming_place = forms.ModelChoiceField(
        FilmingPlace.objects.filter(is_in_use=True),
        label="Filmed at",
        required=False,
        empty_label="no set place",
        error_messages={
            "invalid_choice": "This filming place is not in use any more. Choose another."
        },
    )


class StillForm(StillDetails):
    """A picture from the device, or one taken now; or two frames chosen from a clip."""

    picture = forms.FileField(
        label="The still",
        required=False,
        widget=forms.FileInput(attrs={"accept": ACCEPTED}),
        help_text="The frame at impact, filmed face-on: JPEG or PNG, up to 20 MB.",
    )
    taken = forms.FileField(
        label="Or take it with this device",
        required=False,
        widget=forms.FileInput(attrs={"accept": ACCEPTED, "capture": "environment"}),
    )
    picture_before = forms.FileField(
        label="The frame before the strike, if there is one",
        required=False,
        widget=forms.FileInput(attrs={"accept": ACCEPTED}),
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not (data.get("picture") or data.get("taken")) and not self.has_error("picture"):
            self.add_error("picture", "Choose the still, or take it now.")
        return data

    @property
    def upload(self) -> Any:
        return self.cleaned_data["picture"] or self.cleaned_data["taken"]


class BulkStillForm(StillDetails):
    """One of many stills: whose it is and of which phase is chosen beside it."""

    enrolment = forms.ModelChoiceField(
        Enrolment.objects.none(),
        label="Golfer",
        empty_label="whose is it?",
        error_messages={
            "required": "Choose the golfer.",
            "invalid_choice": "This golfer has no seat in the school any more.",
        },
    )
    phase = forms.ChoiceField(label="Phase", choices=[("", "when?"), *Phase.choices])
    picture = forms.FileField(
        label="The still", error_messages={"required": "The picture did not arrive. Send it again."}
    )
    field_order = ["enrolment", "phase", "club_class", "shot_kind", "filming_place"]

    def __init__(self, *args: Any, attendees: QuerySet[Enrolment], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["enrolment"].queryset = attendees  # type: ignore[attr-defined]
        self.fields["enrolment"].label_from_instance = lambda each: str(each.golfer)  # type: ignore[attr-defined]
