"""Keeping how an instrument writes its table."""

from __future__ import annotations

from collections.abc import Mapping

from django.core.exceptions import ValidationError
from django.utils import timezone

from assessments.flight_csv import CARRY, CLUB, COLUMNS, units_of
from assessments.models import Instrument
from school.actions.audit import note
from school.actions.retry import in_a_fresh_transaction
from school.models import Account


def save_instrument(
    *,
    name: str,
    columns: Mapping[str, str],
    units: Mapping[str, str],
    side_sign: int,
    actor: Account,
    instrument: Instrument | None = None,
) -> Instrument:
    """Set up an instrument, or change `instrument`: which heading is which, and in what unit.

    Raises ValidationError, with words by column of the row, for a name that is taken, a table
    without a carry, and a unit that is none of its quantity's.
    """
    wanted = {
        "name": " ".join(name.split()),
        "columns": dict(columns),
        "units": dict(units),
        "side_sign": side_sign,
    }
    _refuse_what_is_unknown(columns, units)
    return in_a_fresh_transaction(lambda: _save(instrument, wanted, actor))


def _refuse_what_is_unknown(columns: Mapping[str, str], units: Mapping[str, str]) -> None:
    if not columns.get(CARRY.key):
        raise ValidationError({"columns": "Say which column is the carry."})
    offered = {column.key: {unit.key for unit in units_of(column)} for column in COLUMNS}
    unknown = columns.keys() - offered.keys() - {CLUB.key}
    if unknown:
        raise ValidationError({"columns": f"Nobody knows what {', '.join(sorted(unknown))} is."})
    for column in COLUMNS:
        if column.key in columns and units.get(column.key) not in offered[column.key]:
            raise ValidationError({"units": f"Say what the {column.title} is written in."})


def _save(
    instrument: Instrument | None, wanted: Mapping[str, object], actor: Account
) -> Instrument:
    row = Instrument()
    if instrument is not None:
        row = Instrument.objects.select_for_update().get(pk=instrument.pk)
    changed = [name for name, value in wanted.items() if getattr(row, name) != value]
    for name in changed:
        setattr(row, name, wanted[name])
    if row.pk is not None and not changed:
        return row
    row.saved_by, row.saved_at = actor, timezone.now()
    row.full_clean()
    if row.pk is None:
        row.save(force_insert=True)
        note(actor=actor, verb="add_instrument", subject=row)
    else:
        row.save(update_fields=[*changed, "saved_by", "saved_at"])
        note(actor=actor, verb="change_instrument", subject=row, fields=changed)
    return row
