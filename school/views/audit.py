"""The trail of everything that was done."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from school.forms.desk import TrailForm
from school.guards import desk_only
from school.queries.audit import Trail, trail


@desk_only
def audit_trail(request: HttpRequest) -> HttpResponse:
    form = TrailForm(request.GET, auto_id="trail_%s")
    found: Trail | None = None
    if form.is_valid():
        found = trail(form.wanted(), request.GET.get("page", 1))
    return render(request, "school/desk/audit.html", {"form": form, "trail": found})
