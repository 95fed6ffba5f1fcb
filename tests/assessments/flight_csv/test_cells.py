"""One cell: numbers in both spellings, sides by letter, classes of club by name."""

import pytest

from assessments.flight_csv import club_called
from assessments.flight_csv.cells import decimal_of, is_summary, number

READ = [
    ("137.5", ".", 137.5, 0),
    ("137,5", ",", 137.5, 0),
    ("2,845", ".", 2845, 0),
    ("2.845,5", ",", 2845.5, 0),
    ("2 845", "", 2845, 0),
    ("−4.1", ".", -4.1, 0),
    ("+4.1", ".", 4.1, 0),
    ("4.1 L", ".", 4.1, -1),
    ("R12", ".", 12, 1),
    ("12 yd right", ".", 12, 1),
    ("12°", "", 12, 0),
    (".5", ".", 0.5, 0),
]


@pytest.mark.parametrize(("cell", "decimal", "value", "side"), READ)
def test_a_number(cell: str, decimal: str, value: float, side: int) -> None:
    read = number(cell, decimal)
    assert (read.value, read.side) == (value, side)


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("far", "no number"),
        ("12 34", "no number with a point"),
        ("12,5", "with a point before its decimals"),
        ("-4 L", "a sign and a letter"),
        ("4 L R", "no number"),
        ("4 furlongs", "no number"),
    ],
)
def test_what_is_no_number_says_why(cell: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        number(cell, ".")


def test_a_mark_that_nothing_explains_is_not_guessed() -> None:
    with pytest.raises(ValueError, match="read in two ways"):
        number("2,845", "")


@pytest.mark.parametrize(
    ("cells", "mark"),
    [
        (["137.5", "2,845"], "."),
        (["137,5", "2.845"], ","),
        (["1.234.567"], ","),
        (["2,845", "3.100"], ""),
        (["0,125"], ","),
        (["7", "far"], ""),
    ],
)
def test_the_mark_before_decimals_is_what_leaves_no_doubt(cells: list[str], mark: str) -> None:
    assert decimal_of(cells) == mark


@pytest.mark.parametrize(
    ("name", "code"),
    [
        *(("Driver", "driver"), ("1W", "driver"), ("3 wood", "3w"), ("5W", "5w")),
        *(("7 Iron", "7i"), ("i7", "7i"), ("7", "7i"), ("4 hybrid", "4h"), ("Iron", "iron")),
        *(("PW", "pw"), ("Sand wedge", "sw"), ("56°", "wedge"), ("putter", ""), ("", "")),
    ],
)
def test_the_code_of_a_club(name: str, code: str) -> None:
    assert club_called(name) == code


def test_summaries_are_known_by_their_words() -> None:
    assert all(map(is_summary, ["Average", "avg.", "Std. Dev.", "Mean (8 shots)", "MAX"]))
    assert not any(map(is_summary, ["7 iron", "", "12.0", "Meander"]))
