"""Rows as CSV that a spreadsheet opens rightly and runs nothing of. Pure.

The text begins with a byte order mark, by which spreadsheets know UTF-8. A cell of text that a
spreadsheet would take for a formula gets a leading apostrophe, as the OWASP page on CSV
injection advises; every cell is quoted, so that no separator within one starts another.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from decimal import Decimal
from io import StringIO

BOM = "\ufeff"
# The signs that begin a formula, in their full width too, which some spreadsheets accept.
_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
_CONTROL = ("\t", "\r", "\n")

Cell = str | int | Decimal | date | datetime | bool | None


def to_csv(titles: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """The titles and rows as CSV by RFC 4180, with a byte order mark."""
    out = StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow([cell(title) for title in titles])
    writer.writerows([cell(value) for value in row] for row in rows)
    return BOM + out.getvalue()


def cell(value: Cell) -> str:
    """One value as the text of its cell: numbers with a point, days as 2027-05-07, times to the
    minute, yes or no, and text with whatever would run disarmed.

    A number is ours and stays a number: −12.00 is no formula.
    """
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case int() | Decimal():
            return f"{value}"
        case datetime():
            return value.strftime("%Y-%m-%d %H:%M")
        case date():
            return value.isoformat()
        case _:
            return _disarmed(value)


def _disarmed(text: str) -> str:
    if text.startswith(_CONTROL) or text.lstrip().startswith(_FORMULA):
        return f"'{text}"
    return text
