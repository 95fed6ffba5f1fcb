"""The instruments whose tables can be read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from assessments.flight_csv import CARRY, CLUB, COLUMNS, Reading, Table, guessed, units_told
from assessments.flight_csv.columns import folded
from assessments.models import Instrument


@dataclass(frozen=True)
class InstrumentLine:
    """An instrument and the quantities that its table gives."""

    instrument: Instrument
    gives: tuple[str, ...]


def instrument_lines() -> list[InstrumentLine]:
    """Every instrument by its name. 1 query."""
    return [
        InstrumentLine(
            each,
            tuple(column.title for column in (CLUB, *COLUMNS) if column.key in each.columns),
        )
        for each in Instrument.objects.select_related("saved_by")
    ]


def saved_headings() -> frozenset[str]:
    """Every heading that an instrument of the house is known to use. 1 query."""
    maps: list[Mapping[str, str]] = list(Instrument.objects.values_list("columns", flat=True))
    return frozenset(heading for columns in maps for heading in columns.values())


def reading_of(table: Table, instrument: Instrument | None) -> Reading:
    """How the table is to be read: as the instrument has it, else as the table itself tells.

    A unit that the table names stands before the instrument's. An instrument whose carry is not
    in the table is another one's and says nothing. No query.
    """
    guess = guessed(table)
    if instrument is None:
        return guess
    here = {folded(heading): heading for heading in reversed(table.headings)}
    columns = {
        key: here[folded(heading)]
        for key, heading in instrument.columns.items()
        if folded(heading) in here
    }
    if CARRY.key not in columns:
        return guess
    units = {**instrument.units, **units_told(table, columns)}
    return Reading(columns, units, instrument.side_sign)
