"""One attendee's seat: given or offered out of turn, and given up."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from school.access import enrolment_for_desk, enrolment_for_golfer
from school.actions.enrolment import cancel_enrolment
from school.actions.offers import offer_out_of_turn, seat_out_of_turn
from school.forms.attendees import CancelForm, OutOfTurnForm
from school.forms.refusals import attempt
from school.guards import account_of, desk_only, golfer_only, is_front_desk
from school.models import Enrolment
from school.queries.money import refund_on_cancelling
from school.queries.seats import waiting_in_order
from school.views.attendee_page import attendee_page, id_of
from school.wording import format_balance


@desk_only
@require_POST
def seat_override(request: HttpRequest, pk: int) -> HttpResponse:
    return _out_of_turn(
        request, pk, "seat", seat_out_of_turn, lambda done: f"{done.golfer} has seat {done.seat}."
    )


@desk_only
@require_POST
def offer_seat(request: HttpRequest, pk: int) -> HttpResponse:
    return _out_of_turn(
        request,
        pk,
        "offer",
        offer_out_of_turn,
        lambda done: f"{done.golfer} is offered seat {done.seat} and has been written to.",
    )


@desk_only
def enrolment_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """The desk cancels for somebody."""
    enrolment = enrolment_for_desk(account_of(request), pk)
    return _cancelling(request, enrolment, reverse("enrolment", args=[pk]))


@golfer_only
def leave(request: HttpRequest, pk: int) -> HttpResponse:
    """A golfer gives up their own seat, offer or place on the list."""
    enrolment = enrolment_for_golfer(account_of(request), pk)
    return _cancelling(request, enrolment, reverse("pay_online", args=[pk]))


def _cancelling(request: HttpRequest, enrolment: Enrolment, back: str) -> HttpResponse:
    """What cancelling would come to, in words; then, for whoever has read that, doing it."""
    by_desk = is_front_desk(account_of(request))
    form = CancelForm(request.POST or None)
    if request.method == "POST":
        done = attempt(
            form,
            lambda: cancel_enrolment(
                enrolment=enrolment,
                why=form.cleaned_data["why"],
                expected_kept=form.cleaned_data["kept"],
                actor=account_of(request),
            ),
        )
        if done:
            balance = format_balance(done.balance(), enrolment.school.currency)
            messages.success(request, f"{done.golfer} is cancelled and {balance}.")
            return redirect(back)
    context = {
        "enrolment": enrolment,
        "school": enrolment.school,
        "form": form,
        "refund": refund_on_cancelling(enrolment),
        "back": back,
        # Who waits is the desk's to know.
        "next": waiting_in_order(enrolment.school, most=1) if by_desk else None,
    }
    return render(request, "school/cancel.html", context)


def _out_of_turn(
    request: HttpRequest,
    pk: int,
    name: str,
    action: Callable[..., Enrolment],
    said: Callable[[Enrolment], str],
) -> HttpResponse:
    enrolment = enrolment_for_desk(account_of(request), pk)
    form = OutOfTurnForm(request.POST, auto_id=id_of(name))
    done = attempt(
        form,
        lambda: action(enrolment=enrolment, actor=account_of(request), **form.cleaned_data),
    )
    if done is None:
        return attendee_page(request, enrolment, name, form)
    messages.success(request, said(done))
    return redirect("enrolment", pk)
