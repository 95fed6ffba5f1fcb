"""The form that sends a still."""

from typing import Any

from django import forms

from assessments.models import ClubClass, ShotKind

ACCEPTED = "image/jpeg,image/png,image/webp"


class StillForm(forms.Form):
    """A picture from the device, or one taken now. Whether it can be used is for the action."""

    still_id = forms.UUIDField(widget=forms.HiddenInput)
    club_class = forms.ChoiceField(label="Club", choices=ClubClass.choices, initial="iron")
    shot_kind = forms.ChoiceField(label="Shot", choices=ShotKind.choices)
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

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not (data.get("picture") or data.get("taken")) and not self.has_error("picture"):
            self.add_error("picture", "Choose the still, or take it now.")
        return data

    @property
    def upload(self) -> Any:
        return self.cleaned_data["picture"] or self.cleaned_data["taken"]
