"""Reports on their way to golfers: addresses that end, and all of a school in one file."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from assessments.access import bundle_for_desk, report_for_desk, report_link_for_desk
from assessments.actions.bundles import ask_bundle
from assessments.actions.links import link_of, open_link, revoke_link, send_report
from assessments.models import Bundle, ReportLink
from assessments.reports.errors import FileGone, LinkEnded
from assessments.views.reports import file_name, file_response, stored_file
from school.access import school_for_desk
from school.downloads import attachment
from school.guards import account_of, desk_only, public
from school.views.telling import told


@require_POST
@desk_only
def report_send(request: HttpRequest, pk: int) -> HttpResponse:
    report = report_for_desk(account_of(request), pk)
    with told(request):
        link = send_report(report=report, actor=account_of(request))
        messages.success(request, f"The report goes to {link.sent_to} under a new address.")
    return redirect("school_reports", report.enrolment.school_id)


@require_POST
@desk_only
def link_revoke(request: HttpRequest, pk: UUID) -> HttpResponse:
    link = report_link_for_desk(account_of(request), pk)
    revoke_link(link=link, actor=account_of(request))
    messages.success(request, f"The address that went to {link.sent_to} has ended.")
    return redirect("school_reports", link.report.enrolment.school_id)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@public
def report_by_link(request: HttpRequest, sealed: str) -> HttpResponseBase:
    """Who has the address may fetch the report; programs that only look at links open nothing."""
    link = link_of(sealed)
    if link is None:
        raise Http404
    if request.method == "POST":
        try:
            file = open_link(link=link)
        except LinkEnded:
            return redirect("report_by_link", sealed)
        except FileGone as gone:
            return _landing(request, link, refused=str(gone), status=404)
        return file_response(file, attachment(file_name(link.report)))
    return _landing(request, link, status=410 if link.has_ended else 200)


def _landing(
    request: HttpRequest, link: ReportLink, *, status: int, refused: str = ""
) -> HttpResponse:
    context = {
        "link": link,
        "school": link.report.enrolment.school,
        "golfer": link.report.enrolment.golfer,
        "refused": refused,
    }
    return render(request, "assessments/reports/by_link.html", context, status=status)


@require_POST
@desk_only
def bundle_ask(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    if kind not in Bundle.Kind.values:
        raise Http404
    with told(request):
        bundle = ask_bundle(school=school, kind=kind, actor=account_of(request))
        messages.success(
            request, f"{bundle.get_kind_display().capitalize()} is being put together."
        )
    return redirect("school_reports", school.pk)


@require_GET
@desk_only
def bundle_download(request: HttpRequest, pk: int) -> FileResponse:
    bundle = bundle_for_desk(account_of(request), pk)
    is_archive = bundle.kind == Bundle.Kind.ARCHIVE
    name = f"Reports, {bundle.school.name}, {bundle.school.starts_on}"
    return stored_file(
        bundle.file,
        attachment(f"{name}.{'zip' if is_archive else 'pdf'}"),
        "application/zip" if is_archive else "application/pdf",
    )
