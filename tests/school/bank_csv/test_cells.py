"""One cell of a bank's table at a time."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from school.bank_csv import cells
from school.golfer_csv.cells import MonthFirst


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("240", "240.00"),
        ("240.00", "240.00"),
        ("240,5", "240.50"),
        ("1,234.56", "1234.56"),
        ("1.234,56", "1234.56"),
        ("1 234,56", "1234.56"),
        ("1'234.56", "1234.56"),
        ("1.234.567,89", "1234567.89"),
        ("1.234", "1234.00"),
        ("+12.50", "12.50"),
        ("-12,50", "-12.50"),
        ("−12,50", "-12.50"),
        ("12.50-", "-12.50"),
        ("(12.50)", "-12.50"),
        ("12.50 CR", "12.50"),
        ("12.50 DR", "-12.50"),
        ("£1,234.56", "1234.56"),
        ("-£5.00", "-5.00"),
        ("5,00 €", "5.00"),
        ("EUR 5,00", "5.00"),
        ('="12.50"', "12.50"),
    ],
)
def test_money_as_banks_write_it(cell: str, value: str) -> None:
    assert str(cells.amount(cell).value) == value


@pytest.mark.parametrize(
    "cell",
    ["", "ten", "1.2345", "12.345,678", "0.125", "1,23,456.00", "1.234.56", "1e3", "٣", "--5"],
)
def test_what_is_no_money_to_the_cent_is_refused_and_never_rounded(cell: str) -> None:
    with pytest.raises(ValueError, match=r"amount|decimals|groups|cents"):
        cells.amount(cell)


def test_an_amount_has_a_limit() -> None:
    with pytest.raises(ValueError, match="more than"):
        cells.amount("10000000.00")


@given(
    st.decimals("0.00", "9999999.99", places=2),
    st.sampled_from([(".", ","), (",", "."), (",", " "), (".", "'"), (".", ""), (",", "")]),
    st.booleans(),
)
def test_an_amount_reads_as_it_is_set(value: Decimal, marks: tuple[str, str], is_out: bool) -> None:
    decimal, group = marks
    typed = f"{value:,.2f}".translate({ord(","): group, ord("."): decimal})
    read = cells.amount(f"-{typed}" if is_out else typed)
    assert read.value == (-value if is_out else value)
    assert read.decimal == decimal


@pytest.mark.parametrize(
    "cell",
    [
        "2027-05-07",
        "2027-05-07T10:30:00",
        "2027-05-07 10:30",
        "2027/05/07",
        "20270507",
        "07/05/2027",
        "7.5.2027",
        "07.05.27",
        "07-05-2027",
        "7 May 2027",
        "07-MAY-27",
    ],
)
def test_a_day_as_banks_write_it(cell: str) -> None:
    assert cells.day(cell) == date(2027, 5, 7)


@pytest.mark.parametrize("cell", ["", "-", "soon", "31.02.2027", "7 Mai 2027", "2027-5"])
def test_what_is_no_day_is_refused(cell: str) -> None:
    with pytest.raises(ValueError, match=r"date|calendar"):
        cells.day(cell)


def test_a_month_before_the_day_is_told_apart() -> None:
    with pytest.raises(MonthFirst):
        cells.day("05/13/27")


@pytest.mark.parametrize(
    ("cell", "code"), [("gbp", "GBP"), ("£", "GBP"), ("€", "EUR"), ("SEK", "SEK"), (" ", "")]
)
def test_a_currency_by_code_or_by_the_sign_that_only_it_has(cell: str, code: str) -> None:
    assert cells.currency(cell) == code


@pytest.mark.parametrize("cell", ["$", "pounds", "1"])
def test_a_sign_of_several_currencies_is_none(cell: str) -> None:
    with pytest.raises(ValueError, match="code"):
        cells.currency(cell)


@pytest.mark.parametrize(("cell", "credit"), [("CR", True), ("H", True), ("Debit", False)])
def test_debit_or_credit(cell: str, credit: bool) -> None:
    assert cells.is_credit(cell) is credit


def test_neither_debit_nor_credit() -> None:
    with pytest.raises(ValueError, match="neither"):
        cells.is_credit("maybe")


@pytest.mark.parametrize("cell", ["=1+1", "+cmd", "@SUM(A1)", "-2", "\t=1"])
def test_nothing_is_kept_that_a_spreadsheet_would_run(cell: str) -> None:
    text, was_formula = cells.text([cell, "M000012"])
    assert was_formula
    assert text[0] not in "=+-@\t"
    assert text.endswith("M000012")


def test_a_text_has_one_line_and_an_end() -> None:
    text, _ = cells.text([" Maren \n Thistlewood ", "", '="0012"', "x" * 400])
    assert text.startswith("Maren Thistlewood · 0012 · xxx")
    assert len(text) == 300
