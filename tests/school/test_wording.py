"""Amounts, balances and handicaps in words."""

from decimal import Decimal

import pytest

from school.wording import count_of, format_balance, format_handicap, format_money


@pytest.mark.parametrize(
    ("amount", "currency", "words"),
    [
        ("1234.5", "GBP", "£1,234.50"),
        ("-0.05", "EUR", "−€0.05"),
        ("0", "USD", "$0.00"),
        ("980", "SEK", "SEK 980.00"),
    ],
)
def test_money(amount: str, currency: str, words: str) -> None:
    assert format_money(Decimal(amount), currency) == words


@pytest.mark.parametrize(
    ("amount", "words"), [("5", "owes £5.00"), ("-5", "is owed £5.00"), ("0.00", "settled")]
)
def test_balance(amount: str, words: str) -> None:
    assert format_balance(Decimal(amount), "GBP") == words


@pytest.mark.parametrize(
    ("index", "words"), [("18.4", "18.4"), ("-2.1", "+2.1"), ("0.0", "0.0"), (None, "none yet")]
)
def test_handicap(index: str | None, words: str) -> None:
    assert format_handicap(None if index is None else Decimal(index)) == words


def test_counts() -> None:
    assert [count_of(n, "day") for n in (0, 1, 2)] == ["0 days", "1 day", "2 days"]
    assert count_of(2, "cell is", "cells are") == "2 cells are"
