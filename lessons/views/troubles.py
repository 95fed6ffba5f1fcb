"""What upsets a school's timetable, and planning again because of it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from lessons.actions.plans import request_replan
from lessons.actions.troubles import drop_trouble, note_trouble
from lessons.forms.troubles import ReplanForm, TroubleForm
from lessons.queries.plans import planning_of
from lessons.queries.troubles import troubles_for_desk, troubles_of
from school.access import school_for_desk
from school.forms.refusals import attempt
from school.guards import account_of, desk_only
from school.models import School
from school.views.telling import told


@desk_only
def troubles(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    form = TroubleForm(request.POST or None, school=school, now=timezone.now())
    if request.method == "POST":
        noted = attempt(form, lambda: note_trouble(actor=account_of(request), **form.wish()))
        if noted:
            messages.success(request, "Noted. Timetables keep clear of it from now on.")
            return redirect("troubles", pk)
    return _page(request, school, form)


@desk_only
@require_POST
def trouble_drop(request: HttpRequest, pk: int, trouble: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    row = get_object_or_404(troubles_for_desk(school), pk=trouble)
    drop_trouble(trouble=row, actor=account_of(request))
    messages.success(request, "Taken back.")
    return redirect("troubles", pk)


@desk_only
@require_POST
def replan_request(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    form = ReplanForm(request.POST, school=school, now=timezone.now())
    if not form.is_valid():
        return _page(request, school, replan=form)
    with told(request):
        request_replan(school=school, actor=account_of(request), **form.wish())
        return redirect("timetable", pk)
    return redirect("troubles", pk)


def _page(
    request: HttpRequest,
    school: School,
    form: TroubleForm | None = None,
    replan: ReplanForm | None = None,
) -> HttpResponse:
    now = timezone.now()
    context = {
        "school": school,
        "planning": planning_of(school),
        "lines": troubles_of(school, now),
        "form": form or TroubleForm(school=school, now=now),
        "replan": replan or ReplanForm(school=school, now=now),
    }
    return render(request, "lessons/troubles.html", context)
