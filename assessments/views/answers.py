"""What a script that sent a still is answered."""

from __future__ import annotations

from django.forms import BaseForm
from django.http import HttpRequest, JsonResponse
from django.urls import reverse

from assessments.errors import StillConflict
from assessments.models import Still
from school.errors import MarramError


def wants_json(request: HttpRequest) -> bool:
    return request.headers.get("Accept") == "application/json"


def still_kept(still: Still) -> JsonResponse:
    """The same for the first time and for a repetition."""
    return JsonResponse(
        {"still": str(still.pk), "url": reverse("still_mark", args=[still.pk])}, status=201
    )


def still_refused(refused: MarramError) -> JsonResponse:
    """409 asks for another number or another picture, 422 for something else to be put right."""
    status = 409 if isinstance(refused, StillConflict) else 422
    return JsonResponse({"errors": [str(refused)]}, status=status)


def form_refused(form: BaseForm) -> JsonResponse:
    """Every error in words, with the label of its field where the words do not say it."""
    return JsonResponse({"errors": _sentences(form)}, status=422)


def _sentences(form: BaseForm) -> list[str]:
    return [
        str(error) if name == "__all__" else f"{form[name].label}: {error}"
        for name, errors in form.errors.items()
        for error in errors
    ]
