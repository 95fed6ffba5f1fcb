"""The golfer's own page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from assessments.queries.mine import my_schools
from school.guards import account_of, golfer_only


@require_GET
@golfer_only
def mine(request: HttpRequest) -> HttpResponse:
    schools = my_schools(account_of(request))
    return render(request, "assessments/mine.html", {"schools": schools})
