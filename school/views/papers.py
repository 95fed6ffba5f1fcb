"""Receipts and statements, for the desk and for the golfer whose they are."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.template.loader import render_to_string
from django.views.decorators.http import require_GET

from school.access import enrolment_for_statement, payment_for_receipt
from school.clock import today_at
from school.downloads import attachment
from school.guards import account_of, signed_in
from school.printing import print_pdf
from school.queries.papers import receipt_of, statement_of
from school.views.telling import told

SHEETS = ("paper.css",)


@require_GET
@signed_in
def receipt(request: HttpRequest, pk: int) -> HttpResponse:
    entry = payment_for_receipt(account_of(request), pk)
    html = render_to_string("pdf/receipt.html", {"receipt": receipt_of(entry)})
    return _pdf(request, html, f"Receipt {pk}, {entry.enrolment.golfer.full_name}.pdf")


@require_GET
@signed_in
def statement(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = enrolment_for_statement(account_of(request), pk)
    school = enrolment.school
    context = {"statement": statement_of(enrolment), "today": today_at(school)}
    html = render_to_string("pdf/statement.html", context)
    return _pdf(request, html, f"Statement, {enrolment.golfer.full_name}, {school.name}.pdf")


def _pdf(request: HttpRequest, html: str, name: str) -> HttpResponse:
    with told(request):
        content = print_pdf(html, sheets=SHEETS).content
        response = HttpResponse(content, content_type="application/pdf")
        response.headers["Content-Disposition"] = attachment(name)
        response.headers["Cache-Control"] = "private, no-store"
        return response
    return redirect("home")
