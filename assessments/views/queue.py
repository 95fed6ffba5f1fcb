"""One still after the other until all are marked."""

from __future__ import annotations

from uuid import UUID

from django import forms
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from assessments.queries.queue import queue_of
from lessons.access import school_to_teach
from lessons.models import Phase
from school.guards import account_of, instructor_only


class QueueForm(forms.Form):
    """What narrows the queue and what was passed over. Whatever is unreadable narrows nothing."""

    after = forms.UUIDField(required=False)
    place = forms.IntegerField(required=False, min_value=1, max_value=2**31 - 1)
    phase = forms.ChoiceField(required=False, choices=Phase.choices)


@instructor_only
@require_GET
def marking_queue(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_to_teach(account_of(request), pk)
    asked = QueueForm(request.GET)
    asked.is_valid()
    after, place, phase = (asked.cleaned_data.get(name) for name in ("after", "place", "phase"))
    queue = queue_of(school, after=after, place=place, phase=phase or "")
    narrowed = QueryDict(mutable=True)
    narrowed.update({key: value for key, value in (("place", place), ("phase", phase)) if value})
    if queue.next is not None:
        return redirect(mark_address(queue.next, narrowed))
    context = {
        "school": school,
        "queue": queue,
        "phase": phase,
        "is_narrowed": bool(narrowed),
        "again": f"{reverse('marking_queue', args=[school.pk])}?{narrowed.urlencode()}",
    }
    return render(request, "assessments/capture/queue.html", context)


def mark_address(still: UUID, narrowed: QueryDict) -> str:
    """The marking page of a still from the queue, which goes on in the same narrowed queue."""
    query = narrowed.copy()
    query["queue"] = "1"
    return f"{reverse('still_mark', args=[still])}?{query.urlencode()}"
