"""The practice plan of an attendee: proposed, edited, and as it prints."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from assessments.access import attendee_to_teach
from assessments.actions.practice import propose_plan, revise_plan
from assessments.errors import PlanChangedMeanwhile
from assessments.forms.practice import MeansForm, PlanForms
from assessments.forms.sent import whole_number
from assessments.models import PracticePlan
from assessments.practice.values import WEEKS
from assessments.practice.words import CAUTIONS
from assessments.queries.practice import drills_to_choose, plan_rows, take_home
from school.errors import MarramError
from school.guards import account_of, instructor_only
from school.models import Enrolment


@instructor_only
@require_http_methods(["GET", "POST"])
def practice_plan(request: HttpRequest, pk: int, enrolment_pk: int) -> HttpResponse:
    attendee = attendee_to_teach(account_of(request), pk, enrolment_pk)
    plan = plan_rows(attendee)
    if request.method == "GET":
        return _page(request, attendee, plan)
    if plan is None:
        raise Http404
    if "add" in request.POST:
        return _with_another_row(request, attendee, plan)
    forms = PlanForms(plan, drills_to_choose(plan), data=request.POST)
    if not forms.is_valid():
        return _page(request, attendee, plan, forms=forms, status=422)
    try:
        revise_plan(
            plan=plan,
            edition=whole_number(forms.edition),
            priorities=forms.written_priorities(),
            items=forms.items(),
            actor=account_of(request),
        )
    except PlanChangedMeanwhile as conflict:
        forms.edition = str(conflict.edition)
        return _page(
            request, attendee, plan, forms=forms, refused=str(conflict), beside=True, status=409
        )
    except MarramError as refused:
        return _page(request, attendee, plan, forms=forms, refused=str(refused), status=422)
    messages.success(request, f"The practice plan of {attendee.golfer} is saved as it stands here.")
    return redirect("practice_plan", pk, enrolment_pk)


@instructor_only
@require_POST
def practice_propose(request: HttpRequest, pk: int, enrolment_pk: int) -> HttpResponse:
    attendee = attendee_to_teach(account_of(request), pk, enrolment_pk)
    form, status = MeansForm(request.POST), 422
    if form.is_valid():
        try:
            plan = propose_plan(
                enrolment=attendee,
                means=form.means(),
                actor=account_of(request),
                edition=form.cleaned_data["edition"],
                over_edited=form.cleaned_data["over_edited"],
            )
        except PlanChangedMeanwhile as conflict:
            form, status = _once_more(request, conflict), 409
        except MarramError as refused:
            form.add_error(None, str(refused))
        else:
            _say_proposed(request, plan)
            return redirect("practice_plan", pk, enrolment_pk)
    return _page(request, attendee, plan_rows(attendee), means=form, status=status)


def _say_proposed(request: HttpRequest, plan: PracticePlan) -> None:
    if plan.items.exists():
        messages.success(request, "The plan is proposed. What you change in it is what prints.")
    else:
        messages.warning(
            request,
            "Nothing can be proposed from what was found and what there is for practice. "
            "You can write the plan yourself.",
        )


def _once_more(request: HttpRequest, conflict: PlanChangedMeanwhile) -> MeansForm:
    """What was typed, ready to be proposed over the plan that stands now."""
    typed = request.POST.copy()
    typed["edition"] = str(conflict.edition)
    form = MeansForm(typed)
    form.add_error(None, str(conflict))
    return form


def _with_another_row(
    request: HttpRequest, attendee: Enrolment, plan: PracticePlan
) -> HttpResponse:
    """The page with all that was typed, unjudged, and one row more."""
    week = whole_number(request.POST["add"])
    week = week if 1 <= week <= WEEKS else 1
    forms = PlanForms(plan, drills_to_choose(plan), typed=request.POST, add=week)
    return _page(request, attendee, plan, forms=forms)


def _page(
    request: HttpRequest,
    attendee: Enrolment,
    plan: PracticePlan | None,
    *,
    means: MeansForm | None = None,
    forms: PlanForms | None = None,
    refused: str = "",
    beside: bool = False,
    status: int = 200,
) -> HttpResponse:
    """The page; `beside` shows the plan as it stands next to what was typed."""
    context: dict[str, Any] = {
        "attendee": attendee,
        "plan": plan,
        "means": means or MeansForm.of(plan),
        "refused": refused,
        "beside": beside,
        "cautions": CAUTIONS,
    }
    if plan is not None:
        context["forms"] = forms or PlanForms(plan, drills_to_choose(plan))
        context["printed"] = take_home(plan, attendee)
    return render(request, "assessments/practice/plan.html", context, status=status)
