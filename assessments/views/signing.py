"""Looking at the pages of a report, and signing them."""

from __future__ import annotations

from django.contrib import messages
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from assessments.access import attendee_to_sign, preview_to_see
from assessments.actions.signing import ask_preview, sign_report
from assessments.models import Signature
from assessments.queries.signing import signing_of
from assessments.reports.page_pictures import page_png
from assessments.views.pictures import kept_by_the_browser
from assessments.views.reports import stored_file
from school.guards import account_of, instructor_only
from school.views.telling import told


@instructor_only
@require_http_methods(["GET", "POST"])
def report_sign(request: HttpRequest, pk: int, enrolment_pk: int) -> HttpResponse:
    """The pages as they would be, what is missing, and the button that signs them."""
    attendee = attendee_to_sign(account_of(request), pk, enrolment_pk)
    if request.method == "POST":
        with told(request):
            signature = sign_report(
                enrolment=attendee,
                actor=account_of(request),
                content_sha256=request.POST.get("content_sha256", ""),
            )
            _say_signed(request, signature)
        return redirect("report_sign", pk, enrolment_pk)
    return render(request, "assessments/signing/sign.html", {"signing": signing_of(attendee)})


def _say_signed(request: HttpRequest, signature: Signature) -> None:
    golfer, signed_by = signature.enrolment.golfer, signature.signed_by
    if signed_by == account_of(request):
        messages.success(request, f"You signed the report of {golfer}.")
    else:
        messages.info(request, f"{signed_by} had signed the report of {golfer} before you.")


@instructor_only
@require_POST
def report_preview(request: HttpRequest, pk: int, enrolment_pk: int) -> HttpResponse:
    attendee = attendee_to_sign(account_of(request), pk, enrolment_pk)
    with told(request):
        ask_preview(enrolment=attendee, actor=account_of(request))
    return redirect("report_sign", pk, enrolment_pk)


@instructor_only
@require_GET
def preview_file(request: HttpRequest, pk: int) -> FileResponse:
    """The pages as a PDF, whose text can be searched, enlarged and read aloud."""
    preview = preview_to_see(account_of(request), pk)
    return stored_file(preview.file, "inline")


@instructor_only
@require_GET
def preview_page(request: HttpRequest, pk: int, number: int) -> HttpResponseBase:
    """One page as a picture. The name of the file is new whenever the pages are."""
    preview = preview_to_see(account_of(request), pk)
    tag = f'"{preview.file}-{number}"'
    unchanged = get_conditional_response(request, etag=tag)
    if unchanged is not None:
        return kept_by_the_browser(unchanged, tag)
    try:
        with default_storage.open(preview.file) as file:
            drawn = page_png(file.read(), number)
    except (FileNotFoundError, IndexError) as error:
        raise Http404("There is no such page; have the pages made again.") from error
    return kept_by_the_browser(HttpResponse(drawn, content_type="image/png"), tag)
