"""How far the search for a timetable is, and ending it early."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from lessons.access import plan_for_desk
from lessons.actions.plans import stop_search
from lessons.queries.plans import search_so_far
from school.guards import account_of, desk_only
from school.views.telling import told


@desk_only
@require_GET
def plan_progress(request: HttpRequest, pk: int) -> HttpResponse:
    """A part of the page that asks for itself again, and for the whole page once all is done."""
    plan = plan_for_desk(account_of(request), pk)
    if plan.is_finished:
        return HttpResponse(headers={"HX-Refresh": "true"})
    search = search_so_far(plan, timezone.now())
    return render(request, "lessons/parts/search.html", {"search": search})


@desk_only
@require_POST
def plan_stop(request: HttpRequest, pk: int) -> HttpResponse:
    plan = plan_for_desk(account_of(request), pk)
    with told(request):
        stop_search(plan=plan, actor=account_of(request))
        messages.success(request, "The search ends with what it has found by now.")
    return redirect("timetable", plan.school_id)
