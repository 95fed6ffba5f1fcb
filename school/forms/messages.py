"""Forms about messages: the desk's note of a bounce, and the admin's templates."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms

from school.errors import TemplateRefused
from school.message_words import VARIABLES, Words, refuse_bad_words, sample_of
from school.models import MessageKind, MessageTemplate

if TYPE_CHECKING:
    TemplateForm = forms.ModelForm[MessageTemplate]
else:
    TemplateForm = forms.ModelForm


class BounceForm(forms.Form):
    why = forms.CharField(max_length=200, label="What the mail system said")


class MessageTemplateForm(TemplateForm):
    """Refuses words that could not be sent, beside the field they stand in."""

    class Meta:
        model = MessageTemplate
        fields = ("kind", "subject", "body")
        widgets = {
            "subject": forms.TextInput(attrs={"size": 80}),
            "body": forms.Textarea(attrs={"rows": 22, "cols": 90}),
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        kind = cleaned.get("kind") or self.instance.kind
        for name in ("subject", "body"):
            if kind and name in cleaned:
                try:
                    refuse_bad_words(kind, cleaned[name])
                except TemplateRefused as refused:
                    self.add_error(name, str(refused))
        return cleaned

    def sample(self) -> Words:
        """The message as it would look with invented values; for a form without errors."""
        cleaned = self.cleaned_data
        kind = cleaned.get("kind") or self.instance.kind
        return sample_of(kind, Words(cleaned["subject"], cleaned["body"]))


def variables_in_words(pk: str | None) -> list[tuple[str, str]]:
    """The words that this template may name; for a new one, those of each kind of message."""
    rows = MessageTemplate.objects.filter(pk=pk) if pk else MessageTemplate.objects.none()
    kinds = [MessageKind(row.kind) for row in rows] or list(MessageKind)
    return [
        (kind.label, ", ".join(f"{{{{ {name} }}}}" for name in VARIABLES[kind])) for kind in kinds
    ]
