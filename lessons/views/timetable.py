"""The desk's page of squads and the timetable, and what is done from it."""

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from lessons.access import plan_for_desk
from lessons.actions.plans import request_plan
from lessons.actions.publishing import publish_plan
from lessons.forms.plans import PlanForm
from lessons.models import Plan
from lessons.queries.comparison import Comparison, comparison
from lessons.queries.history import can_change, earlier_plans, plan_goals
from lessons.queries.plans import Planning, has_pins, planning_of, search_so_far
from lessons.queries.squads import has_squads, squads_of, without_squad
from lessons.queries.timetable import timetable_of
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
    form = _form(request, school, planning_of(school))
    if not form.is_valid():
        return _page(request, school, form)
    with told(request):
        request_plan(school=school, actor=account_of(request), **form.wish())
    return redirect("timetable", pk)


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
    shown = _shown(request, school, planning)
    context = {
        "school": school,
        "planning": planning,
        "search": planning.search and search_so_far(planning.search, timezone.now()),
        "shown": shown,
        "shown_by_hand": shown and shown.origin == Plan.Origin.HAND,
        "can_change": shown and can_change(shown),
        "timetable": shown and timetable_of(shown),
        "goals": shown and plan_goals(shown),
        "moves": shown and _moves(shown, planning.published),
        "earlier": earlier_plans(school),
        "squads": squads_of(school),
        "without_squad": without_squad(school),
        "form": form or _form(request, school, planning),
    }
    return render(request, "lessons/timetable.html", context)


def _form(request: HttpRequest, school: School, planning: Planning) -> PlanForm:
    """The wish for a timetable, with the choice to keep what is pinned in the one on show."""
    shown = _shown(request, school, planning)
    return PlanForm(
        request.POST if request.method == "POST" else None,
        published=planning.published is not None,
        has_squads=has_squads(school),
        pins_of=shown if shown and has_pins(shown) else None,
    )


def _shown(request: HttpRequest, school: School, planning: Planning) -> Plan | None:
    """The timetable that the address asks for, else the draft, else the one published now."""
    asked = request.GET.get("plan", "")
    if asked.isdecimal():
        return get_object_or_404(_found(school), pk=asked)
    if planning.draft is None or "published" in request.GET:
        return planning.published
    return planning.draft


def _found(school: School) -> QuerySet[Plan]:
    return school.plans.filter(state=Plan.State.DONE).select_related("requested_by")


def _moves(shown: Plan, published: Plan | None) -> Comparison | None:
    """Who is moved by a timetable that was planned again, before it is published."""
    if published is None or shown.origin != Plan.Origin.REPLAN or not can_change(shown):
        return None
    return comparison(published, shown)
