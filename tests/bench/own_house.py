"""A house of its own for a bench: a database in memory, files in a temporary folder."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def own_house() -> Iterator[None]:
    """Set Django up on an empty, migrated database, before anything of the apps is imported."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update(
            DJANGO_SETTINGS_MODULE="school.config.settings",
            DATABASE_URL="sqlite://:memory:",
            MARRAM_VAR_DIR=folder,
        )
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0)
        yield
