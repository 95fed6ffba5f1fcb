"""What is entered in one attendee's ledger."""

from collections.abc import Callable

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from school.access import enrolment_for_desk, ledger_entry_for_desk
from school.actions.money import record_payment, reverse_entry
from school.actions.refunds import discount, refund
from school.forms.attendees import DiscountForm, PaymentForm, RefundForm, ReversalForm
from school.forms.refusals import attempt
from school.guards import account_of, desk_only
from school.models import LedgerEntry
from school.views.attendee_page import attendee_page, id_of
from school.wording import format_money


@desk_only
@require_POST
def payment_add(request: HttpRequest, pk: int) -> HttpResponse:
    said = "{amount} from {golfer} is recorded."
    return _enter(request, pk, "payment", form_class=PaymentForm, action=record_payment, said=said)


@desk_only
@require_POST
def discount_add(request: HttpRequest, pk: int) -> HttpResponse:
    said = "{golfer} is let off {amount}."
    return _enter(request, pk, "discount", form_class=DiscountForm, action=discount, said=said)


@desk_only
@require_POST
def refund_add(request: HttpRequest, pk: int) -> HttpResponse:
    said = "{amount} paid back to {golfer} is recorded."
    return _enter(request, pk, "refund", form_class=RefundForm, action=refund, said=said)


def _enter(
    request: HttpRequest,
    pk: int,
    name: str,
    *,
    form_class: type[Form],
    action: Callable[..., LedgerEntry],
    said: str,
) -> HttpResponse:
    enrolment = enrolment_for_desk(account_of(request), pk)
    form = form_class(request.POST, auto_id=id_of(name))
    entry = attempt(
        form,
        lambda: action(enrolment=enrolment, actor=account_of(request), **form.cleaned_data),
    )
    if entry is None:
        return attendee_page(request, enrolment, name, form)
    amount = format_money(abs(entry.amount), enrolment.school.currency)
    messages.success(request, said.format(amount=amount, golfer=enrolment.golfer))
    return redirect("enrolment", pk)


@desk_only
@require_POST
def ledger_reverse(request: HttpRequest, pk: int) -> HttpResponse:
    entry = ledger_entry_for_desk(account_of(request), pk)
    form = ReversalForm(request.POST, auto_id=id_of(f"reverse_{pk}"))
    done = attempt(
        form, lambda: reverse_entry(entry=entry, actor=account_of(request), **form.cleaned_data)
    )
    if done is None:
        enrolment = enrolment_for_desk(account_of(request), entry.enrolment_id)
        return attendee_page(request, enrolment, f"reverse_{pk}", form)
    messages.success(request, "The entry is reversed. Both stay in the ledger.")
    return redirect("enrolment", entry.enrolment_id)
