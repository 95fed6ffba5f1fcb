"""The two forms of signing in by an e-mailed code."""

from django import forms


class AskForCodeForm(forms.Form):
    email = forms.EmailField(
        label="E-mail",
        widget=forms.EmailInput(attrs={"autofocus": True, "autocomplete": "email"}),
    )


class CodeForm(forms.Form):
    code = forms.RegexField(
        # Mail programs and people put a gap in the middle.
        regex=r"^\s*(\d\s*){6}$",
        label="Code",
        strip=True,
        error_messages={"invalid": "The code has six digits."},
        widget=forms.TextInput(
            attrs={
                "autofocus": True,
                "autocomplete": "one-time-code",
                "inputmode": "numeric",
                "maxlength": 12,
            }
        ),
    )
