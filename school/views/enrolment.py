"""Enrolling one golfer or a whole list."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from school.access import school_for_desk
from school.actions.enrolment import enrol
from school.actions.imports import import_golfers
from school.clock import today_at
from school.forms.golfers import EnrolForm
from school.forms.imports import ImportForm
from school.forms.refusals import attempt
from school.golfer_csv import MAX_ROWS, SAMPLE, read_golfers
from school.guards import account_of, desk_only
from school.models import Enrolment, School
from school.queries.consents import latest_texts
from school.queries.imports import ImportPlan, plan_import
from school.wording import count_of


@desk_only
def school_enrol(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    form = EnrolForm(request.POST or None, today=today_at(school), texts=latest_texts())
    if request.method == "POST":
        enrolment = attempt(
            form,
            lambda: enrol(
                school=school,
                golfer=form.details(),
                agreement=form.agreement(),
                actor=account_of(request),
            ),
        )
        if enrolment:
            messages.success(request, _what_happened(enrolment))
            return redirect(school)
    return render(request, "school/enrol.html", {"school": school, "form": form})


@desk_only
def school_import(request: HttpRequest, pk: int) -> HttpResponse:
    """A dry run first; the second button reads and judges the same text all over again."""
    school = school_for_desk(account_of(request), pk)
    form = ImportForm(request.POST or None, request.FILES or None)
    plan = attempt(form, lambda: _plan(school, form)) if request.method == "POST" else None
    if plan and not plan.errors and "confirm" in request.POST:
        done = attempt(
            form,
            lambda: import_golfers(school=school, data=plan.text, actor=account_of(request)),
        )
        if done:
            messages.success(request, _what_was_imported(done))
            return redirect(school)
    if plan and form.is_valid():
        form = ImportForm(initial={"golfers": plan.text})  # a file too is mended in the page
    context = {"school": school, "form": form, "plan": plan, "sample": SAMPLE, "most": MAX_ROWS}
    return render(request, "school/import.html", context)


def _plan(school: School, form: ImportForm) -> ImportPlan:
    return plan_import(school, read_golfers(form.content(), today=today_at(school)))


def _what_happened(enrolment: Enrolment) -> str:
    if enrolment.is_seated:
        return f"{enrolment.golfer} has seat {enrolment.seat}."
    return f"The school is full. {enrolment.golfer} is on the waiting list."


def _what_was_imported(done: ImportPlan) -> str:
    seated = sum(row.seat is not None for row in done.rows)
    waiting = sum(row.place is not None for row in done.rows)
    before = len(done.rows) - seated - waiting
    parts = [f"{count_of(seated, 'golfer')} seated"]
    if waiting:
        parts.append(f"{waiting} on the waiting list")
    if before:
        parts.append(f"{before} already enrolled and left as they were")
    return f"Imported: {', '.join(parts)}."
