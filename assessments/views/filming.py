"""Where stills are filmed: the list, a new place, one place."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from assessments.actions.filming import add_place, change_place
from assessments.forms.filming import FilmingPlaceForm
from assessments.impact.landmarks import Landmark
from assessments.models import FilmingPlace, Joints
from assessments.queries.filming import place_lines, study_in_force
from assessments.stations.impact_settings import PLACEMENT_MM
from school.forms.refusals import attempt
from school.guards import account_of, desk_or_instructor


@require_GET
@desk_or_instructor
def filming_places(request: HttpRequest) -> HttpResponse:
    return render(request, "assessments/filming/places.html", {"lines": place_lines()})


@require_http_methods(["GET", "POST"])
@desk_or_instructor
def filming_place_new(request: HttpRequest) -> HttpResponse:
    form = FilmingPlaceForm(request.POST or None)
    if request.method == "POST":
        made = attempt(
            form, lambda: add_place(settings=form.cleaned_data, actor=account_of(request))
        )
        if made:
            messages.success(request, f"{made} is set up. Choose it when a still is sent.")
            return redirect("filming_places")
    return render(request, "assessments/filming/place.html", {"form": form})


@require_http_methods(["GET", "POST"])
@desk_or_instructor
def filming_place(request: HttpRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(FilmingPlace, pk=pk)
    form = FilmingPlaceForm(request.POST or None, instance=place)
    if request.method == "POST":
        kept = attempt(
            form,
            lambda: change_place(
                place=place, settings=form.cleaned_data, actor=account_of(request)
            ),
        )
        if kept:
            messages.success(
                request,
                f"{kept} is changed for stills marked from now on; "
                "what is recorded stays as it was recorded.",
            )
            return redirect("filming_places")
        place.refresh_from_db()  # the form has written what was typed into the row
    placement = PLACEMENT_MM[Joints(place.joints)]
    context = {
        "form": form,
        "place": place,
        "elbow_mm": placement[Landmark.LEAD_ELBOW],
        "wrist_mm": placement[Landmark.LEAD_WRIST],
        "stills": place.stills.count(),
        "study": study_in_force(place),
    }
    return render(request, "assessments/filming/place.html", context)
