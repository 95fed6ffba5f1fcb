"""Searching people, and who of them may be on file twice."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from school.forms.desk import SearchForm
from school.guards import desk_only
from school.queries.duplicates import suggestions
from school.queries.search import find_people


@desk_only
def search(request: HttpRequest) -> HttpResponse:
    form = SearchForm(request.GET or None, auto_id="search_%s")
    words = form.cleaned_data["q"] if form.is_valid() else ""
    found = find_people(words, request.GET.get("page", 1))
    context = {"form": form, "words": words, "found": found}
    return render(request, "school/desk/people.html", context)


@desk_only
def duplicates(request: HttpRequest) -> HttpResponse:
    return render(request, "school/desk/duplicates.html", {"pairs": suggestions()})
