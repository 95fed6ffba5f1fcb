"""What is entered in one attendee's ledger."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from school.access import enrolment_for_desk, ledger_entry_for_desk
from school.actions.money import record_payment, reverse_entry
from school.actions.refunds import discount, refund
from school.forms.attendees import DiscountForm, PaymentForm, RefundForm, ReversalForm
from school.forms.refusals import attempt
from school.guards import account_of, desk_only
from school.views.attendee_page import attendee_page, id_of
from school.wording import format_money


@desk_only
@require_POST
def payment_add(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = enrolment_for_desk(account_of(request), pk)
    form = PaymentForm(request.POST, auto_id=id_of("payment"))
    entry = attempt(
        form,
        lambda: record_payment(enrolment=enrolment, actor=account_of(request), **form.cleaned_data),
    )
    if entry is None:
        return attendee_page(request, enrolment, "payment", form)
    amount = format_money(-entry.amount, enrolment.school.currency)
    messages.success(request, f"{amount} from {enrolment.golfer} is recorded.")
    return redirect("enrolment", pk)


@desk_only
@require_POST
def discount_add(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = enrolment_for_desk(account_of(request), pk)
    form = DiscountForm(request.POST, auto_id=id_of("discount"))
    entry = attempt(
        form,
        lambda: discount(enrolment=enrolment, actor=account_of(request), **form.cleaned_data),
    )
    if entry is None:
        return attendee_page(request, enrolment, "discount", form)
    amount = format_money(-entry.amount, enrolment.school.currency)
    messages.success(request, f"{enrolment.golfer} is let off {amount}.")
    return redirect("enrolment", pk)


@desk_only
@require_POST
def refund_add(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = enrolment_for_desk(account_of(request), pk)
    form = RefundForm(request.POST, auto_id=id_of("refund"))
    entry = attempt(
        form,
        lambda: refund(enrolment=enrolment, actor=account_of(request), **form.cleaned_data),
    )
    if entry is None:
        return attendee_page(request, enrolment, "refund", form)
    amount = format_money(entry.amount, enrolment.school.currency)
    messages.success(request, f"{amount} paid back to {enrolment.golfer} is recorded.")
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
