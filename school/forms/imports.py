"""Pasting or uploading a table."""

from typing import Any, ClassVar

from django import forms

from school.golfer_csv.decode import MAX_CHARACTERS


def pasted_field(label: str) -> forms.CharField:
    return forms.CharField(
        required=False,
        strip=False,
        max_length=MAX_CHARACTERS,
        label=label,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "wrap": "off"}),
    )


class TableForm(forms.Form):
    """A table as text in the field that `pasted` names, or as a file, which then wins."""

    pasted: ClassVar[str]

    upload = forms.FileField(
        required=False,
        allow_empty_file=True,
        label="Or choose a file",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,text/csv,text/plain"}),
    )

    def clean_upload(self) -> Any:
        upload = self.cleaned_data["upload"]
        if upload and upload.size > MAX_CHARACTERS * 4:
            raise forms.ValidationError("The file is too large.")
        return upload

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if not given.get(self.pasted) and not given.get("upload") and not self.errors:
            raise forms.ValidationError("Paste a list or choose a file.")
        return given

    def content(self) -> bytes | str:
        upload = self.cleaned_data["upload"]
        return upload.read() if upload else str(self.cleaned_data[self.pasted])


class ImportForm(TableForm):
    """A list of golfers."""

    pasted = "golfers"
    field_order = ("golfers", "upload")

    golfers = pasted_field("Paste the list")


class BankForm(TableForm):
    """What a bank lets one download, and the currency of lines that name none."""

    pasted = "lines"
    field_order = ("currency", "lines", "upload")

    currency = forms.ChoiceField(
        label="Currency of the account", help_text="For a file without a column of its own for it."
    )
    lines = pasted_field("Paste the lines")

    def __init__(self, *args: Any, currencies: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["currency"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(code, code) for code in currencies or ["GBP"]]
