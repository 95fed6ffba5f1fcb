"""The small forms of an attendee's page."""

from django import forms

from school.forms.fields import MoneyField
from school.models import ConsentKind, LedgerEntry


class PaymentForm(forms.Form):
    amount = MoneyField()
    method = forms.ChoiceField(choices=LedgerEntry.Method.choices, label="Paid by")
    memo = forms.CharField(max_length=200, required=False, label="Note")


class ReversalForm(forms.Form):
    why = forms.CharField(max_length=200, label="Why it is reversed")


class CancelForm(forms.Form):
    why = forms.CharField(max_length=180, label="Why it is cancelled")


class ConsentForm(forms.Form):
    kind = forms.ChoiceField(choices=ConsentKind.choices, widget=forms.HiddenInput)
    given_by = forms.CharField(max_length=120, label="Given by")
