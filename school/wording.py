"""Amounts, handicaps and places in words, the same on every page and in every message. Pure."""

from decimal import Decimal

SIGNS = {"GBP": "£", "EUR": "€", "USD": "$"}
MINUS = "−"


def format_money(amount: Decimal, currency: str) -> str:
    """`1234.5` and `GBP` as “£1,234.50”; other currencies by their code, “SEK 1,234.50”."""
    figure = f"{abs(amount):,.2f}"
    sign = SIGNS.get(currency, f"{currency} ")
    return f"{MINUS if amount < 0 else ''}{sign}{figure}"


def format_balance(amount: Decimal, currency: str) -> str:
    """A balance as a sentence's end: above zero the golfer owes, below zero we do."""
    if amount > 0:
        return f"owes {format_money(amount, currency)}"
    if amount < 0:
        return f"is owed {format_money(-amount, currency)}"
    return "settled"


def format_handicap(index: Decimal | None) -> str:
    """A Handicap Index as golfers write it: better than zero with a plus sign."""
    if index is None:
        return "none yet"
    return f"+{-index:.1f}" if index < 0 else f"{index:.1f}"


def count_of(number: int, one: str, many: str | None = None) -> str:
    """“1 golfer”, “3 golfers”."""
    return f"{number} {one if number == 1 else many or one + 's'}"
