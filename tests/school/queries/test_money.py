"""Sums over the ledger."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.money import record_payment, reverse_entry
from school.actions.refunds import discount, refund
from school.models import Enrolment, LedgerEntry, School
from school.queries.money import (
    Instalments,
    Sums,
    enrolment_money,
    instalments,
    ledger_lines,
    school_money,
)
from school.queries.schools import schools_overview
from tests.factories import GolferFactory, SchoolFactory, giving_back
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
    reverse_entry(entry=third.ledger.get(), why="guest", actor=None)
    assert school_money(school) == Sums(Decimal("200.00"), Decimal("60.00"))
    assert school_money(school).due == Decimal("140.00")


def test_discounts_and_refunds_are_less_what_was_reversed_of_each() -> None:
    school = SchoolFactory.create(price=Decimal("100.00"))
    one = seat(school)
    pay(one, "95.00")
    kept, undone = (
        discount(enrolment=one, amount=Decimal(n), why="pair", actor=None) for n in (8, 7)
    )
    reverse_entry(entry=undone, why="no pair", actor=None)
    reverse_entry(entry=refund_of(one, "3.00"), why="not sent", actor=None)
    refund_of(one, "2.50")
    assert enrolment_money(one) == Sums(
        charged=Decimal(100), paid=Decimal(95), discounted=-kept.amount, refunded=Decimal("2.50")
    )
    assert enrolment_money(one).due == one.balance() == Decimal("-0.50")
    assert school_money(school) == enrolment_money(one)


def refund_of(enrolment: Enrolment, amount: str) -> LedgerEntry:
    return refund(enrolment=enrolment, amount=Decimal(amount), method="card", actor=None)


def test_the_deposit_is_overdue_at_once_and_the_balance_on_its_day() -> None:
    soon = timezone.now().date() + timedelta(days=40)
    school = SchoolFactory.create(starts_on=soon, deposit=Decimal(240), balance_due_days=28)
    one = seat(school)
    pay(one, "100.00")
    found = instalments(one, enrolment_money(one))
    assert [(due.amount, due.date) for due in found.dues] == [
        (Decimal(240), soon - timedelta(days=40)),
        (Decimal(720), soon - timedelta(days=28)),
    ]
    assert found.overdue == Decimal(140)


def test_what_a_cancellation_kept_is_due_without_a_date() -> None:
    one = seat(giving_back(SchoolFactory.create(price=Decimal(100)), {0: 50}))
    one = cancel_enrolment(enrolment=one, why="", actor=None)
    assert instalments(one, enrolment_money(one)) == Instalments([], Decimal(50))


def test_who_waits_has_nothing_due() -> None:
    school = SchoolFactory.create(capacity=1)
    seat(school)
    assert instalments(seat(school), Sums()) == Instalments([], Decimal(0))


def test_a_school_without_entries_has_no_money() -> None:
    assert school_money(SchoolFactory.create()) == Sums()


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
    assert (line.seated, line.offered, line.waiting) == (2, 0, 1)
    assert line.money == Sums(Decimal("200.00"), Decimal("30.00"))


def test_the_overview_takes_two_queries_however_many_schools() -> None:
    counts = []
    for _ in range(2):
        for _ in range(3):
            seat(SchoolFactory.create())
        counts.append(queries_of(schools_overview))
    assert counts == [2, 2]
