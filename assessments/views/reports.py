"""The desk's page of a school's reports, and the file itself for those who may read it."""

from __future__ import annotations

from django.contrib import messages
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from assessments.access import report_for_desk, report_to_read
from assessments.actions.reports import make_report_again
from assessments.models import Report
from assessments.queries.reports import progress
from school.access import school_for_desk
from school.downloads import attachment
from school.guards import account_of, desk_only, signed_in
from school.views.telling import told


@require_GET
@desk_only
def school_reports(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    context = {"school": school, "tab": "reports", "reports": progress(school)}
    return render(request, "assessments/reports/school.html", context)


@require_GET
@desk_only
def report_progress(request: HttpRequest, pk: int) -> HttpResponse:
    """The list alone, which asks for itself again while work goes on."""
    school = school_for_desk(account_of(request), pk)
    context = {"school": school, "reports": progress(school)}
    return render(request, "assessments/reports/list.html", context)


@require_POST
@desk_only
def report_again(request: HttpRequest, pk: int) -> HttpResponse:
    report = report_for_desk(account_of(request), pk)
    with told(request):
        make_report_again(report=report, actor=account_of(request))
        golfer = report.enrolment.golfer
        messages.success(request, f"The report of {golfer} was asked for again.")
    return redirect("school_reports", report.enrolment.school_id)


@require_GET
@signed_in
def report_download(request: HttpRequest, pk: int) -> FileResponse:
    report = report_to_read(account_of(request), pk)
    try:
        file = default_storage.open(report.file)
    except FileNotFoundError as error:
        raise Http404("The file is gone; the front desk can make the report again.") from error
    response = FileResponse(file, content_type="application/pdf")
    response.headers["Content-Disposition"] = attachment(_file_name(report))
    response.headers["Cache-Control"] = "private, no-store"
    return response


def _file_name(report: Report) -> str:
    school = report.enrolment.school
    return f"{report.enrolment.golfer.full_name}, {school.name}, {school.starts_on}.pdf"
