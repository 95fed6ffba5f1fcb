"""One attendee at the front desk: details, consents, sign-in."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from school.access import enrolment_for_desk
from school.actions.consents import give_consent, withdraw_consent
from school.actions.golfers import save_golfer
from school.actions.people import invite
from school.clock import today_at
from school.forms.attendees import ConsentForm
from school.forms.golfers import GolferForm
from school.forms.refusals import attempt
from school.guards import account_of, desk_only
from school.models import ConsentKind
from school.queries.golfers import details_of
from school.views.attendee_page import attendee_page, id_of
from school.views.telling import told


@desk_only
def attendee(request: HttpRequest, pk: int) -> HttpResponse:
    return attendee_page(request, enrolment_for_desk(account_of(request), pk))


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
def consent_give(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = enrolment_for_desk(account_of(request), pk)
    kind = request.POST.get("kind", "")
    form = ConsentForm(request.POST, auto_id=id_of(kind))
    consent = attempt(
        form,
        lambda: give_consent(enrolment=enrolment, actor=account_of(request), **form.cleaned_data),
    )
    if consent is None:
        return attendee_page(request, enrolment, kind, form)
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
