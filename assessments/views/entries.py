"""Recording at a station, and looking at what was recorded."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any
from uuid import UUID, uuid4

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from assessments.access import StationPlace, entry_to_see, may_record, station_to_record
from assessments.actions.entries import record_entry
from assessments.errors import EntryConflict, EntryRefused
from assessments.forms.beside import StillBeside
from assessments.impact.geometry import BALL_DIAMETER_MM
from assessments.models import Entry, Still
from assessments.queries.entries import (
    Standing,
    counterpart,
    measures_by_name,
    session_progress,
    standing,
    standing_entries,
)
from assessments.queries.markings import second_markings
from assessments.queries.stills import may_be_filmed, may_be_shown_in_class
from assessments.stations import registry
from assessments.stations.base import Measures, StationForm, StationModule
from assessments.stations.impact_camera import camera_gain
from assessments.units import Units, measures_in, units_of
from assessments.views.notices import say_recorded
from assessments.views.stills import stills_page
from lessons.models import Phase
from school.errors import MarramError
from school.guards import account_of, instructor_only, signed_in


@instructor_only
@require_http_methods(["GET", "POST"])
def entry_new(request: HttpRequest, session_pk: int, enrolment_pk: int, kind: str) -> HttpResponse:
    place = station_to_record(account_of(request), session_pk, enrolment_pk, kind)
    if place.station.needs_still:
        return stills_page(request, place)
    found = standing_entries(place.enrolment, kind, place.phase)
    if request.method == "POST":
        return _save(request, place, found)
    corrected = _to_correct(request, place.station, found)
    initial: dict[str, Any] = {"entry_id": uuid4()}
    if corrected is None and place.station.initial is not None:
        initial |= place.station.initial(place.enrolment)
    if corrected is not None:
        initial |= place.station.form_class.initial_from(corrected.payload)
        initial["supersedes"] = corrected.pk
    beside = _beside(place, chosen=corrected.still_id if corrected else None)
    return _form_page(request, place, found, place.station.form_class(initial=initial), beside)


def _beside(
    place: StationPlace, sent: QueryDict | None = None, chosen: UUID | None = None
) -> StillBeside | None:
    """The choice of a still, where one may lie beside what is recorded."""
    if not place.station.takes_still:
        return None
    stills = Still.objects.filter(enrolment=place.enrolment)
    if not may_be_filmed(place.enrolment):
        stills = stills.none()
    return StillBeside(stills, sent, initial={"still": chosen})


def _to_correct(
    request: HttpRequest, station: StationModule, found: list[Standing]
) -> Entry | None:
    """The entry that the form starts from: the one asked for, or the only one there can be."""
    asked = request.GET.get("correct")
    for each in found:
        if not station.repeats or str(each.entry.pk) == asked:
            return each.entry
    return None


def _save(request: HttpRequest, place: StationPlace, found: list[Standing]) -> HttpResponse:
    form, beside = place.station.form_class(request.POST), _beside(place, request.POST)
    if not form.is_valid() or (beside is not None and not beside.is_valid()):
        return _form_page(request, place, found, form, beside)
    try:
        entry = _record(request, place, form, beside)
    except EntryConflict as conflict:
        return _conflict_page(request, place, conflict)
    except EntryRefused as refused:
        form.show_refusal(refused.words)
    except MarramError as refused:
        form.add_error(None, str(refused))
    else:
        say_recorded(request, entry)
        return redirect("entry_detail", entry.pk)
    return _form_page(request, place, found, form, beside)


def _record(
    request: HttpRequest, place: StationPlace, form: StationForm, beside: StillBeside | None
) -> Entry:
    older = form.cleaned_data["supersedes"]
    return record_entry(
        id=form.cleaned_data["entry_id"],
        enrolment=place.enrolment,
        kind=place.station.kind,
        phase=place.phase,
        payload=form.payload(),
        recorded_by=account_of(request),
        session=place.session,
        still=beside.cleaned_data["still"] if beside is not None else None,
        supersedes=entry_to_see(account_of(request), older) if older else None,
    )


def _conflict_page(
    request: HttpRequest, place: StationPlace, conflict: EntryConflict
) -> HttpResponse:
    """The form as it was typed, ready to be saved as a correction of what stands now."""
    typed = request.POST.copy()
    typed["entry_id"] = str(uuid4())
    typed["supersedes"] = str(conflict.standing.pk) if conflict.standing else ""
    form = place.station.form_class(typed)
    form.add_error(None, str(conflict))
    found = standing_entries(place.enrolment, place.station.kind, place.phase)
    return _form_page(
        request, place, found, form, _beside(place, typed), status=HTTPStatus.CONFLICT
    )


def _form_page(
    request: HttpRequest,
    place: StationPlace,
    found: list[Standing],
    form: StationForm,
    beside: StillBeside | None,
    *,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    """`typed_as` is the id under which a form that met a conflict may still lie on the device."""
    context = {
        "place": place,
        "standing": found,
        "form": form,
        "beside": beside,
        "typed_as": request.POST.get("entry_id") if status == HTTPStatus.CONFLICT else None,
        "corrects": form["supersedes"].value(),
        "progress": session_progress(place.session, place.enrolment),
    }
    return render(request, "assessments/entries/new.html", context, status=status)


@signed_in
@require_GET
def entry_detail(request: HttpRequest, pk: UUID) -> HttpResponse:
    entry = entry_to_see(account_of(request), pk)
    station = registry().get(entry.kind)
    if station is None:
        raise Http404
    measures = measures_by_name(entry)
    shown = standing(entry)
    may_correct = may_record(account_of(request), entry.enrolment)
    context = {
        "entry": entry,
        "station": station,
        "readings": shown.readings,
        "details": shown.details,
        "ball_mm": BALL_DIAMETER_MM,
        "verdicts": station.verdicts(measures) if station.verdicts else (),
        "warnings": [station.warning_words.get(code, code) for code in entry.warnings],
        **_pictures(station, entry),
        "beside": station.beside(entry) if station.beside else None,
        "alt": "; ".join(f"{row.title} {row.text}" for row in shown.readings),
        "may_correct": may_correct,
    }
    if station.needs_still and entry.still is not None:
        context["camera"] = camera_gain(entry.still, entry.payload)
    if may_correct and entry.still is not None:
        context["not_to_be_shown"] = not may_be_shown_in_class(entry.enrolment)
        context["again"] = second_markings(entry)
    if may_correct and entry.session is not None:
        context["progress"] = session_progress(entry.session, entry.enrolment)
    return render(request, "assessments/entries/detail.html", context)


def _pictures(station: StationModule, entry: Entry) -> dict[str, Any]:
    """Intake above exit, and what is drawn of the payloads, in the golfer's units.

    Stills are compared in the report: one of several says little.
    """
    if station.needs_still or (station.chart is None and station.drawing is None):
        return {"chart": None, "drawing": None}
    units, other = units_of(entry.enrolment.golfer), counterpart(entry)
    sides = {each.phase: each for each in (entry, other) if each is not None}
    intake, exit_ = (sides.get(phase) for phase in (Phase.INTAKE, Phase.EXIT))
    chart = drawing = None
    if station.chart is not None and intake is not None and exit_ is not None:
        chart = station.chart(*(_measures_in(station, one, units) for one in (intake, exit_)))
    if station.drawing is not None:
        before, after = (one.payload if one else None for one in (intake, exit_))
        drawing = station.drawing(before, after, units)
    return {"chart": chart, "drawing": drawing}


def _measures_in(station: StationModule, entry: Entry, units: Units) -> Measures:
    return measures_in(station.measures, measures_by_name(entry), units)
