"""The owner's page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lessons.queries.owner import overview
from school.guards import account_of, owner_only


@owner_only
@require_GET
def owner(request: HttpRequest) -> HttpResponse:
    return render(request, "lessons/owner.html", {"overview": overview(account_of(request))})
