"""From the records of a bank's table to lines of money that came in, and errors."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from hashlib import sha256

from school.bank_csv import cells
from school.bank_csv.columns import (
    AMOUNT,
    CREDIT,
    CURRENCY,
    DATE,
    DEBIT,
    DIRECTION,
    TEXT,
    Column,
    column_called,
    count_known,
)
from school.errors import ImportRefused
from school.golfer_csv import CellError
from school.golfer_csv.cells import MonthFirst, reads_two_ways
from school.golfer_csv.decode import SEPARATORS, decode, records
from school.wording import count_of

MAX_ROWS = 2000
MOST_LINES_ABOVE = 30
SAMPLE = """\
Booked;Text;Amount;Currency
07.05.2027;Maren Thistlewood M000012;720,00;GBP
08.05.2027;Rent of the range;-1.250,00;GBP
"""


@dataclass(frozen=True)
class BankRow:
    """Money that came in. Rows are counted as a spreadsheet does, from the file's first line."""

    number: int
    booked_on: date
    amount: Decimal
    currency: str
    text: str
    fingerprint: str


@dataclass(frozen=True)
class BankSheet:
    """What was read. `table` is the file's own text, so that it can be shown and read again."""

    table: str
    currency: str
    rows: tuple[BankRow, ...]
    errors: tuple[CellError, ...]
    notes: tuple[str, ...]


@dataclass
class _Reading:
    """One row on its way. `amount` is None if it could not be read."""

    number: int
    columns: dict[str, list[str]]
    booked_on: date | None = None
    amount: cells.Amount | None = None
    currency: str = ""
    text: str = ""
    was_formula: bool = False
    errors: list[CellError] = field(default_factory=list)

    def refuse(self, column: str, words: str) -> None:
        self.errors.append(CellError(self.number, column, words))

    def first(self, column: Column) -> str:
        """The first filled cell of the headings that mean this, the better heading first."""
        return next(filter(str.strip, self.columns.get(column.key, [])), "")

    @property
    def came_in(self) -> bool:
        return self.amount is None or self.amount.value > 0


def read_bank(data: bytes | str, *, currency: str) -> BankSheet:
    """Read a bank's table; lines without a currency of their own are in `currency`.

    Errors of single cells are returned, not raised. Raises ImportRefused if it is no bank's table
    at all: unreadable, without the headings that are needed, empty, or too long.
    """
    table, notes = decode(data)
    above, body = _without_preamble(table)
    filled = [
        (number, record)
        for number, record in enumerate(records(body, count_known), start=above + 1)
        if any(map(str.strip, record))
    ]
    if not filled:
        raise ImportRefused("The file is empty.")
    columns = _columns(filled[0][1])
    if len(filled) == 1:
        raise ImportRefused("The file has headings but no lines below them.")
    if len(filled) - 1 > MAX_ROWS:
        raise ImportRefused(
            f"The file has {len(filled) - 1} rows; {MAX_ROWS} at most are taken at a time."
        )
    readings = [_read_row(number, record, columns, currency) for number, record in filled[1:]]
    _refuse_marks_that_contradict(readings)
    _refuse_dates_that_contradict(readings)
    came_in = [reading for reading in readings if reading.came_in]
    if len(came_in) < len(readings):
        out = count_of(len(readings) - len(came_in), "line")
        notes.append(f"Money that went out, and lines of nothing, are left out: {out}.")
    notes += [
        f"Row {reading.number}: a sign with which a formula begins was left out of the text."
        for reading in came_in
        if reading.was_formula
    ]
    return BankSheet(
        table=table,
        currency=currency,
        rows=tuple(_rows([reading for reading in came_in if not reading.errors])),
        errors=tuple(error for reading in came_in for error in reading.errors),
        notes=tuple(notes),
    )


def _without_preamble(table: str) -> tuple[int, str]:
    """How many lines stand above the headings, and the text from the headings on.

    Banks like to begin with the account and the period. The headings are the first line that
    names a date and one more column.
    """
    lines = table.splitlines(keepends=True)
    for above, line in enumerate(lines[:MOST_LINES_ABOVE]):
        for separator in SEPARATORS:
            headings = [cell.strip(' "\r\n') for cell in line.split(separator)]
            known = {found[0].key for found in map(column_called, headings) if found}
            if DATE.key in known and len(known) > 1:
                return above, "".join(lines[above:])
    return 0, table


def _columns(headings: list[str]) -> list[tuple[Column, int] | None]:
    found = [column_called(heading) for heading in headings]
    keys = {column.key for column, _ in filter(None, found)}
    if DATE.key not in keys:
        raise ImportRefused("No row names the columns: there must be a heading “date”.")
    if not keys & {AMOUNT.key, CREDIT.key}:
        raise ImportRefused(
            "Neither “amount” nor “credit” is among the headings, so no money can be read."
        )
    return found


def _read_row(
    number: int, record: list[str], columns: list[tuple[Column, int] | None], currency: str
) -> _Reading:
    named = [(*known, cell) for known, cell in zip(columns, record, strict=False) if known]
    # the better heading first; of the text, all that the line says as it stands
    named.sort(key=lambda each: 0 if each[0] is TEXT else each[1])
    reading = _Reading(number, {})
    for column, _, cell in named:
        reading.columns.setdefault(column.key, []).append(cell)
    if any(map(str.strip, record[len(columns) :])):
        words = "The row has more cells than there are headings. A separator inside a cell needs"
        reading.refuse("beyond the last", f"{words} quotation marks.")
    _read_date(reading)
    _read_amount(reading)
    _read_currency(reading, currency)
    try:
        reading.text, reading.was_formula = cells.text(reading.columns.get(TEXT.key, []))
    except ValueError as error:
        reading.refuse(TEXT.title, str(error))
    return reading


def _read_date(reading: _Reading) -> None:
    try:
        reading.booked_on = cells.day(reading.first(DATE))
    except ValueError as error:
        reading.refuse(DATE.title, str(error))


def _read_amount(reading: _Reading) -> None:
    """The row's money from one signed column, or from a column for each direction."""
    credit, debit = reading.first(CREDIT), reading.first(DEBIT)
    column, cell = AMOUNT, reading.first(AMOUNT)
    if not cell:
        column, cell = (CREDIT, credit) if credit else (DEBIT, debit)
    if not cell:
        reading.refuse(AMOUNT.title, "The amount is missing.")
        return
    try:
        read = cells.amount(cell)
        if column is CREDIT and debit and read.value and cells.amount(debit).value:
            raise ValueError("The line has both a credit and a debit.")
        goes_out = column is DEBIT
        if reading.first(DIRECTION):
            column = DIRECTION
            goes_out = not cells.is_credit(reading.first(DIRECTION))
    except ValueError as error:
        reading.refuse(column.title, str(error))
        return
    value = -abs(read.value) if goes_out else read.value
    reading.amount = cells.Amount(value, read.decimal, read.group, read.sign)


def _read_currency(reading: _Reading, currency: str) -> None:
    try:
        named = cells.currency(reading.first(CURRENCY))
    except ValueError as error:
        reading.refuse(CURRENCY.title, str(error))
        return
    reading.currency = named or (reading.amount.sign if reading.amount else "") or currency
    if reading.amount and reading.amount.sign not in ("", reading.currency):
        words = f"The amount is in {reading.amount.sign}, the line in {reading.currency}."
        reading.refuse(AMOUNT.title, words)


def _refuse_marks_that_contradict(readings: list[_Reading]) -> None:
    """“1.234” is one thousand and more, unless the same file shows cents by the same mark."""
    of_cents = {
        reading.amount.decimal: reading.number
        for reading in reversed(readings)
        if reading.amount and reading.amount.decimal
    }
    for reading in readings:
        mark = reading.amount.group if reading.amount else ""
        if mark and mark in of_cents:
            words = f"Row {of_cents[mark]} has “{mark}” before its cents, this one not."
            reading.refuse(AMOUNT.title, f"{words} Write the amount without groups.")


def _refuse_dates_that_contradict(readings: list[_Reading]) -> None:
    """Once one date in the file has its month first, no other is surely day first."""
    told = next((r for r in readings if _is_month_first(r.first(DATE))), None)
    if told is None:
        return
    for reading in readings:
        cell = reading.first(DATE).replace("-", "/")
        if reading is not told and reads_two_ways(cell):
            words = f"Row {told.number} has its month first, so this date could be either of two."
            reading.refuse(DATE.title, f"{words} Write dates like 2027-05-07.")


def _is_month_first(cell: str) -> bool:
    try:
        cells.day(cell)
    except MonthFirst:
        return True
    except ValueError:
        return False
    return False


def _rows(readings: list[_Reading]) -> Iterator[BankRow]:
    """The lines with their fingerprints. Two that are the same to the letter are two payments, so
    the second of a file is told from the first by its place among its like."""
    seen: Counter[str] = Counter()
    for reading in readings:
        assert reading.booked_on is not None
        assert reading.amount is not None
        value = reading.amount.value
        told = f"{reading.booked_on}\n{value}\n{reading.currency}\n{reading.text.casefold()}"
        mark = sha256(f"{told}\n{seen[told]}".encode()).hexdigest()
        seen[told] += 1
        yield BankRow(
            reading.number, reading.booked_on, value, reading.currency, reading.text, mark
        )
