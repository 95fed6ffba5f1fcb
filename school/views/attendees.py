"""One attendee at the front desk: details, consents, money."""

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from school.access import enrolment_for_desk, ledger_entry_for_desk
from school.actions.consents import give_consent, withdraw_consent
from school.actions.enrolment import cancel_enrolment
from school.actions.golfers import save_golfer
from school.actions.money import record_payment, reverse_entry
from school.actions.people import invite
from school.clock import today_at
from school.forms.attendees import CancelForm, ConsentForm, PaymentForm, ReversalForm
from school.forms.golfers import GolferForm
from school.forms.refusals import attempt
from school.guards import account_of, desk_only
from school.models import ConsentKind, Enrolment
from school.queries.consents import consent_lines
from school.queries.golfers import details_of
from school.queries.money import ZERO, ledger_lines
from school.views.telling import told
from school.wording import format_balance, format_money


@desk_only
def attendee(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, enrolment_for_desk(account_of(request), pk))


@desk_only
def golfer_edit(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = enrolment_for_desk(account_of(request), pk)
    golfer = enrolment.golfer
    form = GolferForm(
        request.POST or None,
        today=today_at(enrolment.school),
        initial=details_of(golfer).__dict__,
    )
    if request.method == "POST":
        saved = attempt(
            form,
            lambda: save_golfer(golfer=golfer, details=form.details(), actor=account_of(request)),
        )
        if saved:
            messages.success(request, f"The details of {saved} are saved.")
            return redirect("enrolment", pk)
    context = {"enrolment": enrolment, "school": enrolment.school, "form": form}
    return render(request, "school/golfer_edit.html", context)


@desk_only
@require_POST
def enrolment_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = enrolment_for_desk(account_of(request), pk)
    form = CancelForm(request.POST, auto_id="cancel_%s")
    done = attempt(
        form,
        lambda: cancel_enrolment(
            enrolment=enrolment, actor=account_of(request), **form.cleaned_data
        ),
    )
    if done is None:
        return _page(request, enrolment, cancel=form)
    messages.success(request, f"{done.golfer} is cancelled and owes nothing for this school.")
    return redirect("enrolment", pk)


@desk_only
@require_POST
def payment_add(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = enrolment_for_desk(account_of(request), pk)
    form = PaymentForm(request.POST, auto_id="payment_%s")
    entry = attempt(
        form,
        lambda: record_payment(enrolment=enrolment, actor=account_of(request), **form.cleaned_data),
    )
    if entry is None:
        return _page(request, enrolment, payment=form)
    amount = format_money(-entry.amount, enrolment.school.currency)
    messages.success(request, f"{amount} from {enrolment.golfer} is recorded.")
    return redirect("enrolment", pk)


@desk_only
@require_POST
def ledger_reverse(request: HttpRequest, pk: int) -> HttpResponse:
    entry = ledger_entry_for_desk(account_of(request), pk)
    form = ReversalForm(request.POST, auto_id=f"reverse_{pk}_%s")
    done = attempt(
        form, lambda: reverse_entry(entry=entry, actor=account_of(request), **form.cleaned_data)
    )
    if done is None:
        enrolment = enrolment_for_desk(account_of(request), entry.enrolment_id)
        return _page(request, enrolment, reversal=(pk, form))
    messages.success(request, "The entry is reversed. Both stay in the ledger.")
    return redirect("enrolment", entry.enrolment_id)


@desk_only
@require_POST
def consent_give(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = enrolment_for_desk(account_of(request), pk)
    kind = request.POST.get("kind", "")
    form = ConsentForm(request.POST, auto_id=f"{kind}_%s")
    consent = attempt(
        form,
        lambda: give_consent(enrolment=enrolment, actor=account_of(request), **form.cleaned_data),
    )
    if consent is None:
        return _page(request, enrolment, consent=(kind, form))
    messages.success(request, f"Consent to “{consent.text.get_kind_display()}” is recorded.")
    return redirect("enrolment", pk)


@desk_only
@require_POST
def consent_withdraw(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    enrolment = enrolment_for_desk(account_of(request), pk)
    if withdraw_consent(enrolment=enrolment, kind=kind, actor=account_of(request)):
        label = ConsentKind(kind).label
        messages.success(request, f"Consent to “{label}” is withdrawn from now on.")
    return redirect("enrolment", pk)


@desk_only
@require_POST
@never_cache
def golfer_invite(request: HttpRequest, pk: int) -> HttpResponse:
    """The link is as good as a password, so it stands on this one answer and is kept nowhere."""
    enrolment = enrolment_for_desk(account_of(request), pk)
    with told(request):
        path = invite(golfer=enrolment.golfer, actor=account_of(request))
        context = {"enrolment": enrolment, "link": f"{settings.SITE_URL}{path}"}
        return render(request, "school/invited.html", context)
    return redirect("enrolment", pk)


def _page(
    request: HttpRequest,
    enrolment: Enrolment,
    *,
    payment: Form | None = None,
    cancel: Form | None = None,
    consent: tuple[str, Form] | None = None,
    reversal: tuple[int, Form] | None = None,
) -> HttpResponse:
    """The page, with the form that was just refused in place of its empty one."""
    golfer, school = enrolment.golfer, enrolment.school
    is_minor = golfer.is_minor_on(school.starts_on)
    lines = ledger_lines(enrolment)
    balance = lines[-1].balance if lines else ZERO
    context: dict[str, Any] = {
        "enrolment": enrolment,
        "golfer": golfer,
        "school": school,
        "is_minor": is_minor,
        "is_live": enrolment.state in Enrolment.LIVE,
        "lines": [(line, _reversal_form(line.entry.pk, reversal)) for line in lines],
        "refused_reversal": reversal[0] if reversal else None,
        "balance": format_balance(balance, school.currency),
        "consents": [
            (
                line,
                _consent_form(
                    line.kind, golfer.guardian_name if is_minor else golfer.full_name, consent
                ),
            )
            for line in consent_lines(enrolment)
        ],
        "refused_consent": consent[0] if consent else None,
        "payment_form": payment or PaymentForm(auto_id="payment_%s", initial=_all_of(balance)),
        "cancel_form": cancel or CancelForm(auto_id="cancel_%s"),
        "cancel_is_bound": cancel is not None,
    }
    return render(request, "school/attendee.html", context)


def _all_of(balance: Decimal) -> dict[str, Decimal]:
    return {"amount": balance} if balance > 0 else {}


def _reversal_form(pk: int, refused: tuple[int, Form] | None) -> Form:
    if refused and refused[0] == pk:
        return refused[1]
    return ReversalForm(auto_id=f"reverse_{pk}_%s")


def _consent_form(kind: str, giver: str, refused: tuple[str, Form] | None) -> Form:
    if refused and refused[0] == kind:
        return refused[1]
    return ConsentForm(auto_id=f"{kind}_%s", initial={"kind": kind, "given_by": giver})
