"""Many stills at once: the files stay in the browser until it is said whose each one is."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from assessments.actions.stills import add_still
from assessments.forms.stills import BulkStillForm
from assessments.models import Still
from assessments.queries.queue import last_place_of, queue_of, seated_of
from assessments.views.answers import form_refused, still_kept, still_refused
from lessons.access import attendees_to_teach, school_to_teach
from school.errors import MarramError
from school.guards import account_of, instructor_only


@instructor_only
@require_GET
def stills_bulk(request: HttpRequest, pk: int) -> HttpResponse:
    account = account_of(request)
    school = school_to_teach(account, pk)
    seated = seated_of(school)
    place = last_place_of(account)
    form = BulkStillForm(
        attendees=attendees_to_teach(account).filter(pk__in=[each.pk for each in seated.filmed]),
        initial={"filming_place": place},
    )
    context = {
        "school": school,
        "form": form,
        "seated": seated,
        "waiting": queue_of(school).left,
        "told": {
            "sendUrl": reverse("stills_bulk_add", args=[school.pk]),
            "golfers": [
                {"key": str(each.pk), "name": each.golfer.full_name} for each in seated.filmed
            ],
        },
    }
    return render(request, "assessments/capture/bulk.html", context)


@instructor_only
@require_POST
def stills_bulk_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep one of them; the answer is JSON."""
    account = account_of(request)
    school = school_to_teach(account, pk)
    attendees = attendees_to_teach(account).filter(school=school)
    form = BulkStillForm(request.POST, request.FILES, attendees=attendees)
    if not form.is_valid():
        return form_refused(form)
    try:
        return still_kept(_add(request, form))
    except MarramError as refused:
        return still_refused(refused)


def _add(request: HttpRequest, form: BulkStillForm) -> Still:
    said = form.cleaned_data
    return add_still(
        id=said["still_id"],
        enrolment=said["enrolment"],
        phase=said["phase"],
        club_class=said["club_class"],
        shot_kind=said["shot_kind"],
        filming_place=said["filming_place"],
        upload=said["picture"],
        uploaded_by=account_of(request),
    )
