"""Where somebody lands after signing in: the page of their job."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from school.context import doors
from school.guards import account_of


def home(request: HttpRequest) -> HttpResponse:
    open_doors = doors(account_of(request))
    if open_doors:
        return redirect(open_doors[0].url)
    return render(request, "school/nothing_here.html")
