"""Two timetables of a school side by side."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lessons.queries.comparison import comparison
from lessons.queries.goals import goals_beside
from lessons.queries.history import can_change, plan_before
from lessons.views.edits import found_plan
from school.guards import desk_only


@desk_only
@require_GET
def plan_compare(request: HttpRequest, pk: int) -> HttpResponse:
    """With the one that the address asks for, else with the one it was made from."""
    plan = found_plan(request, pk)
    other = request.GET.get("with", "")
    old = found_plan(request, int(other)) if other.isdecimal() else plan_before(plan)
    if old is None or old.school_id != plan.school_id:
        raise Http404
    compared = comparison(old, plan)
    context = {
        "plan": plan,
        "old": old,
        "school": plan.school,
        "comparison": compared,
        "goals": goals_beside(compared.goals),
        "can_change": can_change(plan),
    }
    return render(request, "lessons/plan_compare.html", context)
