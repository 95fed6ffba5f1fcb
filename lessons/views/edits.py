"""Changing a timetable by hand: the grid, a session's choices, and what is done from them."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from lessons.access import plan_for_desk
from lessons.actions.edits import copy_plan, move_session, pin_session, undo_edit
from lessons.forms.edits import MoveForm
from lessons.models import Plan, Session
from lessons.queries.edits import objections_to_move, places_for
from lessons.queries.fit import objections
from lessons.queries.grid import asked_by, grid_of, slot_of
from lessons.queries.groups import group_of
from lessons.queries.history import can_change, plan_before, steps_of
from lessons.queries.places import cells_for, choices_for, names
from school.forms.refusals import attempt
from school.guards import account_of, desk_only
from school.views.telling import told

VIEWS = (("squad", "By squad"), ("bay", "By bay"), ("instructor", "By instructor"))


@desk_only
@require_GET
def plan_edit(request: HttpRequest, pk: int) -> HttpResponse:
    plan = found_plan(request, pk)
    context = {
        "plan": plan,
        "school": plan.school,
        "grid": grid_of(plan, asked_by(request.GET.get("by", ""))),
        "shown_day": _day(request, plan),
        "steps": steps_of(plan),
        "before": plan_before(plan),
        "can_change": can_change(plan),
        "objections": objections(plan) if can_change(plan) else [],
        "views": VIEWS,
    }
    return render(request, "lessons/plan_edit.html", context)


@desk_only
@require_GET
def plan_session(request: HttpRequest, pk: int, session: int) -> HttpResponse:
    """A session and every place it could have; tried out by the form, if the address says where."""
    plan = found_plan(request, pk)
    found = _session(plan, session)
    if "day" not in request.GET:
        return _session_page(request, found, MoveForm(plan=plan, initial=_as_it_is(found)))
    form = MoveForm({**request.GET.dict(), "session": session}, plan=plan)
    tried = objections_to_move(found, **form.wish()) if form.is_valid() else None
    return _session_page(request, found, form, tried)


@desk_only
@require_GET
def plan_places(request: HttpRequest, pk: int, session: int) -> HttpResponse:
    """Every cell of the grid for one session, so that the page can say before a drop what fits."""
    plan = found_plan(request, pk)
    by = asked_by(request.GET.get("by", ""))
    places = cells_for(_session(plan, session), by, grid_of(plan, by).columns)
    named = names()
    return JsonResponse(
        {
            "places": [
                {
                    "day": place.day,
                    "slot": place.slot,
                    "column": place.column,
                    "words": place.words,
                    "bay": place.bay,
                    "instructor": place.instructor,
                    "gets": named.of(place),
                }
                for place in places
            ]
        }
    )


@desk_only
@require_GET
def plan_check(request: HttpRequest, pk: int) -> HttpResponse:
    form = MoveForm(request.GET, plan=found_plan(request, pk))
    if form.is_valid():
        words = objections_to_move(form.cleaned_data["session"], **form.wish())
    else:
        words = form.sentences()
    return JsonResponse({"ok": not words, "words": words})


@desk_only
@require_POST
def plan_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Answers a script in JSON, and a form with the grid or, refused, with the form again."""
    plan = found_plan(request, pk)
    form = MoveForm(request.POST, plan=plan)
    step = attempt(
        form,
        lambda: move_session(
            session=form.cleaned_data["session"], actor=account_of(request), **form.wish()
        ),
    )
    if step:
        messages.success(request, step.words)
    if request.headers.get("Accept") == "application/json":
        return JsonResponse({"ok": step is not None, "words": form.sentences()})
    if step:
        return _grid(plan)
    return _session_page(request, _session(plan, request.POST.get("session")), form)


@desk_only
@require_POST
def plan_pin(request: HttpRequest, pk: int) -> HttpResponse:
    plan = found_plan(request, pk)
    session = _session(plan, request.POST.get("session"))
    with told(request):
        pinned = request.POST.get("pinned") == "1"
        step = pin_session(session=session, pinned=pinned, actor=account_of(request))
        if step:
            messages.success(request, step.words)
    return _back(request, plan)


@desk_only
@require_POST
def plan_undo(request: HttpRequest, pk: int) -> HttpResponse:
    plan = found_plan(request, pk)
    with told(request):
        step = undo_edit(plan=plan, actor=account_of(request))
        messages.success(request, f"Taken back: {step.words}")
    return _back(request, plan)


@desk_only
@require_POST
def plan_copy(request: HttpRequest, pk: int) -> HttpResponse:
    plan = found_plan(request, pk)
    with told(request):
        return _grid(copy_plan(plan=plan, actor=account_of(request)))
    return redirect("timetable", plan.school_id)


def found_plan(request: HttpRequest, pk: int) -> Plan:
    """A timetable that there is; one that is looked for has nothing to show."""
    plan = plan_for_desk(account_of(request), pk)
    if plan.state != Plan.State.DONE:
        raise Http404
    return plan


def _session(plan: Plan, key: object) -> Session:
    sessions = plan.sessions.select_related(
        "visit__station", "squad", "bay", "instructor__staff__account"
    )
    return get_object_or_404(sessions, pk=int(text) if (text := str(key)).isdecimal() else 0)


def _day(request: HttpRequest, plan: Plan) -> int:
    """The day that is shown, from 1; the first if the address asks for none there is."""
    asked = request.GET.get("day", "")
    days = range(1, len(plan.school.dates) + 1)
    return int(asked) if asked.isdecimal() and int(asked) in days else 1


def _grid(plan: Plan) -> HttpResponse:
    return redirect("plan_edit", plan.pk)


def _back(request: HttpRequest, plan: Plan) -> HttpResponse:
    """To the grid as it was looked at."""
    by, day = asked_by(request.POST.get("by", "")), request.POST.get("day", "1")
    return redirect(reverse("plan_edit", args=[plan.pk], query={"by": by, "day": day}))


def _as_it_is(session: Session) -> dict[str, Any]:
    day, slot = slot_of(session)
    return {
        "session": session.pk,
        "day": day,
        "slot": slot,
        "bay": session.bay_id,
        "instructor": session.instructor_id,
    }


def _session_page(
    request: HttpRequest, session: Session, form: MoveForm, tried: list[str] | None = None
) -> HttpResponse:
    context = {
        "plan": session.plan,
        "school": session.plan.school,
        "session": session,
        "group": group_of(session),
        "form": form,
        "tried": tried,
        "days": choices_for(session, places_for(session), names()),
        "can_change": can_change(session.plan),
        "by": asked_by(request.GET.get("by", "")),
        "shown_day": slot_of(session)[0] + 1,
    }
    return render(request, "lessons/plan_session.html", context)
