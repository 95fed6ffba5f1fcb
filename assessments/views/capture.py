"""Choosing the frames of a clip on the device. The clip stays there; `still_add` takes them."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from assessments.access import StationPlace, station_to_record
from assessments.actions.recording import filming_words
from assessments.queries.entries import session_progress
from assessments.queries.stills import may_be_filmed
from assessments.views.stills import blank_form
from school.guards import account_of, instructor_only


@instructor_only
@require_GET
def capture(request: HttpRequest, session_pk: int, enrolment_pk: int, kind: str) -> HttpResponse:
    place = station_to_record(account_of(request), session_pk, enrolment_pk, kind)
    if not place.station.needs_still:
        raise Http404
    form = blank_form(request)
    context = {
        "place": place,
        "form": form,
        "told": _told(place, form.fields["filming_place"].queryset),  # type: ignore[attr-defined]
        "refusal": "" if may_be_filmed(place.enrolment) else filming_words(place.enrolment),
        "progress": session_progress(place.session, place.enrolment),
    }
    return render(request, "assessments/capture/capture.html", context)


def _told(place: StationPlace, filming_places: Any) -> dict[str, Any]:
    """What the script is told: where the frames go, and how fast each place films."""
    rates = filming_places.filter(frames_a_second__isnull=False)
    return {
        "sendUrl": reverse(
            "still_add", args=[place.session.pk, place.enrolment.pk, place.station.kind]
        ),
        "framesASecond": {str(pk): rate for pk, rate in rates.values_list("pk", "frames_a_second")},
    }
