"""Sending a still."""

from __future__ import annotations

from uuid import uuid4

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from assessments.access import StationPlace, station_to_record
from assessments.actions.recording import filming_words
from assessments.actions.stills import add_still
from assessments.errors import StillPictureRefused
from assessments.forms.stills import StillForm
from assessments.models import Still
from assessments.queries.entries import session_progress
from assessments.queries.queue import last_place_of
from assessments.queries.stills import may_be_filmed, may_be_shown_in_class, stills_of
from assessments.views.answers import form_refused, still_kept, still_refused, wants_json
from assessments.views.marking import SENT_OR_COME_BACK_TO
from school.errors import MarramError
from school.guards import account_of, instructor_only


def stills_page(
    request: HttpRequest, place: StationPlace, form: StillForm | None = None, status: int = 200
) -> HttpResponse:
    """The stills of one attendee in one phase, and the form that sends another."""
    context = {
        "place": place,
        "stills": stills_of(place.enrolment, place.phase),
        "form": form or blank_form(request),
        "not_to_be_shown": not may_be_shown_in_class(place.enrolment),
        "refusal": "" if may_be_filmed(place.enrolment) else filming_words(place.enrolment),
        "progress": session_progress(place.session, place.enrolment),
    }
    return render(request, "assessments/entries/stills.html", context, status=status)


def blank_form(request: HttpRequest) -> StillForm:
    """A form for the next still, filmed where the last one was."""
    return StillForm(
        initial={"still_id": uuid4(), "filming_place": last_place_of(account_of(request))}
    )


@instructor_only
@SENT_OR_COME_BACK_TO
def still_add(request: HttpRequest, session_pk: int, enrolment_pk: int, kind: str) -> HttpResponse:
    place = station_to_record(account_of(request), session_pk, enrolment_pk, kind)
    if request.method == "GET":
        return redirect("entry_new", session_pk, enrolment_pk, kind)
    if not place.station.needs_still:
        raise Http404
    form = StillForm(request.POST, request.FILES)
    if wants_json(request):
        return _answer_script(request, place, form)
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


def _answer_script(request: HttpRequest, place: StationPlace, form: StillForm) -> HttpResponse:
    if not form.is_valid():
        return form_refused(form)
    try:
        return still_kept(_add(request, place, form))
    except MarramError as refused:
        return still_refused(refused)


def _add(request: HttpRequest, place: StationPlace, form: StillForm) -> Still:
    return add_still(
        id=form.cleaned_data["still_id"],
        enrolment=place.enrolment,
        phase=place.phase,
        club_class=form.cleaned_data["club_class"],
        shot_kind=form.cleaned_data["shot_kind"],
        filming_place=form.cleaned_data["filming_place"],
        upload=form.upload,
        before=form.cleaned_data["picture_before"],
        uploaded_by=account_of(request),
    )
