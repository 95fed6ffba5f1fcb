"""Bays and instructors taken, on the days of a school, for something that is no school."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from lessons.actions.holds import release_holds, take_holds
from lessons.forms.holds import HoldForm
from lessons.queries.holds import keepings, without_school
from lessons.queries.slots import whole_days
from school.access import school_for_desk
from school.forms.refusals import attempt
from school.guards import account_of, desk_only
from school.views.telling import told


@desk_only
def holds(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    form = HoldForm(request.POST or None, school=school)
    if request.method == "POST":
        taken = attempt(form, lambda: take_holds(actor=account_of(request), **form.wish()))
        if taken:
            messages.success(request, "Taken. Timetables keep clear of it from now on.")
            return redirect("holds", pk)
    days = whole_days(school.starts_on, school.ends_on, school.zone)
    context = {"school": school, "form": form, "keepings": keepings(days)}
    return render(request, "lessons/holds.html", context)


@desk_only
@require_POST
def hold_release(request: HttpRequest, pk: int, hold: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    with told(request):
        release_holds(hold=get_object_or_404(without_school(), pk=hold), actor=account_of(request))
        messages.success(request, "Given back.")
    return redirect("holds", school.pk)
