"""What was found of one attendee."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from assessments.access import attendee_to_teach, may_sign
from assessments.queries.found import found_of
from school.guards import account_of, is_instructor, signed_in


@require_GET
@signed_in
def attendee_findings(request: HttpRequest, pk: int, enrolment_pk: int) -> HttpResponse:
    account = account_of(request)
    enrolment = attendee_to_teach(account, pk, enrolment_pk)
    context = {
        "enrolment": enrolment,
        "found": found_of(enrolment),
        "teaches": is_instructor(account),
        "may_sign": may_sign(account, enrolment.school),
    }
    return render(request, "assessments/findings/attendee.html", context)
