"""What a school's terms come to in money: what is due when, and what a cancellation keeps. Pure.

Amounts are decimals in one currency, to the cent. A part of a price is rounded half up to the
cent, as the tax office and every till does: what is given back is rounded, and what is kept is
the rest, so that the two always make the price.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Protocol

from school.wording import count_of, format_money

CENT = Decimal("0.01")
ZERO = Decimal("0.00")


class Step(Protocol):
    """From `days_before` the first day on, `percent` of the price is given back."""

    @property
    def days_before(self) -> int: ...
    @property
    def percent(self) -> int: ...


@dataclass(frozen=True)
class Refund:
    """What a cancellation comes to.

    `kept` and `given_back` make the price; `owed_back` is what is paid out of what was paid.
    `rule` is the line of the policy as a memo, `words` the whole for whoever is asked to confirm.
    """

    kept: Decimal
    given_back: Decimal
    owed_back: Decimal
    rule: str
    words: str


@dataclass(frozen=True)
class Due:
    """One instalment: until when, how much, and what it is."""

    date: date
    amount: Decimal
    words: str


def to_the_cent(amount: Decimal) -> Decimal:
    """`amount` rounded to the cent, half a cent away from zero."""
    return amount.quantize(CENT, rounding=ROUND_HALF_UP)


def percent_given_back(steps: Iterable[Step], days_before: int) -> int:
    """The percent of the line that applies so many whole days before the first day.

    The nearest line that has not passed yet counts; without one, nothing is given back.
    """
    reached = [step for step in steps if step.days_before <= days_before]
    return max(reached, key=lambda step: step.days_before).percent if reached else 0


def refund_due(
    price: Decimal, paid: Decimal, steps: Iterable[Step], days_before: int, currency: str
) -> Refund:
    """What cancelling keeps and gives back.

    Parameters
    ----------
    price
        What is charged, less discounts.
    paid
        What was paid, less what was paid back.
    days_before
        Whole days from today to the first day, both where the school is held; below zero once
        it has begun.

    Raises
    ------
    ValueError
        For a price below zero.
    """
    if price < 0:
        raise ValueError("A price is not below zero.")
    percent = percent_given_back(steps, days_before)
    given_back = to_the_cent(price * percent / 100)
    kept = to_the_cent(price) - given_back
    rule = _rule(price, percent, days_before, currency)
    sum_given = f", {format_money(given_back, currency)}" if 0 < percent < 100 and price else ""
    return Refund(
        kept=kept,
        given_back=given_back,
        owed_back=max(ZERO, paid - kept),
        rule=rule,
        words=f"{rule}{sum_given}. {_what_follows(kept, paid, currency)}",
    )


def schedule(
    price: Decimal,
    deposit: Decimal,
    *,
    starts_on: date,
    balance_due_days: int,
    enrolled_on: date,
    currency: str,
) -> list[Due]:
    """What is due when: the deposit at once, the rest `balance_due_days` before the first day.

    Who enrols on that day or later owes everything at once. Empty if nothing is charged.
    `price` is what is charged, less discounts; a deposit above it is the whole of it.
    """
    if price <= 0:
        return []
    balance_on = starts_on - timedelta(days=balance_due_days)
    if balance_on <= enrolled_on or deposit >= price:
        return [_due(enrolled_on, price, "in full, due at once", currency)]
    rest = _due(balance_on, price - deposit, f"due by {balance_on:%-d %B %Y}", currency)
    if not deposit:
        return [rest]
    return [_due(enrolled_on, deposit, "deposit, due at once", currency), rest]


def due_by(instalments: Iterable[Due], day: date) -> Decimal:
    """The sum of what has fallen due on `day`."""
    return sum((due.amount for due in instalments if due.date <= day), ZERO)


def steps_in_words(steps: Iterable[Step]) -> list[str]:
    """The policy line by line, the earliest first, for those who are to agree to it."""
    lines = [
        f"{_at_least(step.days_before)}: {step.percent} % of the price is given back"
        for step in sorted(steps, key=lambda step: -step.days_before)
    ]
    return [*lines, "Later: nothing is given back"] if lines else ["Nothing is given back"]


def _due(day: date, amount: Decimal, words: str, currency: str) -> Due:
    return Due(day, amount, f"{format_money(amount, currency)} {words}")


def _at_least(days: int) -> str:
    if days == 0:
        return "Up to the first day"
    return f"{count_of(days, 'day')} or more before the first day"


def _rule(price: Decimal, percent: int, days_before: int, currency: str) -> str:
    if not price:
        return "Nothing is charged"
    if days_before > 0:
        when = f"{count_of(days_before, 'day')} before the first day"
    else:
        when = "On the first day" if days_before == 0 else "After the first day"
    share = {0: "nothing", 100: "all"}.get(percent, f"{percent} %")
    return f"{when}: {share} of {format_money(price, currency)} is given back"


def _what_follows(kept: Decimal, paid: Decimal, currency: str) -> str:
    so_far = f"Paid so far {format_money(paid, currency)}, so" if paid else "Nothing was paid, so"
    still = kept - paid
    if still > 0:
        nothing_back = "nothing is paid back and " if paid else ""
        return f"{so_far} {nothing_back}{format_money(still, currency)} stays due."
    if still < 0:
        return f"{so_far} {format_money(-still, currency)} is paid back and nothing stays due."
    return f"{so_far} nothing {'is paid back and nothing ' if paid else ''}stays due."
