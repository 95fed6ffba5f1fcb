"""From the records of a table to golfers and errors, each with its row and column."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from school.details import Agreement, GolferDetails, Key
from school.errors import ImportRefused
from school.golfer_csv import cells
from school.golfer_csv.columns import (
    COLUMNS,
    CONSENTS,
    DETAILS,
    Column,
    column_called,
    count_known,
    title_of,
)
from school.golfer_csv.decode import decode, records

MAX_ROWS = 200
SAMPLE = """\
name,email,phone,birth date,handed,handicap,guardian name,guardian phone,care notes,\
emergency contact,consent terms,consent risk,consent filming,consent shown in class,consent by
Alma Fenwright,alma@example.org,01632 960301,1979-04-30,left,18.4,,,,\
Jon Fenwright 01632 960302,yes,yes,yes,no,Alma Fenwright
Pip Oldacre,,,17/09/2014,right,,Hugh Oldacre,01632 960303,Wears hearing aids,\
Hugh Oldacre 01632 960303,yes,yes,yes,yes,Hugh Oldacre
"""


@dataclass(frozen=True)
class CellError:
    """What is wrong in one cell. Rows are counted as a spreadsheet does: the headings are row 1."""

    row: int
    column: str
    words: str


@dataclass(frozen=True)
class SheetRow:
    """One golfer of the list, read without an error."""

    number: int
    details: GolferDetails
    agreement: Agreement


@dataclass(frozen=True)
class Sheet:
    """What was read. `text` is the list itself, so that it can be shown and read again."""

    text: str
    rows: tuple[SheetRow, ...]
    errors: tuple[CellError, ...]
    notes: tuple[str, ...]


@dataclass
class _Reading:
    """One row on its way: its cells by column, the values read from them, and the errors."""

    number: int
    cells: dict[str, str]
    values: dict[str, Any] = field(default_factory=dict)
    errors: list[CellError] = field(default_factory=list)

    def refuse(self, key: str, words: str) -> None:
        self.errors.append(CellError(self.number, title_of(key), words))


def read_golfers(data: bytes | str, *, today: date) -> Sheet:
    """Read a list of golfers; errors of single cells are returned, not raised.

    Raises ImportRefused if it is no table of golfers at all: unreadable, without the headings
    that are needed, empty, or too long.
    """
    text, notes = decode(data)
    table = list(enumerate(records(text, count_known), start=1))
    filled = [(number, record) for number, record in table if any(map(str.strip, record))]
    if not filled:
        raise ImportRefused("The list is empty.")
    columns = _columns(filled[0][1])
    notes += [
        f"The column “{heading.strip()}” is not used."
        for heading, column in zip(filled[0][1], columns, strict=True)
        if column is None and heading.strip()
    ]
    if len(filled) == 1:
        raise ImportRefused("The list has headings but no golfers below them.")
    if len(filled) - 1 > MAX_ROWS:
        raise ImportRefused(
            f"The list has {len(filled) - 1} rows; {MAX_ROWS} at most are taken at a time."
        )
    readings = [_read_row(number, record, columns, today) for number, record in filled[1:]]
    _refuse_dates_that_contradict(readings)
    _refuse_twins(readings)
    return Sheet(
        text=text,
        rows=tuple(_golfer(reading) for reading in readings if not reading.errors),
        errors=tuple(error for reading in readings for error in reading.errors),
        notes=tuple(notes),
    )


def _columns(headings: list[str]) -> list[Column | None]:
    found = [column_called(heading) for heading in headings]
    missing = [column.title for column in COLUMNS if column.needed and column not in found]
    if missing:
        raise ImportRefused(
            f"The first row must name the columns; “{'” and “'.join(missing)}” "
            f"{'is' if len(missing) == 1 else 'are'} not among them."
        )
    for column in COLUMNS:
        if found.count(column) > 1:
            raise ImportRefused(f"Two columns are both headed “{column.title}”.")
    return found


def _read_row(
    number: int, record: list[str], columns: list[Column | None], today: date
) -> _Reading:
    named = zip(columns, record, strict=False)
    reading = _Reading(number, {column.key: cell for column, cell in named if column})
    if any(map(str.strip, record[len(columns) :])):
        words = "The row has more cells than there are headings. A separator inside a cell needs"
        reading.errors.append(CellError(number, "beyond the last", f"{words} quotation marks."))
    for column in COLUMNS:
        try:
            reading.values[column.key] = column.read(reading.cells.get(column.key, ""))
        except ValueError as error:
            reading.refuse(column.key, str(error))
    _refuse_what_is_missing(reading, today)
    return reading


def _refuse_what_is_missing(reading: _Reading, today: date) -> None:
    values = reading.values
    if values.get("full_name") == "":
        reading.refuse("full_name", "The name is missing.")
    if values.get("birth_date"):
        try:
            cells.a_life_ago(values["birth_date"], today)
        except ValueError as error:
            reading.refuse("birth_date", str(error))
    if values.get("email") == "" and values.get("birth_date", "unread") is None:
        reading.refuse(
            "email",
            "Give an e-mail or a birth date, so that the golfer is known again another time.",
        )
    if any(values.get(column.key) for column in CONSENTS) and values.get("consent_by") == "":
        reading.refuse("consent_by", "Say who gave the consents.")


def _refuse_dates_that_contradict(readings: list[_Reading]) -> None:
    """Once one date in the file has its month first, no other is surely day first."""
    told = next((r for r in readings if _is_month_first(r.cells.get("birth_date", ""))), None)
    if told is None:
        return
    for reading in readings:
        if cells.reads_two_ways(reading.cells.get("birth_date", "")):
            reading.refuse(
                "birth_date",
                f"Row {told.number} has its month first, so this date could be either of two. "
                "Write dates like 1980-12-31.",
            )


def _is_month_first(cell: str) -> bool:
    try:
        cells.birth_date(cell)
    except cells.MonthFirst:
        return True
    except ValueError:
        return False
    return False


def _refuse_twins(readings: list[_Reading]) -> None:
    seen: dict[Key, int] = {}
    for reading in readings:
        if reading.errors:
            continue
        keys = _golfer(reading).details.known_by()
        first = next((seen[key] for key in keys if key in seen), None)
        if first is not None:
            reading.refuse("full_name", f"This is the golfer of row {first} again.")
        for key in keys:
            seen.setdefault(key, reading.number)


def _golfer(reading: _Reading) -> SheetRow:
    values = reading.values
    details = GolferDetails(**{column.key: values[column.key] for column in DETAILS})
    kinds = frozenset(column.key for column in CONSENTS if values[column.key])
    agreement = Agreement(kinds, values["consent_by"] if kinds else "")
    return SheetRow(reading.number, details, agreement)
