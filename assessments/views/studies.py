"""Repeatability studies: the list, one study, what it found, and whether that counts."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from assessments.access import study_to_see
from assessments.actions.studies import (
    close_study,
    give_up_study,
    open_study,
    put_in_force,
    take_out_of_force,
)
from assessments.errors import StudyRefused
from assessments.forms.studies import StudyForm
from assessments.models import Study
from assessments.queries.studies import (
    candidates,
    next_for,
    progress_of,
    study_lines,
)
from assessments.queries.study_results import (
    MARKING_TITLES,
    RESULT_TITLES,
    in_short,
    marking_table,
    measures_left_out,
    measures_of_habits,
    result_rows,
    result_table,
)
from school.exports import to_csv
from school.forms.refusals import attempt
from school.guards import account_of, desk_or_instructor, instructor_only, is_instructor

NOTHING_TO_MARK = (
    "Nothing is left for you to mark here: every turn is begun by somebody else, or whole, or its "
    "stills are of schools that you do not teach in."
)


@desk_or_instructor
@require_http_methods(["GET", "POST"])
def studies(request: HttpRequest) -> HttpResponse:
    drawable = {place: len(stills) for place, stills in candidates(account_of(request)).items()}
    form = StudyForm(request.POST or None, drawable=drawable)
    if request.method == "POST":
        opened = attempt(
            form, lambda: open_study(opened_by=account_of(request), **form.cleaned_data)
        )
        if opened:
            messages.success(request, f"The study “{opened}” is open. Its stills are drawn.")
            return redirect("study", opened.pk)
    context = {"lines": study_lines(Study.objects.all()), "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "assessments/studies/list.html", context, status=status)


@desk_or_instructor
@require_GET
def study(request: HttpRequest, pk: int) -> HttpResponse:
    found = study_to_see(pk)
    if found.closed_at is not None:
        return _closed(request, found)
    account = account_of(request)
    context = {
        "study": found,
        "progress": progress_of(found),
        "next": next_for(found, account) if is_instructor(account) else None,
        "marks": is_instructor(account),
    }
    return render(request, "assessments/studies/open.html", context)


def _closed(request: HttpRequest, study: Study) -> HttpResponse:
    context = {
        "study": study,
        "progress": progress_of(study),
        "rows": result_rows(study),
        "in_short": in_short(study),
        "left_out": measures_left_out(study),
        "of_habits": measures_of_habits(study),
        "in_force": Study.objects.filter(place=study.place, is_in_force=True).first(),
    }
    return render(request, "assessments/studies/closed.html", context)


@instructor_only
@require_GET
def study_next(request: HttpRequest, pk: int) -> HttpResponse:
    """Go to the next still of a study, on the page that shows no earlier marks."""
    found = study_to_see(pk)
    following = next_for(found, account_of(request)) if found.closed_at is None else None
    if following is None:
        messages.info(request, NOTHING_TO_MARK)
        return redirect("study", pk)
    asked = {"again": 1, "study": pk, "turn": following.turn}
    return redirect(reverse("still_mark", args=[following.still], query=asked))


@desk_or_instructor
@require_POST
def study_close(request: HttpRequest, pk: int) -> HttpResponse:
    act = give_up_study if "give_up" in request.POST else close_study
    try:
        closed = act(study=study_to_see(pk), actor=account_of(request))
    except StudyRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"The study “{closed}” is closed.")
    return redirect("study", pk)


@desk_or_instructor
@require_POST
def study_force(request: HttpRequest, pk: int) -> HttpResponse:
    act = take_out_of_force if "end" in request.POST else put_in_force
    try:
        done = act(study=study_to_see(pk), actor=account_of(request))
    except StudyRefused as refused:
        messages.error(request, str(refused))
    else:
        counts = "counts from now on" if done.is_in_force else "no longer counts"
        messages.success(request, f"What the study “{done}” found {counts} at {done.place}.")
    return redirect("study", pk)


TABLES = {
    "results": (RESULT_TITLES, result_table),
    "markings": (MARKING_TITLES, marking_table),
}


@desk_or_instructor
@require_GET
def study_table(request: HttpRequest, pk: int, table: str) -> HttpResponse:
    """A closed study as a file; while it is open nobody sees what others marked."""
    found = study_to_see(pk)
    if found.closed_at is None or table not in TABLES:
        raise Http404
    titles, rows = TABLES[table]
    name = f"{slugify(found.name) or 'study'}-{table}.csv"
    return HttpResponse(
        to_csv(titles, rows(found)),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
