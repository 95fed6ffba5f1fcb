"""The library of drills: the list, and one drill."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from assessments.forms.drills import DrillSearchForm
from assessments.models import Drill
from assessments.queries.drills import (
    Search,
    drill_groups,
    equipment_words,
    findings_served,
    spared_words,
)
from school.guards import desk_or_instructor
from school.models import Handedness


@require_GET
@desk_or_instructor
def drills(request: HttpRequest) -> HttpResponse:
    form = DrillSearchForm(request.GET or None)
    search = form.search() if form.is_valid() else Search()
    groups = drill_groups(search)
    context = {
        "form": form,
        "groups": groups,
        "count": sum(len(group.drills) for group in groups),
        "is_searched": search != Search(),
    }
    return render(request, "assessments/drills/list.html", context)


@require_GET
@desk_or_instructor
def drill(request: HttpRequest, slug: str) -> HttpResponse:
    """Drills out of use are shown too: plans made before still have them."""
    row = get_object_or_404(Drill, slug=slug)
    context = {
        "drill": row,
        "steps": [line for line in row.steps.splitlines() if line.strip()],
        "equipment": equipment_words(row),
        "spared": spared_words(row),
        "served": findings_served(row),
        "is_left_handed": request.GET.get("hand") == Handedness.LEFT,
    }
    return render(request, "assessments/drills/detail.html", context)
