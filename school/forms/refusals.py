"""Doing what a form asks, and showing in it what was refused."""

from collections.abc import Callable
from typing import TypeVar

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.forms import BaseForm

from school.errors import MarramError

T = TypeVar("T")


def attempt(form: BaseForm, act: Callable[[], T]) -> T | None:
    """What `act` returns; None if the form or the action refuses, which it then shows."""
    if not form.is_valid():
        return None
    try:
        return act()
    except (MarramError, ValidationError) as refused:
        show_refusal(form, refused)
        return None


def show_refusal(form: BaseForm, refused: MarramError | ValidationError) -> None:
    """Put the words beside the field they name, or above the form."""
    if isinstance(refused, MarramError):
        form.add_error(None, str(refused))
    elif hasattr(refused, "error_dict"):
        for name, errors in refused.error_dict.items():
            is_shown = name in form.fields and name != NON_FIELD_ERRORS
            form.add_error(name if is_shown else None, errors)
    else:
        form.add_error(None, refused)
