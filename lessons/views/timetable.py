"""The desk's page of squads and the timetable, and what is done from it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from lessons.access import plan_for_desk
from lessons.actions.plans import request_plan
from lessons.actions.publishing import publish_plan
from lessons.forms.plans import PlanForm
from lessons.queries.plans import planning_of, published_plan, seconds_searched
from lessons.queries.squads import squads_of, without_squad
from lessons.queries.timetable import goals_in_words, timetable_of
from school.access import school_for_desk
from school.guards import account_of, desk_only
from school.models import School
from school.views.telling import told


@desk_only
@require_GET
def timetable(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    return _page(request, school)


@desk_only
@require_POST
def plan_request(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    form = PlanForm(request.POST, published=published_plan(school) is not None)
    if not form.is_valid():
        return _page(request, school, form)
    with told(request):
        request_plan(school=school, actor=account_of(request), **form.wish())
    return redirect("timetable", pk)


@desk_only
@require_GET
def plan_progress(request: HttpRequest, pk: int) -> HttpResponse:
    """A part of the page that asks for itself again, and for the whole page once all is done."""
    plan = plan_for_desk(account_of(request), pk)
    if plan.is_finished:
        return HttpResponse(headers={"HX-Refresh": "true"})
    spent = seconds_searched(plan, timezone.now())
    return render(request, "lessons/parts/search.html", {"plan": plan, "spent": spent})


@desk_only
@require_POST
def plan_publish(request: HttpRequest, pk: int) -> HttpResponse:
    plan = plan_for_desk(account_of(request), pk)
    with told(request):
        publish_plan(plan=plan, actor=account_of(request))
        messages.success(request, "The timetable is published. Bays and people are held for it.")
    return redirect("timetable", plan.school_id)


def _page(request: HttpRequest, school: School, form: PlanForm | None = None) -> HttpResponse:
    planning = planning_of(school)
    drafted = planning.draft is not None and "published" not in request.GET
    shown = planning.draft if drafted else planning.published
    context = {
        "school": school,
        "planning": planning,
        "spent": planning.search and seconds_searched(planning.search, timezone.now()),
        "shown": shown,
        "timetable": shown and timetable_of(shown),
        "goals": shown and goals_in_words(shown.goals),
        "squads": squads_of(school),
        "without_squad": without_squad(school),
        "form": form or PlanForm(published=planning.published is not None),
    }
    return render(request, "lessons/timetable.html", context)
