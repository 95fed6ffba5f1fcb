"""Writing reference rows: programmes, staff, stations, bays and the like.

The admin opens the transaction around these; they join it, so that a row, its relations and
its trail are kept or lost together.
"""

from collections.abc import Iterable

from django.core.exceptions import FieldDoesNotExist
from django.db import models, transaction

from school.actions.audit import note
from school.models import Account


def save_reference(*, row: models.Model, changed: Iterable[str], actor: Account | None) -> None:
    """Write a new row, or the `changed` fields of an old one; names without a column are noted."""
    names = list(changed)
    with transaction.atomic(savepoint=False):
        row.full_clean()
        if row._state.adding:
            row.save(force_insert=True)
            note(actor=actor, verb="add", subject=row)
        else:
            row.save(update_fields=[name for name in names if _is_column(row, name)])
            note(actor=actor, verb="change", subject=row, fields=names)


def delete_reference(*, row: models.Model, actor: Account | None) -> None:
    """Remove a row that nothing protected leans on."""
    with transaction.atomic(savepoint=False):
        note(actor=actor, verb="delete", subject=row, was=str(row))
        row.delete()


def set_password(*, account: Account, password: str | None, actor: Account | None) -> None:
    """Give the account a new password; None leaves it without one."""
    with transaction.atomic(durable=True):
        account.set_password(password)
        account.save(update_fields=["password"])
        note(actor=actor, verb="set_password", subject=account)


def _is_column(row: models.Model, name: str) -> bool:
    try:
        return (
            bool(row._meta.get_field(name).concrete) and not row._meta.get_field(name).many_to_many
        )
    except FieldDoesNotExist:
        return False
