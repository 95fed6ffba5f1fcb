"""The pages on which somebody enrols, and the trap for what is no person."""

import time
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core import signing

from school.details import (
    NEEDED_TO_JOIN,
    Agreement,
    GolferDetails,
    Wishes,
    refuse_wrong_giver,
)
from school.errors import MarramError
from school.forms.golfers import GolferForm
from school.models import ConsentKind, ConsentText, EnrolmentDraft, Golfer
from school.models.people import ADULT_YEARS
from school.wording import format_handicap

LEAST_SECONDS = 3
MOST_WORDS = 2000
NOT_TICKED = {
    ConsentKind.TERMS: "Without the terms nobody can join. Read them and tick the box.",
    ConsentKind.RISK: "Without this nobody can take part. Read it and tick the box.",
}


class TrapForm(forms.Form):
    """Catches programs that fill in forms: a field no person sees, and a clock."""

    SALT = "school.enrolment-began"

    website = forms.CharField(required=False)
    began = forms.CharField(required=False, widget=forms.HiddenInput)

    @classmethod
    def set_now(cls) -> "TrapForm":
        return cls(initial={"began": signing.dumps(time.time(), salt=cls.SALT)})

    def caught(self) -> str:
        """What to say to whoever stepped into it; nothing for a person."""
        if not self.is_valid() or self.cleaned_data["website"]:
            return "A field that people do not see was filled in. Press the button again."
        try:
            began = signing.loads(self.cleaned_data["began"], salt=self.SALT)
        except signing.BadSignature:
            return "This page was not opened here. Press the button again."
        if time.time() - began < LEAST_SECONDS:
            return "That was quicker than anybody types. Look it through and press again."
        return ""


class YouForm(GolferForm):
    """Page 1: who comes, and for a minor the guardian."""

    field_order = ["full_name", "email", "phone", "birth_date", "handedness", "handicap_index"]

    full_name = forms.CharField(
        max_length=120,
        label="Name of the golfer",
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    email = forms.EmailField(
        label="E-mail", widget=forms.EmailInput(attrs={"autocomplete": "email"})
    )
    phone = forms.CharField(
        max_length=40,
        label="Telephone",
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "tel"}),
    )
    no_handicap = forms.BooleanField(required=False, label="None yet")
    guardian_name = forms.CharField(max_length=120, required=False, label="Guardian's name")
    care_notes = None  # type: ignore[assignment]
    emergency_contact = None  # type: ignore[assignment]

    def __init__(self, *args: Any, first_day: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.first_day = first_day
        self.fields["birth_date"].required = True
        self.fields["birth_date"].widget.attrs["autocomplete"] = "bday"
        self.fields["guardian_phone"].widget.input_type = "tel"
        self.fields["handicap_index"].help_text = "Like 18.4; a plus handicap like +2.1."
        # The keyboard for decimals has no plus on most phones.
        self.fields["handicap_index"].widget.attrs["inputmode"] = "text"

    @property
    def is_minor(self) -> bool:
        """Whether the golfer is under 18 on the first day, as far as the form knows."""
        born = getattr(self, "cleaned_data", {}).get("birth_date")
        return Golfer(birth_date=born).is_minor_on(self.first_day)

    def clean_full_name(self) -> str:
        name = " ".join(str(self.cleaned_data["full_name"]).split())
        if any(letter in name for letter in "/@<>{}"):  # it is also written into e-mails
            raise forms.ValidationError("Write the name alone.")
        return name

    def clean_phone(self) -> str:
        return _with_digits(self.cleaned_data["phone"])

    def clean_guardian_phone(self) -> str:
        return _with_digits(self.cleaned_data["guardian_phone"])

    def clean_guardian_email(self) -> str:
        return str(self.cleaned_data["guardian_email"]).lower()

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        self._clean_handicap(given)
        guardian = ("guardian_name", "guardian_phone", "guardian_email")
        for name in guardian:
            if not self.is_minor:
                given[name] = ""  # an adult has none, whatever a hidden field still says
                self.errors.pop(name, None)
            elif not given.get(name) and name not in self.errors:
                self.add_error(
                    name,
                    f"Who is under {ADULT_YEARS} on the first day comes only with a guardian: "
                    "fill this in.",
                )
        return given

    def _clean_handicap(self, given: dict[str, Any]) -> None:
        if "handicap_index" in self.errors:
            return
        has_none, index = given["no_handicap"], given["handicap_index"]
        if has_none and index is not None:
            self.add_error("handicap_index", "Write a Handicap Index or tick “None yet”, not both.")
        elif not has_none and index is None:
            self.add_error("handicap_index", "Write it, or tick “None yet”.")


class GolfForm(forms.Form):
    """Page 2: the golfer's golf, and what must be known to look after them."""

    goals = forms.CharField(
        required=False,
        max_length=MOST_WORDS,
        label="What you want from these days",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    care_notes = forms.CharField(
        required=False,
        max_length=MOST_WORDS,
        label="Injuries, and anything a coach must know",
        help_text="Also hearing, sight, access, medicine to hand. Only our own people read it.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    emergency_contact = forms.CharField(
        max_length=160, label="In an emergency we call", help_text="A name and a telephone number."
    )
    wants_club_hire = forms.BooleanField(required=False, label="I want to hire clubs")
    diet = forms.CharField(required=False, max_length=200, label="What you do not eat")
    keep_together = forms.CharField(
        required=False, max_length=200, label="Keep me together with", help_text="Names, if any."
    )

    def clean_emergency_contact(self) -> str:
        return _with_digits(self.cleaned_data["emergency_contact"])

    def wishes(self) -> Wishes:
        return Wishes(
            **{name: self.cleaned_data[name] for name in Wishes.__dataclass_fields__},
        )


class ConsentBox(forms.CheckboxInput):
    """A box whose value is the version of the text beside it, so that a tick says what was read."""

    def __init__(self, version: int) -> None:
        self.version = str(version)
        super().__init__(check_test=lambda value: value == self.version)

    def format_value(self, value: Any) -> str:
        return self.version

    def value_from_datadict(  # type: ignore[override]
        self, data: Any, files: Any, name: str
    ) -> str:
        return str(data.get(name, ""))


class ConsentField(forms.Field):
    """One consent to one version of a text."""

    widget: ConsentBox

    def __init__(self, text: ConsentText) -> None:
        self.text = text
        self.is_needed = text.kind in NEEDED_TO_JOIN
        label = text.get_kind_display()
        super().__init__(
            required=self.is_needed, label=label.capitalize(), widget=ConsentBox(text.version)
        )
        if self.is_needed:
            self.error_messages["required"] = NOT_TICKED[ConsentKind(text.kind)]

    def clean(self, value: Any) -> bool:
        given = super().clean(value)
        if given and given != self.widget.version:
            raise forms.ValidationError(
                "The words have changed since you ticked the box. Read them, and tick it if you "
                "still agree."
            )
        return bool(given)


class ConsentsForm(forms.Form):
    """Page 3: each consent with its own text and box, and who gives them."""

    given_by = forms.CharField(
        max_length=120,
        label="Who agrees",
        help_text="Type your name.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(
        self, *args: Any, texts: list[ConsentText], guardian: str | None, **kwargs: Any
    ) -> None:
        """`guardian` is None for an adult, who signs alone."""
        super().__init__(*args, **kwargs)
        self.guardian = guardian
        self.texts = texts
        for text in texts:
            self.fields[text.kind] = ConsentField(text)
        self.order_fields([*(text.kind for text in texts), "given_by"])
        if guardian is not None:
            self.fields["given_by"].help_text = (
                "The golfer is a minor on the first day: the guardian types their own name, "
                "as on the first page."
            )

    @property
    def boxes(self) -> list[forms.BoundField]:
        return [self[text.kind] for text in self.texts]

    def clean_given_by(self) -> str:
        given_by = " ".join(str(self.cleaned_data["given_by"]).split())
        try:
            refuse_wrong_giver(self.guardian, given_by)
        except MarramError as refused:
            raise forms.ValidationError(str(refused)) from refused
        return given_by

    def clean(self) -> dict[str, Any]:
        if not {text.kind for text in self.texts} >= NEEDED_TO_JOIN:
            raise forms.ValidationError(
                "The school has not written its terms yet, so nobody can join here. "
                "Ask the front desk."
            )
        return super().clean() or self.cleaned_data

    def agreement(self) -> Agreement:
        kinds = {text.kind for text in self.texts if self.cleaned_data[text.kind]}
        return Agreement(frozenset(kinds), self.cleaned_data["given_by"])

    def versions(self) -> dict[str, int]:
        """The version of each text on the page, by its kind."""
        return {text.kind: text.version for text in self.texts}


class SendForm(forms.Form):
    """Page 4: the button says what it asks for."""

    may_wait = forms.BooleanField(required=False, widget=forms.HiddenInput)


@dataclass(frozen=True)
class Pages:
    """The three pages that are filled in, with what the draft remembers of them."""

    you: YouForm
    golf: GolfForm
    consents: ConsentsForm

    def first_unfinished(self) -> str | None:
        """The page to go on with; None if all is there to be sent."""
        forms_in_order = (("you", self.you), ("golf", self.golf), ("consents", self.consents))
        return next((name for name, form in forms_in_order if not form.is_valid()), None)

    def details(self) -> GolferDetails:
        given = {**self.you.cleaned_data, **self.golf.cleaned_data}
        return GolferDetails(
            **{name: given[name] for name in GolferDetails.__dataclass_fields__},
        )


def pages_of(draft: EnrolmentDraft, texts: list[ConsentText], today: date) -> Pages:
    """The pages as the draft remembers them. Unseen ones are empty, and no box is ticked."""
    answers = draft.answers
    you = YouForm(answers.get("you"), today=today, first_day=draft.school.starts_on)
    guardian = you.cleaned_data["guardian_name"] if you.is_valid() and you.is_minor else None
    return Pages(
        you,
        GolfForm(answers.get("golf")),
        ConsentsForm(answers.get("consents"), texts=texts, guardian=guardian),
    )


def in_words(form: forms.Form) -> list[tuple[str, str]]:
    """Each field of a valid form as a label and what was answered, if anything was."""
    answers = []
    for name, field in form.fields.items():
        value = form.cleaned_data[name]
        if isinstance(field, ConsentField):
            answers.append((str(field.label), "I agree" if value else "no"))
        elif value not in ("", None, False):
            answers.append((str(field.label), _word(field, value)))
    return answers


def _word(field: forms.Field, value: Any) -> str:
    if value is True:
        return "yes"
    if isinstance(value, Decimal):
        return format_handicap(value)
    if isinstance(value, date):
        return f"{value:%-d %B %Y}"
    if isinstance(field, forms.ChoiceField):
        return str(dict(field.choices)[value])  # type: ignore[arg-type]
    return str(value)


def _with_digits(words: str) -> str:
    """Refuse a telephone number without one."""
    if words and sum(letter.isdigit() for letter in words) < 5:
        raise forms.ValidationError("Write the telephone number with its digits.")
    return words
