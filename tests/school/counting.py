"""How many queries something takes."""

from collections.abc import Callable

from django.db import connection
from django.test.utils import CaptureQueriesContext


def queries_of(act: Callable[[], object]) -> int:
    with CaptureQueriesContext(connection) as seen:
        act()
    return len(seen)
