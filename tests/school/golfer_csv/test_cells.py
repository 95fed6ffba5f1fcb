"""One cell at a time."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from school.golfer_csv import cells
from school.wording import format_handicap


@pytest.mark.parametrize(
    ("cell", "index"),
    [
        ("18.4", "18.4"),
        ("18,4", "18.4"),
        (" 7 ", "7.0"),
        ("+2.1", "-2.1"),
        ("+10", "-10.0"),
        ("54.0", "54.0"),
        ("0", "0.0"),
        ("+0.0", "0.0"),
    ],
)
def test_a_handicap_is_read_as_golfers_write_it(cell: str, index: str) -> None:
    read = cells.handicap(cell)
    assert str(read) == index


@pytest.mark.parametrize("cell", ["", "  ", "none", "none yet", "-", "–", "n/a"])
def test_no_handicap_yet(cell: str) -> None:
    assert cells.handicap(cell) is None


@pytest.mark.parametrize("cell", ["54.1", "+10.1", "-2.1", "scratch", "18.45", "1e1", "٧", "99"])
def test_no_handicap_index(cell: str) -> None:
    with pytest.raises(ValueError, match="Handicap Index"):
        cells.handicap(cell)


@given(st.decimals(min_value="-10.0", max_value="54.0", places=1))
def test_a_handicap_reads_as_it_is_set(index: Decimal) -> None:
    assert cells.handicap(format_handicap(index)) == index


@pytest.mark.parametrize("cell", ["1980-12-31", "31/12/1980", "31.12.1980", "1980-12-31 "])
def test_a_date_has_the_year_or_the_day_first(cell: str) -> None:
    assert cells.birth_date(cell) == date(1980, 12, 31)


@pytest.mark.parametrize(
    "cell", ["31/02/1980", "1980-13-01", "31/12/80", "1980", "0000-01-01", "١٩٨٠-01-01", "soon"]
)
def test_no_date(cell: str) -> None:
    with pytest.raises(ValueError, match=r"date|calendar"):
        cells.birth_date(cell)


def test_a_date_with_its_month_first_is_told_apart() -> None:
    with pytest.raises(cells.MonthFirst, match="Days come before months"):
        cells.birth_date("12/31/1980")


@pytest.mark.parametrize(
    ("cell", "two"),
    [("3/4/1980", True), ("4/4/1980", False), ("13/4/1980", False), ("1980-03-04", False)],
)
def test_which_dates_read_two_ways(cell: str, two: bool) -> None:
    assert cells.reads_two_ways(cell) == two


@given(st.dates(min_value=date(1900, 1, 1)))
def test_every_date_reads_in_each_writing(day: date) -> None:
    for pattern in ("%Y-%m-%d", "%d/%m/%Y", "%d.%m.%Y"):
        assert cells.birth_date(day.strftime(pattern)) == day


@pytest.mark.parametrize(
    ("born", "words"), [(date(2027, 1, 2), "future"), (date(1900, 1, 1), "110 years")]
)
def test_nobody_was_born_then(born: date, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        cells.a_life_ago(born, date(2027, 1, 1))


@pytest.mark.parametrize("cell", ["R", "right", "Right-handed", "rh", "RIGHT HANDED"])
def test_right(cell: str) -> None:
    assert cells.handedness(cell) == "right"


@pytest.mark.parametrize("cell", ["L", "left", "Left-handed", "lh"])
def test_left(cell: str) -> None:
    assert cells.handedness(cell) == "left"


@pytest.mark.parametrize("cell", ["", "-", "both", "linke"])
def test_neither_hand(cell: str) -> None:
    with pytest.raises(ValueError, match="right"):
        cells.handedness(cell)


@pytest.mark.parametrize(
    ("cell", "is_given"), [("yes", True), ("X", True), ("1", True), ("no", False), ("", False)]
)
def test_a_consent_is_yes_or_no(cell: str, is_given: bool) -> None:
    assert cells.yes_or_no(cell) is is_given


def test_a_consent_is_never_guessed() -> None:
    with pytest.raises(ValueError, match="neither yes nor no"):
        cells.yes_or_no("maybe")


@pytest.mark.parametrize("cell", ["=1+1", "+cmd", "-2", "@SUM(A1)", " =1", "\t=1"])
@pytest.mark.parametrize("read", [cells.text, cells.paragraph, cells.phone])
def test_what_a_spreadsheet_would_run_is_refused(read: object, cell: str) -> None:
    with pytest.raises(ValueError, match="formula"):
        read(cell)  # type: ignore[operator]


def test_the_plus_of_a_country_code_is_no_formula() -> None:
    assert cells.phone("+44 1632 960301") == "+44 1632 960301"


def test_text_has_one_line_and_a_paragraph_may_have_several() -> None:
    assert cells.text(" Alma \n  Fenwright ") == "Alma Fenwright"
    assert cells.paragraph("Old injury. \r\n Hears badly.") == "Old injury.\nHears badly."


@pytest.mark.parametrize("cell", ["bell\x07", "half \ud800 a letter"])
def test_what_cannot_be_printed_is_refused(cell: str) -> None:
    with pytest.raises(ValueError, match="printed"):
        cells.text(cell)
