"""Pasting or uploading a list of golfers."""

from typing import Any

from django import forms

from school.golfer_csv.decode import MAX_CHARACTERS


class ImportForm(forms.Form):
    """A list as text, or as a file, which then wins."""

    golfers = forms.CharField(
        required=False,
        strip=False,
        max_length=MAX_CHARACTERS,
        label="Paste the list",
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "wrap": "off"}),
    )
    upload = forms.FileField(
        required=False,
        allow_empty_file=True,
        label="Or choose a file",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,text/csv,text/plain"}),
    )

    def clean_upload(self) -> Any:
        upload = self.cleaned_data["upload"]
        if upload and upload.size > MAX_CHARACTERS * 4:
            raise forms.ValidationError("The file is too large for a list of golfers.")
        return upload

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if not given.get("golfers") and not given.get("upload") and not self.errors:
            raise forms.ValidationError("Paste a list or choose a file.")
        return given

    def content(self) -> bytes | str:
        upload = self.cleaned_data["upload"]
        return upload.read() if upload else str(self.cleaned_data["golfers"])
