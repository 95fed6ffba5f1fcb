"""The small forms of the cashbook."""

from typing import Any

from django import forms

from school.actions.pay import earned_for
from school.bank_csv import references_in
from school.forms.fields import DayField, MoneyField
from school.models import BankLine, Enrolment, School, Staff
from school.queries.bank import enrolments_to_match


class MatchForm(forms.Form):
    """The enrolment that a line pays for, by its payment reference."""

    who = forms.CharField(
        max_length=200,
        label="Pays for",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="Type a name and choose, or type a reference like M000012.",
    )

    def __init__(self, *args: Any, line: BankLine, **kwargs: Any) -> None:
        kwargs["auto_id"] = f"match_{line.pk}_%s"
        super().__init__(*args, **kwargs)
        self.line = line
        self.fields["who"].widget.attrs["list"] = f"golfers-{line.currency}"

    def clean_who(self) -> Enrolment:
        named = references_in(self.cleaned_data["who"])
        found = enrolments_to_match(self.line.currency).filter(pk__in=named).first()
        if len(named) != 1 or found is None:
            raise forms.ValidationError(
                f"Choose somebody of the list, who is billed in {self.line.currency}."
            )
        return found


class WhyForm(forms.Form):
    why = forms.CharField(max_length=200, label="Why")


class DayForm(forms.Form):
    """The day that is looked at."""

    day = DayField(label="Day")


class CloseDayForm(DayForm):
    currency = forms.RegexField(r"\A[A-Z]{3}\Z")


class PayForm(forms.Form):
    """What an instructor earned or was paid: the amount itself, or hours and the rate of one."""

    kind = forms.ChoiceField(
        choices=[("earned", "earned"), ("paid", "was paid")], label="The instructor"
    )
    staff = forms.ModelChoiceField(
        Staff.objects.filter(teaches=True).select_related("account").order_by("account__full_name"),
        empty_label="Choose who",
        label="Instructor",
    )
    school = forms.ModelChoiceField(
        School.objects.order_by("-starts_on", "-pk"),
        empty_label="Choose the school",
        help_text="The amount is in its currency.",
    )
    amount = MoneyField(required=False, help_text="Or leave it empty and give hours and rate.")
    hours = forms.DecimalField(
        required=False, min_value=0, max_value=999, max_digits=6, decimal_places=2
    )
    rate = MoneyField(required=False, label="Rate of an hour")
    memo = forms.CharField(max_length=200, label="What for")

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        amount, hours, rate = (given.get(name) for name in ("amount", "hours", "rate"))
        if amount is None and hours is not None and rate is not None:
            given["amount"] = earned_for(hours, rate)
        elif amount is not None and (hours is not None or rate is not None):
            self.add_error("amount", "Give the amount, or hours and rate, not both.")
        elif amount is None and not {"amount", "hours", "rate"} & set(self.errors):
            self.add_error("amount", "Give the amount, or hours and rate.")
        return given

    def entry(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in ("staff", "school", "amount", "memo")}


class PartForm(forms.Form):
    """Which part the golfer pays online."""

    part = forms.ChoiceField(choices=[("deposit", "deposit"), ("balance", "balance")])
