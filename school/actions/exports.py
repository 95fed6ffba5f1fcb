"""Handing out a file of personal data, which leaves a trail."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction

from school.actions.audit import note
from school.exports import to_csv
from school.models import Account, School
from school.queries import exports


def export_cohort(*, school: School, columns: Sequence[str], actor: Account | None) -> str:
    """The school's attendees and waiting list as CSV, with the columns asked for and no others.

    Raises ExportRefused for no column or an unknown one.
    """
    chosen = exports.asked_for(exports.COHORT, columns)
    rows = exports.cohort_rows(school)
    _note(school, "cohort", [column.key for column in chosen], len(rows), actor)
    return to_csv([c.title for c in chosen], ([c.value(row) for c in chosen] for row in rows))


def export_ledger(*, school: School, columns: Sequence[str], actor: Account | None) -> str:
    """The school's ledger as CSV, with the columns asked for and no others.

    Raises ExportRefused for no column or an unknown one.
    """
    chosen = exports.asked_for(exports.LEDGER, columns)
    rows = exports.ledger_rows(school)
    _note(school, "ledger", [column.key for column in chosen], len(rows), actor)
    return to_csv([c.title for c in chosen], ([c.value(row) for c in chosen] for row in rows))


def _note(school: School, what: str, columns: list[str], rows: int, actor: Account | None) -> None:
    with transaction.atomic(durable=True):
        note(actor=actor, verb="export", subject=school, what=what, columns=columns, rows=rows)
