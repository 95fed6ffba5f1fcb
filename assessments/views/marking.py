"""Marking a still, the first time or once more, and keeping what was marked."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from assessments.access import entry_to_see, still_to_mark, study_to_see
from assessments.actions.entries import record_entry
from assessments.actions.markings import record_marking
from assessments.errors import EntryConflict, MarkingConflict
from assessments.impact.errors import StillRefused
from assessments.models import Entry, Still, Study
from assessments.queries.entries import session_of
from assessments.queries.markings import times_marked
from assessments.queries.stills import entry_of
from assessments.queries.studies import turn_to_record
from assessments.stations.impact import STATION, LandmarksForm
from assessments.views.marking_page import Sent, Sitting, mark_page, points_of
from assessments.views.notices import say_recorded
from school.errors import MarramError
from school.guards import account_of, instructor_only

# Whoever had to sign in again while sending comes back by GET: to where the marks were kept.
SENT_OR_COME_BACK_TO = require_http_methods(["GET", "POST"])


class WhyForm(forms.Form):
    """What a still is marked for, from the address. Whatever is unreadable is left out."""

    again = forms.BooleanField(required=False)
    queue = forms.BooleanField(required=False)
    place = forms.IntegerField(required=False)
    phase = forms.SlugField(required=False)
    study = forms.IntegerField(required=False, max_value=2**31 - 1)
    turn = forms.IntegerField(required=False, min_value=1, max_value=100)


@dataclass(frozen=True)
class Saved:
    """What came of the marks, where it is shown, and where the next still waits."""

    what: dict[str, str]
    url: str
    next: str = ""


@instructor_only
@require_GET
def still_mark(request: HttpRequest, pk: UUID) -> HttpResponse:
    still = still_to_mark(account_of(request), pk)
    why = _why(request)
    is_again = why.get("again") and (why.get("study") or entry_of(still))
    return mark_page(request, still, _again(request, still) if is_again else _first(request, still))


@instructor_only
@SENT_OR_COME_BACK_TO
def still_record(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Record marks that came as a form's fields or as a JSON object of the same keys."""
    still = still_to_mark(account_of(request), pk)
    if request.method == "GET":
        return redirect(_address("still_mark", still, request.GET))
    return _answered(request, still, _first(request, still), _record)


@instructor_only
@SENT_OR_COME_BACK_TO
def still_again(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Keep marks that were made without sight of the first ones."""
    still = still_to_mark(account_of(request), pk)
    if request.method == "GET":
        query = request.GET.copy()
        query["again"] = "1"
        return redirect(_address("still_mark", still, query))
    return _answered(request, still, _again(request, still), _record_again)


def _why(request: HttpRequest) -> dict[str, Any]:
    form = WhyForm(request.GET)
    form.is_valid()
    return form.cleaned_data


def _first(request: HttpRequest, still: Still) -> Sitting:
    return Sitting(
        _address("still_record", still, request.GET),
        draft=str(still.pk),
        pass_over=_next_of_queue(request, still),
    )


def _again(request: HttpRequest, still: Still) -> Sitting:
    study, account = _study(request), account_of(request)
    about = f"Study “{study}”. " if study else ""
    turn = f"{study.pk if study else ''} {_why(request).get('turn') or ''}"
    # on a shared device nobody sees another's marks, nor their own that are saved
    whose = f"{account.pk} {times_marked(still, account)}"
    return Sitting(
        _address("still_again", still, request.GET),
        draft=f"{still.pk} again {turn} {whose}",
        is_unseen=True,
        about=about,
    )


def _study(request: HttpRequest) -> Study | None:
    asked = _why(request).get("study")
    return study_to_see(asked) if asked else None


def _address(name: str, still: Still, query: QueryDict) -> str:
    """The address of a still with what of the query says why it is marked."""
    kept = {key: query[key] for key in WhyForm.base_fields if query.get(key)}
    return reverse(name, args=[still.pk], query=kept or None)


Save = Callable[[HttpRequest, Still, LandmarksForm], Saved]


def _answered(request: HttpRequest, still: Still, sitting: Sitting, save: Save) -> HttpResponse:
    form = LandmarksForm(_sent(request))
    errors, status = ["The marks did not arrive whole. Save them again."], 422
    if form.is_valid():
        try:
            saved = save(request, still, form)
        except StillRefused as refused:
            errors = list(refused.sentences)
        except (EntryConflict, MarkingConflict) as conflict:
            errors, status = [str(conflict)], 409
        except MarramError as refused:
            errors = [str(refused)]
        else:
            return _went_well(request, saved)
    if _wants_json(request):
        return JsonResponse({"errors": errors}, status=status)
    return mark_page(request, still, sitting, Sent(errors, points_of(form.cleaned_data), status))


def _went_well(request: HttpRequest, saved: Saved) -> HttpResponse:
    if _wants_json(request):
        return JsonResponse({**saved.what, "url": saved.url, "next": saved.next}, status=201)
    return redirect(saved.next or saved.url)


def _record(request: HttpRequest, still: Still, form: LandmarksForm) -> Saved:
    older = form.cleaned_data["supersedes"]
    entry = record_entry(
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
    if not _wants_json(request):
        say_recorded(request, entry)
    return Saved({"entry": str(entry.pk)}, _entry_url(entry), _next_of_queue(request, still))


def _record_again(request: HttpRequest, still: Still, form: LandmarksForm) -> Saved:
    study, turn = _study(request), _why(request).get("turn") or 1
    if study is not None:
        turn = turn_to_record(study, account_of(request), turn)
    marking = record_marking(
        id=form.cleaned_data["entry_id"],
        still=still,
        payload=form.payload(),
        marked_by=account_of(request),
        study=study,
        turn=turn,
    )
    if study is not None:
        url = reverse("study_next", args=[study.pk])
        return Saved({"marking": str(marking.pk)}, reverse("study", args=[study.pk]), url)
    if not _wants_json(request):
        messages.success(request, "Marked again. What was marked first still counts.")
    standing = entry_of(still)
    url = (
        f"{_entry_url(standing)}#again" if standing else _address("still_mark", still, QueryDict())
    )
    return Saved({"marking": str(marking.pk)}, url, _next_of_queue(request, still))


def _next_of_queue(request: HttpRequest, still: Still) -> str:
    """Where the queue of the school goes on, narrowed as before; empty outside of it."""
    why = _why(request)
    if not why.get("queue"):
        return ""
    narrowed = {key: why[key] for key in ("place", "phase") if why.get(key)}
    school = [still.enrolment.school_id]
    return reverse("marking_queue", args=school, query={"after": str(still.pk), **narrowed})


def _entry_url(entry: Entry) -> str:
    return reverse("entry_detail", args=[entry.pk])


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
