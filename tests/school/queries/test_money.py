"""Sums over the ledger."""

from decimal import Decimal

import pytest

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.money import record_payment, reverse_entry
from school.models import Enrolment, School
from school.queries.money import SchoolMoney, ledger_lines, school_money
from school.queries.schools import schools_overview
from tests.factories import GolferFactory, SchoolFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


def seat(school: School) -> Enrolment:
    return enrol(school=school, golfer=GolferFactory.create(), actor=None)


def pay(enrolment: Enrolment, amount: str) -> None:
    record_payment(enrolment=enrolment, amount=Decimal(amount), method="cash", actor=None)


def test_charges_and_payments_are_less_what_was_reversed_of_each() -> None:
    school = SchoolFactory.create(price=Decimal("100.00"))
    first, second, third = (seat(school) for _ in range(3))
    pay(first, "60.00")
    pay(second, "70.00")
    reverse_entry(entry=second.ledger.get(kind="payment"), why="bounced", actor=None)
    cancel_enrolment(enrolment=third, why="", actor=None)
    assert school_money(school) == SchoolMoney(Decimal("200.00"), Decimal("60.00"))
    assert school_money(school).due == Decimal("140.00")


def test_a_school_without_entries_has_no_money() -> None:
    assert school_money(SchoolFactory.create()) == SchoolMoney()


def test_the_ledger_runs_a_balance_and_knows_what_can_be_reversed() -> None:
    enrolment = seat(SchoolFactory.create(price=Decimal("100.00")))
    pay(enrolment, "60.00")
    reverse_entry(entry=enrolment.ledger.get(kind="payment"), why="bounced", actor=None)
    lines = ledger_lines(enrolment)
    assert [line.balance for line in lines] == [Decimal(100), Decimal(40), Decimal(100)]
    assert [line.can_be_reversed for line in lines] == [True, False, False]


def test_the_ledger_takes_one_query_however_long() -> None:
    enrolment = seat(SchoolFactory.create())
    counts = []
    for _ in range(2):
        for _ in range(3):
            pay(enrolment, "1.00")
        counts.append(
            queries_of(
                lambda: [
                    (line.entry.entered_by, line.entry.reverses) for line in ledger_lines(enrolment)
                ]
            )
        )
    assert counts == [1, 1]


def test_the_overview_counts_seats_and_money_side_by_side() -> None:
    school = SchoolFactory.create(capacity=2, price=Decimal("100.00"))
    for _ in range(3):
        pay(seat(school), "10.00")
    (line,) = schools_overview()
    assert (line.seated, line.waiting) == (2, 1)
    assert line.money == SchoolMoney(Decimal("200.00"), Decimal("30.00"))


def test_the_overview_takes_two_queries_however_many_schools() -> None:
    counts = []
    for _ in range(2):
        for _ in range(3):
            seat(SchoolFactory.create())
        counts.append(queries_of(schools_overview))
    assert counts == [2, 2]
