"""A bank's table: which lines come of it, and what is wrong where."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from school.bank_csv import MAX_ROWS, SAMPLE, BankSheet, read_bank
from school.errors import ImportRefused


def read(data: bytes | str, currency: str = "GBP") -> BankSheet:
    return read_bank(data, currency=currency)


def only(data: str) -> tuple[date, Decimal, str, str]:
    sheet = read(data)
    assert sheet.errors == ()
    (row,) = sheet.rows
    return row.booked_on, row.amount, row.currency, row.text


PAID = (date(2027, 5, 7), Decimal("720.00"), "GBP", "Maren M000012")


@pytest.mark.parametrize(
    "table",
    [
        "date,amount,text\n2027-05-07,720.00,Maren M000012\n",
        "Date;Amount;Reference\n07.05.2027;720,00;Maren M000012\n",
        "Booking Date\tValue Date\tAmount\tDescription\n07/05/27\t08/05/27\t720\tMaren M000012",
        "Buchungstag;Betrag;Währung;Verwendungszweck\n07.05.27;720,00;GBP;Maren M000012\n",
        "Date,Money out,Money in,Details\n7 May 2027,,720.00,Maren M000012\n",
        "Date,Debit,Credit,Details\n7 May 2027,0.00,720.00,Maren M000012\n",
        "Date;Amount;Cr/Dr;Text\n20270507;720,00;CR;Maren M000012\n",
        'Account;12345678\n\nFrom;1 May\n"Date";"Amount";"Text"\n7.5.2027;720,00;Maren M000012\n',
        "sep=;\nDate;Amount;Text\n7.5.2027;720,00;Maren M000012\n",
        "Date,Amount,Text,Balance\n2027-05-07,£720.00,Maren M000012,1.00\n",
    ],
)
def test_many_banks_say_the_same(table: str) -> None:
    assert only(table) == PAID


def test_name_and_reference_make_one_text_in_their_order() -> None:
    table = "Date,Name,Amount,Reference\n2027-05-07,Maren,720,M000012\n"
    assert only(table)[3] == "Maren · M000012"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_letters_are_read_in_the_usual_encodings(encoding: str) -> None:
    data = "date;amount;text\n7.5.2027;720,00;Zoé £\n".encode(encoding)
    sheet = read(data)
    assert sheet.rows[0].text == "Zoé £"
    assert bool(sheet.notes) == (encoding == "cp1252")


def test_a_line_keeps_its_own_currency() -> None:
    sheet = read("date,amount,currency\n2027-05-07,5,EUR\n2027-05-07,5,\n")
    assert [row.currency for row in sheet.rows] == ["EUR", "GBP"]


def test_two_currencies_in_one_line_are_refused() -> None:
    (error,) = read("date,amount,currency\n2027-05-07,€5.00,GBP\n").errors
    assert (error.row, error.column) == (2, "amount")
    assert error.words == "The amount is in EUR, the line in GBP."


def test_money_that_went_out_is_left_out_and_counted() -> None:
    sheet = read(SAMPLE)
    assert [row.amount for row in sheet.rows] == [Decimal("720.00")]
    assert sheet.notes == ("Money that went out, and lines of nothing, are left out: 1 line.",)


@pytest.mark.parametrize(
    ("line", "column", "words"),
    [
        ("soon,5,", "date", "no date"),
        (",5,", "date", "missing"),
        ("2027-05-07,,", "amount", "missing"),
        ("2027-05-07,1.2345,", "amount", "two decimals"),
        ("2027-05-07,5,bell\x07", "text", "printed"),
        ("2027-05-07,5,a,b", "beyond the last", "quotation marks"),
    ],
)
def test_an_error_names_its_row_and_column(line: str, column: str, words: str) -> None:
    sheet = read(f"bank\ndate,amount,text\n2027-05-07,1,\n{line}\n")
    (error,) = sheet.errors
    assert (error.row, error.column) == (4, column)
    assert words in error.words
    assert len(sheet.rows) == 1


def test_a_line_has_a_credit_or_a_debit() -> None:
    (error,) = read("date,credit,debit\n2027-05-07,5,6\n").errors
    assert "both" in error.words


def test_one_mark_cannot_be_both_in_a_file() -> None:
    sheet = read("date;amount\n7.5.2027;12.50\n8.5.2027;1.234\n")
    (error,) = sheet.errors
    assert (error.row, error.column) == (3, "amount")
    assert error.words.startswith("Row 2 has “.” before its cents")


def test_once_a_month_comes_first_no_date_is_guessed() -> None:
    sheet = read("date,amount\n05/13/2027,1\n05/06/2027,1\n06/06/2027,1\n")
    assert [(error.row, error.column) for error in sheet.errors] == [(2, "date"), (3, "date")]


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("", "empty"),
        ("name,handed\nAlma,left\n", "heading “date”"),
        ("date,text\n2027-05-07,x\n", "Neither"),
        ("date,amount\n", "no lines below"),
        ("date,amount\n" + "2027-05-07,1\n" * (MAX_ROWS + 1), "at most"),
        ('date,amount\n2027-05-07,"1', "quotation mark"),
    ],
)
def test_what_is_no_table_of_a_bank_is_refused(table: str, words: str) -> None:
    with pytest.raises(ImportRefused, match=words):
        read(table)


def test_the_same_line_has_the_same_mark_in_every_writing() -> None:
    one = read("date,amount,text\n2027-05-07,720.00,Maren M000012\n").rows[0]
    other = read("Text;Date;Amount\nMAREN  M000012;07.05.27;720,00\n").rows[0]
    assert one.fingerprint == other.fingerprint


def test_two_equal_lines_are_two_payments_and_keep_their_marks() -> None:
    line = "2027-05-07,5,Maren\n"
    two = read(f"date,amount,text\n{line}2027-05-06,1,\n{line}")
    three = read(f"date,amount,text\n{line * 3}")
    marks = [row.fingerprint for row in three.rows]
    assert len(set(marks)) == 3
    assert [two.rows[0].fingerprint, two.rows[2].fingerprint] == marks[:2]


WORDS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=30)
LINES = st.lists(
    st.tuples(
        st.dates(date(2000, 1, 1), date(2098, 12, 31)),
        st.decimals("0.01", "9999999.99", places=2),
        st.from_regex(r"\A[A-Za-z][A-Za-z0-9 ;,\"]{0,30}\Z"),
    ),
    min_size=1,
    max_size=8,
)


@given(
    LINES, st.sampled_from(";\t,"), st.sampled_from(".,"), st.sampled_from(["%Y-%m-%d", "%d.%m.%y"])
)
def test_what_a_bank_writes_is_what_is_read(
    lines: list[tuple[date, Decimal, str]], separator: str, decimal: str, day: str
) -> None:
    table = separator.join(("Text", "Date", "Amount")) + "\n"
    for booked, amount, words in lines:
        quoted = '"' + words.replace('"', '""') + '"'
        written = f'"{amount:.2f}"'.replace(".", decimal)
        table += separator.join((quoted, booked.strftime(day), written)) + "\n"
    sheet = read(table)
    assert sheet.errors == ()
    assert [(r.booked_on, r.amount) for r in sheet.rows] == [line[:2] for line in lines]
    assert [r.text for r in sheet.rows] == [" ".join(line[2].split()) for line in lines]
    assert len({r.fingerprint for r in sheet.rows}) == len(lines)


@given(st.one_of(st.binary(max_size=200), st.text(max_size=200)))
def test_whatever_is_uploaded_is_read_or_refused_in_words(data: bytes | str) -> None:
    try:
        sheet = read(data)
    except ImportRefused:
        return
    assert all(row.amount > 0 for row in sheet.rows)


@given(st.lists(st.lists(WORDS, max_size=4), max_size=6))
def test_whatever_stands_below_the_headings_is_read_or_refused(rows: list[list[str]]) -> None:
    body = "\n".join(",".join(cell.replace(",", " ") for cell in row) for row in rows)
    try:
        sheet = read(f"date,amount,text\n{body}")
    except ImportRefused:
        return
    assert all(row.text[:1] not in ("=", "+", "-", "@") for row in sheet.rows if row.text)
