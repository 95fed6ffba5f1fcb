"""What a school's terms come to in money, to the cent."""

from collections import namedtuple
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from school.policy import (
    Refund,
    due_by,
    percent_given_back,
    refund_due,
    schedule,
    steps_in_words,
    to_the_cent,
)

Step = namedtuple("Step", ["days_before", "percent"])
POLICY = [Step(7, 25), Step(60, 100), Step(28, 50)]
FIRST_DAY = date(2027, 5, 7)
MONEY = st.decimals("0", "99999.99", places=2)
STEPS = st.lists(
    st.builds(Step, st.integers(0, 400), st.integers(0, 100)),
    unique_by=lambda step: step.days_before,
    max_size=6,
)
DAYS = st.integers(-30, 500)


def cancel(price: str, paid: str, days: int) -> Refund:
    return refund_due(Decimal(price), Decimal(paid), POLICY, days, "GBP")


@pytest.mark.parametrize(
    ("days", "percent"),
    [(400, 100), (60, 100), (59, 50), (28, 50), (27, 25), (7, 25), (6, 0), (0, 0), (-1, 0)],
)
def test_a_step_counts_from_its_day_until_the_next(days: int, percent: int) -> None:
    assert percent_given_back(POLICY, days) == percent


def test_a_step_of_no_days_ends_when_the_school_begins() -> None:
    assert percent_given_back([Step(0, 10)], 0) == 10
    assert percent_given_back([Step(0, 10)], -1) == 0


@pytest.mark.parametrize(
    ("amount", "rounded"),
    [("0.005", "0.01"), ("0.015", "0.02"), ("0.025", "0.03"), ("0.0049", "0.00"), ("2", "2.00")],
)
def test_half_a_cent_goes_up(amount: str, rounded: str) -> None:
    """Half to even, the default of the decimal module, would give 0.00, 0.02 and 0.02."""
    assert str(to_the_cent(Decimal(amount))) == rounded


def test_what_is_given_back_is_rounded_and_the_rest_is_kept() -> None:
    found = cancel("0.05", "0.05", 30)
    assert (found.given_back, found.kept) == (Decimal("0.03"), Decimal("0.02"))


@pytest.mark.parametrize(
    ("price", "paid", "days", "words"),
    [
        (
            "980.00",
            "250.00",
            30,
            "30 days before the first day: 50 % of £980.00 is given back, £490.00. "
            "Paid so far £250.00, so nothing is paid back and £240.00 stays due.",
        ),
        (
            "980.00",
            "980.00",
            10,
            "10 days before the first day: 25 % of £980.00 is given back, £245.00. "
            "Paid so far £980.00, so £245.00 is paid back and nothing stays due.",
        ),
        (
            "980.00",
            "0.00",
            90,
            "90 days before the first day: all of £980.00 is given back. "
            "Nothing was paid, so nothing stays due.",
        ),
        (
            "980.00",
            "0.00",
            1,
            "1 day before the first day: nothing of £980.00 is given back. "
            "Nothing was paid, so £980.00 stays due.",
        ),
        (
            "980.00",
            "490.00",
            28,
            "28 days before the first day: 50 % of £980.00 is given back, £490.00. "
            "Paid so far £490.00, so nothing is paid back and nothing stays due.",
        ),
        (
            "980.00",
            "980.00",
            0,
            "On the first day: nothing of £980.00 is given back. "
            "Paid so far £980.00, so nothing is paid back and nothing stays due.",
        ),
        (
            "980.00",
            "980.00",
            -1,
            "After the first day: nothing of £980.00 is given back. "
            "Paid so far £980.00, so nothing is paid back and nothing stays due.",
        ),
        (
            "0.00",
            "50.00",
            30,
            "Nothing is charged. Paid so far £50.00, so £50.00 is paid back and nothing stays due.",
        ),
    ],
)
def test_it_is_said_in_words(price: str, paid: str, days: int, words: str) -> None:
    assert cancel(price, paid, days).words == words


def test_no_price_is_below_zero() -> None:
    with pytest.raises(ValueError, match="not below zero"):
        cancel("-0.01", "0", 30)


@given(MONEY, MONEY, STEPS, DAYS)
def test_kept_and_given_back_make_the_price(
    price: Decimal, paid: Decimal, steps: list[Step], days: int
) -> None:
    found = refund_due(price, paid, steps, days, "GBP")
    assert found.kept + found.given_back == price
    assert 0 <= found.given_back <= price
    exact = price * percent_given_back(steps, days) / 100
    assert abs(found.given_back - exact) <= Decimal("0.005")
    assert found.given_back.as_tuple().exponent == -2


@given(MONEY, MONEY, STEPS, DAYS)
def test_nobody_is_paid_back_more_than_was_paid(
    price: Decimal, paid: Decimal, steps: list[Step], days: int
) -> None:
    found = refund_due(price, paid, steps, days, "GBP")
    assert found.owed_back == max(Decimal(0), paid - found.kept)
    assert found.owed_back <= paid


@given(MONEY, MONEY, st.integers(0, 90), st.integers(-10, 200))
def test_instalments_make_the_price_and_fall_due_in_order(
    price: Decimal, deposit: Decimal, due_days: int, days_before: int
) -> None:
    enrolled_on = FIRST_DAY - timedelta(days=days_before)
    dues = schedule(
        price,
        deposit,
        starts_on=FIRST_DAY,
        balance_due_days=due_days,
        enrolled_on=enrolled_on,
        currency="GBP",
    )
    assert sum(due.amount for due in dues) == price
    assert all(due.amount > 0 for due in dues)
    assert [due.date for due in dues] == sorted(due.date for due in dues)
    assert due_by(dues, max(enrolled_on, FIRST_DAY)) == price
    assert all(due.date >= enrolled_on for due in dues)


def dues(price: str, deposit: str, enrolled_on: date) -> list[str]:
    return [
        due.words
        for due in schedule(
            Decimal(price),
            Decimal(deposit),
            starts_on=FIRST_DAY,
            balance_due_days=28,
            enrolled_on=enrolled_on,
            currency="GBP",
        )
    ]


def test_a_deposit_at_once_and_the_balance_on_its_day() -> None:
    assert dues("980", "250", date(2027, 4, 8)) == [
        "£250.00 deposit, due at once",
        "£730.00 due by 9 April 2027",
    ]


def test_everything_at_once_when_the_balance_is_due_already() -> None:
    assert dues("980", "250", date(2027, 4, 9)) == ["£980.00 in full, due at once"]


def test_without_a_deposit_only_the_balance() -> None:
    assert dues("980", "0", date(2027, 1, 1)) == ["£980.00 due by 9 April 2027"]


@pytest.mark.parametrize("deposit", ["100", "250"])
def test_a_deposit_that_covers_it_is_the_whole(deposit: str) -> None:
    assert dues("100", deposit, date(2027, 1, 1)) == ["£100.00 in full, due at once"]


def test_the_policy_is_told_line_by_line() -> None:
    assert steps_in_words([*POLICY, Step(0, 5)]) == [
        "60 days or more before the first day: 100 % of the price is given back",
        "28 days or more before the first day: 50 % of the price is given back",
        "7 days or more before the first day: 25 % of the price is given back",
        "Up to the first day: 5 % of the price is given back",
        "Later: nothing is given back",
    ]
    assert steps_in_words([]) == ["Nothing is given back"]
