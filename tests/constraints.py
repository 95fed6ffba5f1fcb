"""Trying what the database has to refuse."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db import IntegrityError, transaction


@contextmanager
def refused(words: str = "(?i)unique|check") -> Iterator[None]:
    """A constraint refuses; that a column is empty or names no row would not do.

    SQLite names the columns of a unique constraint, PostgreSQL the constraint.
    """
    with pytest.raises(IntegrityError, match=words), transaction.atomic():
        yield
