"""Sending a still and marking it."""

from __future__ import annotations

import json
import math
from typing import Any
from uuid import UUID, uuid4

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from assessments.access import (
    StationPlace,
    entry_to_see,
    station_to_record,
    still_to_mark,
)
from assessments.actions.entries import record_entry
from assessments.actions.recording import filming_words
from assessments.actions.stills import add_still
from assessments.errors import EntryConflict, StillPictureRefused
from assessments.forms.stills import StillForm
from assessments.impact.errors import StillRefused
from assessments.impact.geometry import BALL_DIAMETER_MM, CLICK_SD_PX
from assessments.impact.landmarks import Landmark, needed, number
from assessments.models import Entry, Still
from assessments.queries.entries import session_of, session_progress
from assessments.queries.stills import entry_of, may_be_filmed, may_be_shown_in_class, stills_of
from assessments.stations.impact import STATION, LandmarksForm, club_of
from assessments.views.notices import say_recorded
from school.errors import MarramError
from school.guards import account_of, instructor_only

# Whoever had to sign in again while sending comes back by GET: to where the marks were kept.
SENT_OR_COME_BACK_TO = require_http_methods(["GET", "POST"])


def stills_page(
    request: HttpRequest, place: StationPlace, form: StillForm | None = None, status: int = 200
) -> HttpResponse:
    """The stills of one attendee in one phase, and the form that sends another."""
    context = {
        "place": place,
        "stills": stills_of(place.enrolment, place.phase),
        "form": form or StillForm(initial={"still_id": uuid4()}),
        "not_to_be_shown": not may_be_shown_in_class(place.enrolment),
        "refusal": "" if may_be_filmed(place.enrolment) else filming_words(place.enrolment),
        "progress": session_progress(place.session, place.enrolment),
    }
    return render(request, "assessments/entries/stills.html", context, status=status)


@SENT_OR_COME_BACK_TO
@instructor_only
def still_add(request: HttpRequest, session_pk: int, enrolment_pk: int, kind: str) -> HttpResponse:
    place = station_to_record(account_of(request), session_pk, enrolment_pk, kind)
    if request.method == "GET":
        return redirect("entry_new", session_pk, enrolment_pk, kind)
    form = StillForm(request.POST, request.FILES)
    if not place.station.needs_still:
        raise Http404
    if form.is_valid():
        try:
            still = _add(request, place, form)
        except StillPictureRefused as refused:
            form.add_error("picture", str(refused))
        except MarramError as refused:
            form.add_error(None, str(refused))
        else:
            return redirect("still_mark", still.pk)
    return stills_page(request, place, form)


def _add(request: HttpRequest, place: StationPlace, form: StillForm) -> Still:
    return add_still(
        id=form.cleaned_data["still_id"],
        enrolment=place.enrolment,
        phase=place.phase,
        club_class=form.cleaned_data["club_class"],
        shot_kind=form.cleaned_data["shot_kind"],
        upload=form.upload,
        uploaded_by=account_of(request),
    )


@require_GET
@instructor_only
def still_mark(request: HttpRequest, pk: UUID) -> HttpResponse:
    return _mark_page(request, still_to_mark(account_of(request), pk))


@SENT_OR_COME_BACK_TO
@instructor_only
def still_record(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Record marks that came as a form's field `landmarks` or as a JSON object of the same keys."""
    still = still_to_mark(account_of(request), pk)
    if request.method == "GET":
        return redirect("still_mark", pk)
    return _recorded(request, still)


def _recorded(request: HttpRequest, still: Still) -> HttpResponse:
    form = LandmarksForm(_sent(request))
    if not form.is_valid():
        return _refused(request, still, form, ["The marks did not arrive whole. Save them again."])
    try:
        entry = _record(request, still, form)
    except StillRefused as refused:
        return _refused(request, still, form, list(refused.sentences))
    except EntryConflict as conflict:
        return _refused(request, still, form, [str(conflict)], status=409)
    except MarramError as refused:
        return _refused(request, still, form, [str(refused)])
    if _wants_json(request):
        return JsonResponse(
            {"entry": str(entry.pk), "url": _url("entry_detail", entry)}, status=201
        )
    say_recorded(request, entry)
    return redirect("entry_detail", entry.pk)


def _record(request: HttpRequest, still: Still, form: LandmarksForm) -> Entry:
    older = form.cleaned_data["supersedes"]
    return record_entry(
        id=form.cleaned_data["entry_id"],
        enrolment=still.enrolment,
        kind=STATION.kind,
        phase=still.phase,
        payload=form.payload(),
        recorded_by=account_of(request),
        session=session_of(still.enrolment, STATION.kind, still.phase),
        still=still,
        supersedes=entry_to_see(account_of(request), older) if older else None,
    )


def _wants_json(request: HttpRequest) -> bool:
    return request.content_type == "application/json"


def _sent(request: HttpRequest) -> Any:
    if not _wants_json(request):
        return request.POST
    try:
        sent = json.loads(request.body)
    except (ValueError, RecursionError):
        return {}
    return sent if isinstance(sent, dict) else {}


def _refused(
    request: HttpRequest, still: Still, form: LandmarksForm, errors: list[str], status: int = 422
) -> HttpResponse:
    if _wants_json(request):
        return JsonResponse({"errors": errors}, status=status)
    posted = _drawable(form.cleaned_data.get("landmarks"))
    return _mark_page(request, still, errors=errors, posted=posted, status=status)


def _drawable(landmarks: object) -> dict[str, list[float]]:
    """Of what was sent, the marks that the page can show again."""
    if not isinstance(landmarks, dict):
        return {}
    return {
        key: position
        for key, position in landmarks.items()
        if key in list(Landmark) and isinstance(position, list) and all(map(_finite, position))
    }


def _finite(value: object) -> bool:
    try:
        return math.isfinite(number(value))
    except (TypeError, OverflowError):
        return False


def _mark_page(
    request: HttpRequest,
    still: Still,
    *,
    errors: list[str] | None = None,
    posted: dict[str, list[float]] | None = None,
    status: int = 200,
) -> HttpResponse:
    context = {
        "marking": _marking(still, entry_of(still), posted),
        "still": still,
        "golfer_name": still.enrolment.golfer.full_name,
        "session": session_of(still.enrolment, STATION.kind, still.phase),
        "refusal": "" if may_be_filmed(still.enrolment) else filming_words(still.enrolment),
        "errors": errors or [],
    }
    return render(request, "assessments/marking/mark.html", context, status=status)


def _marking(
    still: Still, standing: Entry | None, posted: dict[str, list[float]] | None
) -> dict[str, Any]:
    """What the marking script is told. `current` is what stands, `posted` what was refused."""
    club = club_of(still)
    required = needed(club, {})
    return {
        "still": {
            "id": str(still.pk),
            "width": still.width_px,
            "height": still.height_px,
            "url": _url("still_picture", still),
        },
        "handedness": still.handedness,
        "club": club,
        "clickSdPx": CLICK_SD_PX,
        "stepMm": BALL_DIAMETER_MM,
        "landmarks": [
            {"key": mark, "label": mark.label, "where": mark.where, "required": mark in required}
            for mark in Landmark
            if mark is not Landmark.GROUND_CONTACT or mark in required
        ],
        "current": standing.payload["landmarks"] if standing else posted,
        "posted": posted,
        "entryId": str(uuid4()),
        "supersedes": str(standing.pk) if standing else None,
        "recordUrl": _url("still_record", still),
        "overlayUrl": _url("still_overlay", still),
    }


def _url(name: str, row: Still | Entry) -> str:
    return reverse(name, args=[row.pk])
