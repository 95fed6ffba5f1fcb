"""Saying on the next page what was done or refused."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.contrib import messages
from django.http import HttpRequest

from school.errors import MarramError


@contextmanager
def told(request: HttpRequest) -> Iterator[None]:
    """Turn an action's refusal into a message; for buttons that have no form to show it in."""
    try:
        yield
    except MarramError as refused:
        messages.error(request, str(refused))
