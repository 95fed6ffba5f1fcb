"""The page of a school's reports, and the file itself for those who may read it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.files import File
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from assessments.access import (
    attendee_for_desk,
    may_sign,
    own_report,
    report_for_desk,
    report_to_read,
)
from assessments.actions.links import read_report
from assessments.actions.reports import make_report_again, queue_unsigned
from assessments.models import Report
from assessments.queries.reports import progress, stamp_of
from lessons.access import school_to_teach
from school.downloads import attachment
from school.guards import (
    account_of,
    desk_only,
    desk_or_instructor,
    golfer_only,
    is_front_desk,
    signed_in,
)
from school.views.telling import told


@require_GET
@desk_or_instructor
def school_reports(request: HttpRequest, pk: int) -> HttpResponse:
    context = {**_context(request, pk), "tab": "reports"}
    return render(request, "assessments/reports/school.html", context)


@require_GET
@desk_or_instructor
def report_progress(request: HttpRequest, pk: int) -> HttpResponse:
    """The list alone, which asks for itself again while work goes on; nothing while all stands."""
    school = school_to_teach(account_of(request), pk)
    if request.GET.get("seen") == stamp_of(school):
        return HttpResponse(status=204)
    return render(request, "assessments/reports/list.html", _context(request, pk))


def _context(request: HttpRequest, pk: int) -> dict[str, Any]:
    """What the desk does is not offered to instructors, nor signing to the desk."""
    account = account_of(request)
    school = school_to_teach(account, pk)
    return {
        "school": school,
        "stamp": stamp_of(school),
        "reports": progress(school),
        "is_desk": is_front_desk(account),
        "may_sign": may_sign(account, school),
    }


@require_POST
@desk_only
def report_again(request: HttpRequest, pk: int) -> HttpResponse:
    report = report_for_desk(account_of(request), pk)
    with told(request):
        make_report_again(report=report, actor=account_of(request))
        golfer = report.enrolment.golfer
        messages.success(request, f"The report of {golfer} was asked for again.")
    return redirect("school_reports", report.enrolment.school_id)


@require_POST
@desk_only
def report_unsigned(request: HttpRequest, pk: int, enrolment_pk: int) -> HttpResponse:
    attendee = attendee_for_desk(account_of(request), pk, enrolment_pk)
    with told(request):
        report = queue_unsigned(enrolment=attendee, actor=account_of(request))
        signed = "as it was signed" if report.signature else "without a signature"
        messages.success(request, f"The report of {attendee.golfer} was asked for {signed}.")
    return redirect("school_reports", pk)


@require_GET
@signed_in
def report_download(request: HttpRequest, pk: int) -> FileResponse:
    """Any version that was made: one that was replaced says so in its name."""
    report = report_to_read(account_of(request), pk)
    return stored_file(report.file, attachment(file_name(report)))


@require_POST
@golfer_only
def report_fetch(request: HttpRequest, pk: int) -> HttpResponseBase:
    """The golfer's own button, by which it is known that the report was opened."""
    report = own_report(account_of(request), pk)
    with told(request):
        return file_response(read_report(report=report), attachment(file_name(report)))
    return redirect("mine")


def stored_file(name: str, disposition: str, content_type: str = "application/pdf") -> FileResponse:
    try:
        file = default_storage.open(name)
    except FileNotFoundError as error:
        raise Http404("The file is gone; it can be made again.") from error
    return file_response(file, disposition, content_type)


def file_response(
    file: File[bytes], disposition: str, content_type: str = "application/pdf"
) -> FileResponse:
    response = FileResponse(file, content_type=content_type)
    response.headers["Content-Disposition"] = disposition
    response.headers["Cache-Control"] = "private, no-store"
    return response


def file_name(report: Report) -> str:
    school = report.enrolment.school
    version = f", version {report.version}" if report.version > 1 else ""
    replaced = "" if report.is_current else ", replaced"
    golfer = report.enrolment.golfer.full_name
    return f"{golfer}, {school.name}, {school.starts_on}{version}{replaced}.pdf"
