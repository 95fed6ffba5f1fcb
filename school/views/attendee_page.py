"""One attendee's page, on which the forms of several views stand."""

from decimal import Decimal
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from school.forms.attendees import (
    ConsentForm,
    DiscountForm,
    OutOfTurnForm,
    PaymentForm,
    RefundForm,
    ReversalForm,
)
from school.models import Enrolment, School
from school.queries.consents import consent_lines
from school.queries.messages import messages_of
from school.queries.money import enrolment_money, instalments, ledger_lines
from school.wording import format_balance


class PageForms:
    """The empty forms of the page, but for the one that was just refused. Each has a name."""

    def __init__(self, refused: str, form: Form | None) -> None:
        self.refused = refused
        self._form = form

    def form(self, name: str, form_class: type[Form], /, **initial: Any) -> Form:
        if self._form is not None and self.refused == name:
            return self._form
        return form_class(auto_id=id_of(name), initial=initial)


def id_of(name: str) -> str:
    """The ids of a named form's fields, so that no two on the page are the same."""
    return f"{name}_%s"


def attendee_page(
    request: HttpRequest, enrolment: Enrolment, refused: str = "", form: Form | None = None
) -> HttpResponse:
    """The page, with the form named `refused` as it was typed."""
    forms = PageForms(refused, form)
    golfer, school = enrolment.golfer, enrolment.school
    is_minor = golfer.is_minor_on(school.starts_on)
    giver = golfer.guardian_name if is_minor else golfer.full_name
    context: dict[str, Any] = {
        "enrolment": enrolment,
        "golfer": golfer,
        "school": school,
        "is_minor": is_minor,
        "is_live": enrolment.state in Enrolment.LIVE,
        "may_change": enrolment.state in Enrolment.LIVE and school.state != School.State.CLOSED,
        "refused": refused,
        "consents": [
            (line, forms.form(line.kind, ConsentForm, kind=line.kind, given_by=giver))
            for line in consent_lines(enrolment)
        ],
        "seat_form": forms.form("seat", OutOfTurnForm),
        "offer_form": forms.form("offer", OutOfTurnForm),
        "sent": messages_of(enrolment),
        **_money(enrolment, forms),
    }
    return render(request, "school/attendee.html", context)


def _money(enrolment: Enrolment, forms: PageForms) -> dict[str, Any]:
    sums = enrolment_money(enrolment)
    owed_back = max(Decimal(0), -sums.due)
    owes = {"amount": sums.due} if sums.due > 0 else {}
    lines = ledger_lines(enrolment)
    return {
        "sums": sums,
        "balance": format_balance(sums.due, enrolment.school.currency),
        "instalments": instalments(enrolment, sums),
        "owed_back": owed_back,
        "lines": [(line, forms.form(f"reverse_{line.entry.pk}", ReversalForm)) for line in lines],
        "reversing": forms.refused.removeprefix("reverse_"),
        "payment_form": forms.form("payment", PaymentForm, **owes),
        "discount_form": forms.form("discount", DiscountForm),
        "refund_form": forms.form("refund", RefundForm, amount=owed_back),
    }
