"""One golfer over all schools, merging two, and moving an enrolment."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from school.access import enrolment_for_desk, golfer_for_desk
from school.actions.merge import merge_golfers
from school.actions.move import move_enrolment
from school.errors import MarramError
from school.forms.desk import MergeForm, MoveForm
from school.forms.refusals import attempt, show_refusal
from school.guards import account_of, desk_only
from school.models import Enrolment
from school.queries.audit import TrailFilter, latest
from school.queries.duplicates import plan_merge, suggestions
from school.queries.move import MovePlan, plan_move, schools_to_move_to
from school.queries.people import person


@desk_only
def golfer(request: HttpRequest, pk: int) -> HttpResponse:
    found = golfer_for_desk(account_of(request), pk)
    if found.merged_into_id is not None:
        return redirect("golfer", found.merged_into_id)  # an old link leads to who it became
    context = {
        "person": person(found),
        "golfer": found,
        "alike": suggestions(found),
        "trail": latest(TrailFilter(golfer=found)),
    }
    return render(request, "school/desk/golfer.html", context)


@desk_only
def golfer_merge(request: HttpRequest, pk: int, other: int) -> HttpResponse:
    """The golfer `pk` stays; the page shows what moves, and asks field by field what stays."""
    keep = golfer_for_desk(account_of(request), pk)
    gone = golfer_for_desk(account_of(request), other)
    form = MergeForm(request.POST if request.method == "POST" else None, keep=keep, gone=gone)
    if request.method == "POST":
        done = attempt(
            form,
            lambda: merge_golfers(
                keep=keep, gone=gone, take=form.take(), actor=account_of(request)
            ),
        )
        if done:
            messages.success(request, f"{gone} and {done} are one golfer now.")
            return redirect("golfer", done.pk)
    context = {"keep": keep, "gone": gone, "form": form, "plan": plan_merge(keep, gone)}
    return render(request, "school/desk/merge.html", context)


@desk_only
def enrolment_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose a school, see in words what will happen, then confirm."""
    enrolment = enrolment_for_desk(account_of(request), pk)
    is_chosen = "to" in request.GET or request.method == "POST"
    form = MoveForm(
        (request.POST if request.method == "POST" else request.GET) if is_chosen else None,
        schools=schools_to_move_to(enrolment),
    )
    if request.method == "POST":
        moved = attempt(
            form,
            lambda: move_enrolment(
                enrolment=enrolment, to=form.cleaned_data["to"], actor=account_of(request)
            ),
        )
        if moved:
            messages.success(request, _what_happened(moved))
            return redirect("enrolment", moved.pk)
    context = {
        "enrolment": enrolment,
        "form": form,
        "plan": _plan(enrolment, form),
        "is_possible": form.fields["to"].queryset.exists(),  # type: ignore[attr-defined]
    }
    return render(request, "school/desk/move.html", context)


def _plan(enrolment: Enrolment, form: MoveForm) -> MovePlan | None:
    if not form.is_valid():
        return None
    try:
        return plan_move(enrolment, form.cleaned_data["to"])
    except MarramError as refused:
        show_refusal(form, refused)
        return None


def _what_happened(moved: Enrolment) -> str:
    place = f"has seat {moved.seat} in" if moved.seat else "is on the waiting list of"
    return f"{moved.golfer} {place} {moved.school}. The money and the consents have followed."
