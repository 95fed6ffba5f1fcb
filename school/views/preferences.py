"""The units and the language of a golfer: set at the desk, or by the golfer."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from school.access import golfer_for_desk
from school.actions.preferences import set_preferences
from school.forms.preferences import PreferencesForm, preferences_of
from school.forms.refusals import attempt
from school.guards import account_of, desk_only, golfer_only
from school.models import Golfer


@desk_only
@require_http_methods(["GET", "POST"])
def golfer_preferences(request: HttpRequest, pk: int) -> HttpResponse:
    golfer = golfer_for_desk(account_of(request), pk)
    if golfer.merged_into_id is not None:
        return redirect("golfer_preferences", golfer.merged_into_id)
    return _preferences(request, golfer, reverse("golfer", args=[golfer.pk]))


@golfer_only
@require_http_methods(["GET", "POST"])
def my_preferences(request: HttpRequest) -> HttpResponse:
    return _preferences(request, account_of(request).golfer, reverse("mine"))


def _preferences(request: HttpRequest, golfer: Golfer, back: str) -> HttpResponse:
    form = PreferencesForm(request.POST or None, initial=preferences_of(golfer))
    if request.method == "POST":
        kept = attempt(
            form,
            lambda: set_preferences(golfer=golfer, actor=account_of(request), **form.cleaned_data),
        )
        if kept:
            messages.success(
                request, "Kept. Reports made from now on are written that way; old ones stay."
            )
            return redirect(back)
    context = {"form": form, "golfer": golfer, "back": back}
    return render(request, "school/preferences.html", context)
