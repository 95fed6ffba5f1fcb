"""What anybody may open: the schools one can join, and enrolling in one page by page."""

from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.forms import BaseForm
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache

from school.access import draft_of_link, enrolment_of_link
from school.actions.drafts import (
    finish_draft,
    is_too_old,
    mail_resume_link,
    save_page,
    start_draft,
)
from school.actions.offers import accept_offer, decline_offer
from school.bank_csv import payment_reference
from school.clock import today_at
from school.forms.enrolment_pages import (
    ConsentsForm,
    GolfForm,
    Pages,
    SendForm,
    TrapForm,
    YouForm,
    in_words,
    pages_of,
)
from school.forms.refusals import attempt
from school.guards import public
from school.models import Enrolment, EnrolmentDraft, School
from school.payments.gateway import payment_gateway
from school.policy import Due, schedule, steps_in_words
from school.queries.consents import latest_texts
from school.queries.money import enrolment_money, instalments
from school.queries.public import PublicSchool, find_public_school, upcoming_schools, who_teaches
from school.views.telling import told

STEPS = {
    "you": "You",
    "golf": "Your golf and care",
    "consents": "Consents",
    "send": "Look through and send",
}
ORDER = list(STEPS)


@public
def public_schools(request: HttpRequest) -> HttpResponse:
    return render(
        request, "school/public/schools.html", {"lines": upcoming_schools(timezone.now())}
    )


@public
def public_school(request: HttpRequest, pk: int) -> HttpResponse:
    found = _school(pk)
    context = {**_terms(found), "instructors": who_teaches(found.school)}
    return render(request, "school/public/school.html", context)


@public
@never_cache
def join_start(request: HttpRequest, pk: int) -> HttpResponse:
    """Page 1 before there is a draft: nothing is kept until somebody has filled it in."""
    found = _school(pk)
    if not found.is_taking:
        return redirect("public_school", pk)
    typed = request.POST if request.method == "POST" else None
    form = YouForm(typed, today=today_at(found.school), first_day=found.school.starts_on)
    trap = TrapForm.set_now() if typed is None else TrapForm(typed)
    if typed is not None and form.is_valid():
        if caught := trap.caught():
            form.add_error(None, caught)
            trap = TrapForm.set_now()
        draft = attempt(form, lambda: start_draft(school=found.school, answers=_as_typed(form)))
        if draft:
            return redirect("join_page", draft.token, "golf")
    context = {"form": form, "trap": trap, "found": found, "school": found.school}
    return render(request, "school/public/you.html", {**context, **_progress("you", None)})


@public
@never_cache
def join_page(request: HttpRequest, token: str, page: str) -> HttpResponse:
    if page not in STEPS:
        raise Http404
    draft = draft_of_link(token)
    if elsewhere := _elsewhere(request, draft):
        return elsewhere
    pages = _pages(draft)
    unfinished = pages.first_unfinished()
    if unfinished and ORDER.index(page) > ORDER.index(unfinished):
        return redirect("join_page", token, unfinished)
    if page == "send":
        return _look_through(request, draft, pages)
    form = getattr(pages, page)
    if request.method == "POST":
        form = _form(page, request.POST, pages)
        with told(request):
            draft = save_page(draft=draft, page=page, answers=_as_typed(form))
        if "later" in request.POST:
            return redirect("join_later", token)
        if form.is_valid():
            return redirect("join_page", token, _pages(draft).first_unfinished() or "send")
    context = {"form": form, "draft": draft, **_terms(_school(draft.school_id))}
    return render(
        request, f"school/public/{page}.html", {**context, **_progress(page, unfinished, draft)}
    )


@public
@never_cache
def join_resume(request: HttpRequest, token: str) -> HttpResponse:
    """Where the link leads: the page to go on with."""
    draft = draft_of_link(token)
    if elsewhere := _elsewhere(request, draft):
        return elsewhere
    return redirect("join_page", token, _pages(draft).first_unfinished() or "send")


@public
@never_cache
def join_later(request: HttpRequest, token: str) -> HttpResponse:
    """The link to go on with, to be copied or mailed to oneself."""
    draft = draft_of_link(token)
    if elsewhere := _elsewhere(request, draft):
        return elsewhere
    you = _pages(draft).you
    you.is_valid()
    email = you.cleaned_data.get("email", "")
    link = settings.SITE_URL + reverse("join_resume", args=[token])
    if request.method == "POST" and email:
        with told(request):
            name = you.cleaned_data.get("full_name", "golfer")
            mail_resume_link(draft=draft, to=email, name=name, link=link)
            messages.success(request, f"The link is on its way to {email}.")
        return redirect("join_later", token)
    context = {"draft": draft, "school": draft.school, "link": link, "email": email}
    return render(request, "school/public/later.html", context)


@public
@never_cache
def join_done(request: HttpRequest, token: str) -> HttpResponse:
    draft = draft_of_link(token)
    if is_too_old(draft):
        return _too_old(request, draft)
    enrolment = draft.enrolment
    if enrolment is None:
        return redirect("join_resume", token)
    return render(request, "school/public/done.html", _standing(enrolment))


@public
@never_cache
def offer_answer(request: HttpRequest, token: str) -> HttpResponse:
    """Taking the seat that is offered, or letting it go; the link is the proof."""
    enrolment = enrolment_of_link(token)
    if request.method == "POST":
        with told(request):
            if request.POST.get("answer") == "take":
                accept_offer(enrolment=enrolment, actor=None)
            else:
                decline_offer(enrolment=enrolment, actor=None)
        return redirect("offer_answer", token)
    is_open = (
        enrolment.state == Enrolment.State.OFFERED
        and enrolment.offer_ends_at is not None
        and enrolment.offer_ends_at > timezone.now()
        and enrolment.school.state == School.State.OPEN
    )
    context = {
        **_standing(enrolment),
        "is_open": is_open,
        "policy": steps_in_words(enrolment.school.refund_steps.all()),
    }
    return render(request, "school/public/offer.html", context)


def _look_through(request: HttpRequest, draft: EnrolmentDraft, pages: Pages) -> HttpResponse:
    form = SendForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        enrolment = attempt(
            form,
            lambda: finish_draft(
                draft=draft,
                details=pages.details(),
                wishes=pages.golf.wishes(),
                agreement=pages.consents.agreement(),
                versions=pages.consents.versions(),
                may_wait=form.cleaned_data["may_wait"],
            ),
        )
        if enrolment:
            return redirect("join_done", draft.token)
    parts = [(name, STEPS[name], in_words(getattr(pages, name))) for name in ORDER[:-1]]
    context = {"form": form, "draft": draft, "parts": parts, **_progress("send", None, draft)}
    return render(
        request, "school/public/send.html", {**context, **_terms(_school(draft.school_id))}
    )


def _standing(enrolment: Enrolment) -> dict[str, Any]:
    """What whoever has the link may see: the place and what falls due, not what was paid."""
    of = enrolment.school
    charged = instalments(enrolment, enrolment_money(enrolment)).dues
    return {
        "enrolment": enrolment,
        "school": of,
        "dues": charged if enrolment.is_seated else _dues(of),
        "reference": payment_reference(enrolment.pk),
        "is_paid_online": payment_gateway() is not None,
    }


def _school(pk: int) -> PublicSchool:
    found = find_public_school(pk)
    if found is None:
        raise Http404
    return found


def _terms(found: PublicSchool) -> dict[str, Any]:
    return {
        "found": found,
        "school": found.school,
        "dues": _dues(found.school),
        "policy": steps_in_words(found.school.refund_steps.all()),
    }


def _dues(of: School) -> list[Due]:
    """What would fall due for whoever got a seat today."""
    return schedule(
        of.price,
        of.deposit,
        starts_on=of.starts_on,
        balance_due_days=of.balance_due_days,
        enrolled_on=today_at(of),
        currency=of.currency,
    )


def _elsewhere(request: HttpRequest, draft: EnrolmentDraft) -> HttpResponse | None:
    """Where whoever opens the draft is sent, if it cannot be gone on with."""
    if is_too_old(draft):
        return _too_old(request, draft)
    return redirect("join_done", draft.token) if draft.enrolment_id else None


def _too_old(request: HttpRequest, draft: EnrolmentDraft) -> HttpResponse:
    return render(request, "school/public/too_old.html", {"school": draft.school}, status=410)


def _pages(draft: EnrolmentDraft) -> Pages:
    return pages_of(draft, latest_texts(), today_at(draft.school))


def _form(page: str, typed: Mapping[str, Any], pages: Pages) -> BaseForm:
    if page == "you":
        return YouForm(typed, today=pages.you.today, first_day=pages.you.first_day)
    if page == "golf":
        return GolfForm(typed)
    return ConsentsForm(typed, texts=pages.consents.texts, guardian=pages.consents.guardian)


def _as_typed(form: BaseForm) -> dict[str, str]:
    return {name: str(form.data[name]) for name in form.fields if name in form.data}


def _progress(
    here: str, unfinished: str | None, draft: EnrolmentDraft | None = None
) -> dict[str, Any]:
    """The line of pages: those before the first unfinished one can be gone back to."""
    reached = ORDER.index(unfinished or "send") if draft else 0
    steps = [
        {
            "label": label,
            "is_here": name == here,
            "url": reverse("join_page", args=[draft.token, name])
            if draft and name != here and ORDER.index(name) <= reached
            else "",
        }
        for name, label in STEPS.items()
    ]
    return {"steps": steps, "step": ORDER.index(here) + 1, "step_label": STEPS[here]}
