"""A golfer's details, and enrolling with consents that each stand alone."""

from typing import Any

from django import forms

from school.details import Agreement, GolferDetails
from school.forms.fields import DayField, HandicapField
from school.golfer_csv import cells
from school.models import ConsentText, Handedness


class GolferForm(forms.Form):
    """Everything on file about a golfer but the sign-in."""

    full_name = forms.CharField(max_length=120, label="Name")
    email = forms.EmailField(
        required=False, label="E-mail", help_text="By e-mail and name a golfer is known again."
    )
    phone = forms.CharField(max_length=40, required=False, label="Telephone")
    birth_date = DayField(required=False, label="Birth date")
    handedness = forms.ChoiceField(
        choices=Handedness.choices,
        widget=forms.RadioSelect,
        label="Plays",
        error_messages={"required": "Choose right-handed or left-handed."},
    )
    handicap_index = HandicapField(
        required=False,
        label="Handicap Index",
        help_text="Like 18.4; a plus handicap like +2.1. Leave empty for none yet.",
    )
    guardian_name = forms.CharField(max_length=120, required=False, label="Guardian")
    guardian_phone = forms.CharField(max_length=40, required=False, label="Guardian's telephone")
    guardian_email = forms.EmailField(required=False, label="Guardian's e-mail")
    care_notes = forms.CharField(
        required=False,
        label="Anything a coach must know",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Injuries, hearing, sight, access, medicine to hand.",
    )
    emergency_contact = forms.CharField(max_length=160, required=False, label="In an emergency")

    def __init__(self, *args: Any, today: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_birth_date(self) -> Any:
        born = self.cleaned_data["birth_date"]
        if born is not None:
            try:
                cells.a_life_ago(born, self.today)
            except ValueError as error:
                raise forms.ValidationError(str(error)) from error
        return born

    def details(self) -> GolferDetails:
        return GolferDetails(
            **{name: self.cleaned_data[name] for name in GolferDetails.__dataclass_fields__}
        )


class EnrolForm(GolferForm):
    """A golfer's details and one box, never ticked for anybody, for each consent's text."""

    given_by = forms.CharField(
        max_length=120,
        required=False,
        label="Given by",
        help_text="Who agreed to what is ticked: the golfer, or for a minor the guardian.",
    )

    def __init__(self, *args: Any, texts: list[ConsentText], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.texts = {f"consent_{text.kind}": text for text in texts}
        for name, text in self.texts.items():
            self.fields[name] = forms.BooleanField(
                required=False, label=text.get_kind_display().capitalize(), help_text=text.body
            )

    @property
    def consent_boxes(self) -> list[forms.BoundField]:
        return [self[name] for name in self.texts]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if any(given.get(name) for name in self.texts) and not given.get("given_by"):
            self.add_error("given_by", "Say who gave the consents.")
        return given

    def agreement(self) -> Agreement:
        kinds = {text.kind for name, text in self.texts.items() if self.cleaned_data[name]}
        return Agreement(frozenset(kinds), self.cleaned_data["given_by"])
