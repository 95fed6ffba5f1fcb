"""Rows that are written once. The database also refuses an update, by a trigger."""

from typing import Any

from django.db import models


class AppendOnly(models.Model):
    """A mistake in such a row is reversed by another one, which says why."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        kwargs["force_insert"] = True
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        name = self._meta.verbose_name
        raise TypeError(f"A {name} is never deleted; reverse it with another entry.")
