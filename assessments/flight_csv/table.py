"""From the bytes of a file to a table with headings, units and rows."""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import dataclass
from itertools import pairwise

from assessments.flight_csv.cells import is_empty, is_number, is_summary, may_be_a_name
from assessments.flight_csv.columns import count_known, folded, taken_apart, unit_called
from school.errors import ImportRefused
from school.golfer_csv.cells import quoted
from school.golfer_csv.decode import SEPARATORS, decode

MAX_ROWS = 500
MOST_LINES_ABOVE = 40
MARKS = SEPARATORS + "|"
SAMPLE = """\
Club;Carry (m);Side (m);Ball speed (m/s);Club speed (m/s)
7 iron;137,5;4,1 R;52,3;38,2
7 iron;139,0;2,0 L;52,9;38,4
"""


@dataclass(frozen=True)
class Row:
    """Rows are counted as a spreadsheet does, from the file's first line."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class LeftOut:
    """A row that is no shot, and why."""

    number: int
    words: str


@dataclass(frozen=True)
class Table:
    """What was read. `text` is the file itself, so that it can be shown and read again.

    No two headings are alike. `units` are those that the headings or the row below them name, by
    heading; `separator` is what stands between cells.
    """

    text: str
    separator: str
    headings: tuple[str, ...]
    units: dict[str, str]
    rows: tuple[Row, ...]
    left_out: tuple[LeftOut, ...]
    notes: tuple[str, ...]


def read_table(data: bytes | str, *, saved: frozenset[str] = frozenset()) -> Table:
    """Read a table; `saved` are headings that instruments of the house are known to use.

    Raises ImportRefused if it is no table of shots at all: unreadable, without headings, empty or
    too long.
    """
    text, notes = decode(data)
    if not text.strip():
        raise ImportRefused("The table is empty.")
    above, separator = _headings_at(text, frozenset(map(folded, saved)))
    filled = [row for row in _records(text, above, separator) if any(map(str.strip, row.cells))]
    headings = _told_apart(filled[0].cells)
    units = {
        heading: unit.key for heading in headings if (unit := taken_apart(heading)[1]) is not None
    }
    below = filled[1:]
    if below and _is_row_of_units(below[0]):
        named = zip(headings, map(unit_called, below[0].cells), strict=False)
        units |= {heading: unit.key for heading, unit in named if unit is not None}
    rows, left_out = _sorted_out(below, filled[0])
    if not rows:
        raise ImportRefused("The table has headings but no shots below them.")
    if len(rows) > MAX_ROWS:
        raise ImportRefused(f"The table has {len(rows)} rows; {MAX_ROWS} at most are taken.")
    return Table(text, separator, headings, units, tuple(rows), tuple(left_out), tuple(notes))


def _headings_at(text: str, saved: frozenset[str]) -> tuple[int, str]:
    """How many lines stand above the headings, and what separates the cells.

    The headings are the line with the most known ones; without any, the first line of several
    words, none a number, above a line of as many cells with a number among them.
    """
    lines = text.splitlines()[:MOST_LINES_ABOVE]
    known = [
        (count_known(cells, saved), len(cells), -above, mark)
        for above, line in enumerate(lines)
        for mark in MARKS
        if (cells := _cells(line, mark))
    ]
    count, _, above, separator = max(known)
    if count:
        return -above, separator
    for above, (line, following) in enumerate(pairwise(lines)):
        for mark in MARKS:
            cells, below = _cells(line, mark), _cells(following, mark)
            is_headings = 1 < len(cells) == len(below) and all(map(_is_words, cells))
            if is_headings and any(map(is_number, below)):
                return above, mark
    raise ImportRefused(
        "No row names the columns. There must be a heading over each, like “carry”."
    )


def _is_words(cell: str) -> bool:
    return bool(cell.strip()) and not is_number(cell)


def _cells(line: str, mark: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=mark), []) if line.strip() else []
    except csv.Error:  # a cell longer than the reader takes
        return []


def _records(text: str, above: int, separator: str) -> list[Row]:
    body = "".join(text.splitlines(keepends=True)[above:])
    reader = csv.reader(io.StringIO(body, newline=""), delimiter=separator, strict=True)
    found: list[Row] = []
    try:
        for cells in reader:
            found.append(Row(above + len(found) + 1, tuple(cells)))
    except csv.Error:
        raise ImportRefused(
            f"From row {above + len(found) + 1} on the table cannot be read: a quotation mark is "
            "missing or too many."
        ) from None
    return found


def _told_apart(cells: tuple[str, ...]) -> tuple[str, ...]:
    """The headings; one that is empty or stands twice gets its place behind it."""
    found: list[str] = []
    for place, cell in enumerate(cells, 1):
        heading = " ".join(cell.split()) or f"column {place}"
        found.append(f"{heading} (column {place})" if heading in found else heading)
    return tuple(found)


def _is_row_of_units(row: Row) -> bool:
    named = [cell for cell in row.cells if not is_empty(cell)]
    return bool(named) and all(unit_called(cell) is not None for cell in named)


def _sorted_out(rows: list[Row], headings: Row) -> tuple[list[Row], list[LeftOut]]:
    """The rows that may be shots, and those that sum up others; headings that come again go."""
    kept, left_out, names = [], [], _names(rows)
    for row in rows:
        cells = (cell for place, cell in enumerate(row.cells) if (place, cell) not in names)
        summary = next(filter(is_summary, cells), None)
        if summary is not None:
            left_out.append(LeftOut(row.number, f"{quoted(summary)} sums up other rows."))
        elif row.cells != headings.cells and not _is_row_of_units(row):
            kept.append(row)
    return kept, left_out


def _names(rows: list[Row]) -> set[tuple[int, str]]:
    """Places and cells that name a golfer Max or Min: they stand in most rows of their column."""
    counted = Counter(
        (place, cell) for row in rows for place, cell in enumerate(row.cells) if may_be_a_name(cell)
    )
    return {named for named, times in counted.items() if 2 * times > len(rows)}
