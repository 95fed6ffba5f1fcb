"""Files that a spreadsheet opens rightly and runs nothing of."""

import csv
from datetime import UTC, date, datetime
from decimal import Decimal
from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from school.exports import BOM, Cell, cell, to_csv

TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"))


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "+44 1632 960303",
        "-2",
        "@SUM(A1)",
        "\t=1",
        "\rx",
        "\nx",
        "  =1+1",
        "＝1",
        '=HYPERLINK("x")',
    ],
)
def test_what_would_run_is_disarmed(text: str) -> None:
    assert cell(text) == f"'{text}"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Decimal("-12.00"), "-12.00"),
        (7, "7"),
        (True, "yes"),
        (None, ""),
        (date(2027, 5, 7), "2027-05-07"),
        (datetime(2027, 5, 7, 9, 30, 59, tzinfo=UTC), "2027-05-07 09:30"),
        ("Żółć; “O'Neill”, a=b", "Żółć; “O'Neill”, a=b"),
    ],
)
def test_cells(value: Cell, text: str) -> None:
    assert cell(value) == text


@given(st.lists(st.lists(TEXT, min_size=2, max_size=2), max_size=5))
def test_whatever_is_in_a_cell_stays_in_it(rows: list[list[str]]) -> None:
    text = to_csv(["one", "other"], rows)
    assert text.startswith(BOM)
    read = list(csv.reader(StringIO(text.removeprefix(BOM), newline="")))
    assert read[1:] == [[cell(value) for value in row] for row in rows]
    assert not any(value.lstrip().startswith(("=", "+", "-", "@")) for row in read for value in row)
