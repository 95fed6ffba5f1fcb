"""What a golfer may pay at once: the deposit, or all that is owed. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

ZERO = Decimal("0.00")


@dataclass(frozen=True)
class Parts:
    """Both are above zero or nought; `deposit` is nought where it would be the whole."""

    deposit: Decimal
    balance: Decimal


def parts_due(*, deposit: Decimal, price: Decimal, received: Decimal) -> Parts:
    """What of the price is still to pay, and what of its deposit.

    Parameters
    ----------
    deposit
        What the school asks for at once.
    price
        What is charged, less discounts.
    received
        What was paid, less what was paid back.
    """
    balance = max(ZERO, price - received)
    first = max(ZERO, min(deposit, price) - received)
    return Parts(first if first < balance else ZERO, balance)
