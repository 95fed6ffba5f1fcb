"""From the rows of a table to shots in SI units, given which column is which."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from assessments.flight_csv.cells import Number, decimal_of, is_empty, number, unit_in
from assessments.flight_csv.columns import CLUB, COLUMNS, UNITS, Column, column_called, units_of
from assessments.flight_csv.table import LeftOut, Row, Table

PLACES = 4


@dataclass(frozen=True)
class Reading:
    """How a table is read: `columns` are headings and `units` units, by the key of a column.

    `side_sign` is 1 if the table counts + to the right, -1 if to the left; letters need neither.
    `decimal` is the mark before decimals; empty: as the table tells.
    """

    columns: Mapping[str, str]
    units: Mapping[str, str] = field(default_factory=dict)
    side_sign: int = 1
    decimal: str = ""


@dataclass(frozen=True)
class ShotRow:
    """One row: `values` in SI units by the key of a column, `words` for what cannot be read."""

    number: int
    club: str
    values: dict[str, float]
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class ShotSheet:
    rows: tuple[ShotRow, ...]
    left_out: tuple[LeftOut, ...]


def guessed(table: Table) -> Reading:
    """Which column is which, and in what unit, as far as the table itself tells."""
    best: dict[str, tuple[int, str]] = {}
    for heading in table.headings:
        found = column_called(heading)
        if found is not None:
            column, rank = found
            best[column.key] = min(best.get(column.key, (rank, heading)), (rank, heading))
    columns = {key: heading for key, (_, heading) in best.items()}
    return Reading(columns, units_told(table, columns))


def units_told(table: Table, columns: Mapping[str, str]) -> dict[str, str]:
    """The units that are told, and those of quantities that have but one."""
    found = {}
    for column in COLUMNS:
        heading = columns.get(column.key, "")
        told = table.units.get(heading) or _unit_in_cells(table, heading)
        offered = [unit.key for unit in units_of(column)]
        if told in offered:
            found[column.key] = told
        elif len(offered) == 1:
            found[column.key] = offered[0]
    return found


def _unit_in_cells(table: Table, heading: str) -> str:
    """The unit that every cell of the column names, if they name one: “150 yd”."""
    if heading not in table.headings:
        return ""
    at = table.headings.index(heading)
    cells = [row.cells[at] for row in table.rows if at < len(row.cells)]
    named = {unit_in(cell) for cell in cells if not is_empty(cell)}
    return named.pop() if len(named) == 1 else ""


def read_shots(table: Table, reading: Reading) -> ShotSheet:
    """Every row as a shot, or left out with the reason. Nothing is raised: words go with rows.

    A row of which no quantity is read is left out. The unit that a cell names itself stands
    before that of its column.
    """
    places = {
        key: table.headings.index(heading)
        for key, heading in reading.columns.items()
        if heading in table.headings
    }
    decimal = reading.decimal or _decimal(table, places)
    rows, left_out = [], list(table.left_out)
    for row in table.rows:
        cells = {key: row.cells[at] for key, at in places.items() if at < len(row.cells)}
        if all(is_empty(cells.get(column.key, "")) for column in COLUMNS):
            left_out.append(LeftOut(row.number, "Nothing of a shot stands in it."))
        else:
            rows.append(_shot(row, cells, reading, decimal, len(table.headings)))
    return ShotSheet(tuple(rows), tuple(sorted(left_out, key=lambda each: each.number)))


def _decimal(table: Table, places: Mapping[str, int]) -> str:
    """A comma that separates cells does not stand before decimals too, unless quoted."""
    measured = [at for key, at in places.items() if key != CLUB.key]
    told = decimal_of(row.cells[at] for row in table.rows for at in measured if at < len(row.cells))
    return told or ("." if table.separator == "," else "")


def _shot(
    row: Row, cells: Mapping[str, str], reading: Reading, decimal: str, width: int
) -> ShotRow:
    values: dict[str, float] = {}
    words = list(_beyond(row, width))
    for column in COLUMNS:
        cell = cells.get(column.key, "")
        if is_empty(cell):
            continue
        try:
            values[column.key] = _in_si(number(cell, decimal), column, reading)
        except ValueError as error:
            words.append(f"{column.title}: {error}")
    club = " ".join(cells.get(CLUB.key, "").split())
    return ShotRow(row.number, club, values, tuple(words))


def _beyond(row: Row, width: int) -> Iterator[str]:
    if any(map(str.strip, row.cells[width:])):
        yield (
            "The row has more cells than there are headings. "
            "A separator inside a cell needs quotation marks."
        )


def _in_si(read: Number, column: Column, reading: Reading) -> float:
    unit = read.unit or UNITS[reading.units[column.key]]
    if unit.dimension != column.dimension:
        raise ValueError(f"It is written in {unit.title}.")
    value = read.value * unit.factor
    if read.side and not column.sideways:
        raise ValueError("A letter for left or right has no place here.")
    if column.sideways:
        value *= read.side or reading.side_sign
    return round(value, PLACES) + 0.0  # no minus before nothing
