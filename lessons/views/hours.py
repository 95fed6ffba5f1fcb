"""When the signed-in instructor can teach."""

from typing import Any

from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from lessons.access import instructor_of
from lessons.actions.hours import set_hours
from lessons.forms.hours import HoursForm
from lessons.models import Instructor
from lessons.queries.hours import (
    OfferedHours,
    hours_offered,
    schools_to_come,
    sessions_outside_hours,
)
from school.forms.refusals import attempt
from school.guards import account_of, instructor_only
from school.models import School
from school.wording import count_of


@instructor_only
@require_GET
def my_hours(request: HttpRequest) -> HttpResponse:
    """One form for each school to come; each is sent by itself."""
    return _page(request, instructor_of(account_of(request)))


@instructor_only
@require_POST
def hours_set(request: HttpRequest, pk: int) -> HttpResponse:
    instructor = instructor_of(account_of(request))
    if instructor is None:
        raise Http404
    school = get_object_or_404(_schools(), pk=pk)
    form = _form(school, hours_offered(instructor, [school]), request.POST)
    kept = attempt(
        form,
        lambda: set_hours(
            instructor=instructor, hours=form.changed(), zone=school.zone, actor=account_of(request)
        ),
    )
    if kept is None:
        return _page(request, instructor, form)
    messages.success(request, f"Your hours for {school} are kept.")
    if outside := sessions_outside_hours(instructor, school):
        messages.warning(
            request,
            f"You are still down for {count_of(len(outside), 'session')} outside these hours. "
            "Tell the front desk.",
        )
    return redirect("my_hours")


def _schools() -> QuerySet[School]:
    return schools_to_come(timezone.now().date())


def _form(school: School, offered: dict[int, list[OfferedHours]], data: Any = None) -> HoursForm:
    return HoursForm(data, offered=offered[school.pk], prefix=f"school{school.pk}")


def _page(
    request: HttpRequest, instructor: Instructor | None, sent: HoursForm | None = None
) -> HttpResponse:
    """The forms of all schools; `sent` stands in for the one that was sent and has errors."""
    schools = list(_schools()) if instructor else []
    offered = hours_offered(instructor, schools) if instructor else {}
    forms = [_form(school, offered) for school in schools]
    if sent:
        forms = [sent if form.prefix == sent.prefix else form for form in forms]
    rows = list(zip(schools, forms, strict=True))
    return render(request, "lessons/my_hours.html", {"instructor": instructor, "rows": rows})
