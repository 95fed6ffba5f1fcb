"""The trail every action leaves, written in the action's own transaction."""

from typing import Any

from django.db.models import Model

from school.models import Account, AuditEntry


def note(*, actor: Account | None, verb: str, subject: Model, **detail: Any) -> None:
    """Record that `actor` did `verb` to `subject`; `detail` must be plain JSON values."""
    AuditEntry.objects.create(
        actor=actor,
        verb=verb,
        subject=f"{subject._meta.label_lower} {subject.pk}",
        detail=detail,
    )
