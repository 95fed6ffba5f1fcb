"""The small forms of an attendee's page."""

from django import forms

from school.forms.fields import MoneyField
from school.models import ConsentKind, LedgerEntry

# What is paid online enters the ledger by itself.
AT_THE_DESK = [row for row in LedgerEntry.Method.choices if row[0] != LedgerEntry.Method.ONLINE]


class PaymentForm(forms.Form):
    amount = MoneyField()
    method = forms.ChoiceField(choices=AT_THE_DESK, label="Paid by")
    memo = forms.CharField(max_length=200, required=False, label="Note")


class DiscountForm(forms.Form):
    amount = MoneyField(label="Amount let off")
    why = forms.CharField(max_length=200, label="What it is for")


class RefundForm(forms.Form):
    amount = MoneyField(label="Amount paid back")
    method = forms.ChoiceField(choices=LedgerEntry.Method.choices, label="Paid back by")
    memo = forms.CharField(max_length=200, required=False, label="Note")


class ReversalForm(forms.Form):
    why = forms.CharField(max_length=200, label="Why it is reversed")


class CancelForm(forms.Form):
    """`kept` is what the person was shown to be kept, and has thereby agreed to."""

    why = forms.CharField(max_length=180, label="Why it is cancelled")
    kept = forms.DecimalField(widget=forms.HiddenInput)


class OutOfTurnForm(forms.Form):
    why = forms.CharField(max_length=200, label="Why it is done out of turn")


class ConsentForm(forms.Form):
    kind = forms.ChoiceField(choices=ConsentKind.choices, widget=forms.HiddenInput)
    given_by = forms.CharField(max_length=120, label="Given by")
