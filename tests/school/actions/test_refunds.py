"""Discounts and paying back."""

from decimal import Decimal

import pytest

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.money import record_payment, reverse_entry
from school.actions.refunds import discount, refund
from school.errors import MoneyError
from school.models import Account, AuditEntry, Enrolment
from school.queries.money import enrolment_money
from tests.factories import GolferFactory, SchoolFactory, giving_back

pytestmark = pytest.mark.django_db


@pytest.fixture
def enrolment(db: None) -> Enrolment:
    school = giving_back(SchoolFactory.create(price=Decimal(100)), {0: 50})
    return enrol(school=school, golfer=GolferFactory.create(), actor=None)


def let_off(enrolment: Enrolment, amount: str, why: str = "pair") -> Decimal:
    return discount(enrolment=enrolment, amount=Decimal(amount), why=why, actor=None).amount


def pay(enrolment: Enrolment, amount: str) -> None:
    record_payment(enrolment=enrolment, amount=Decimal(amount), method="cash", actor=None)


def pay_back(enrolment: Enrolment, amount: str, method: str = "card") -> Decimal:
    made = refund(enrolment=enrolment, amount=Decimal(amount), method=method, actor=None)
    return made.amount


def test_a_discount_lowers_the_balance_and_says_why(
    enrolment: Enrolment, front_desk: Account
) -> None:
    made = discount(enrolment=enrolment, amount=Decimal(10), why=" pair ", actor=front_desk)
    assert (made.kind, made.amount, made.memo, made.entered_by) == (
        "discount",
        Decimal(-10),
        "pair",
        front_desk,
    )
    assert enrolment.balance() == Decimal(90)
    assert AuditEntry.objects.get(verb="discount").detail["amount"] == "10"


def test_after_paying_a_discount_is_owed_back(enrolment: Enrolment) -> None:
    pay(enrolment, "100")
    let_off(enrolment, "10")
    assert enrolment.balance() == Decimal(-10)
    assert pay_back(enrolment, "10") == Decimal(10)
    assert enrolment.balance() == 0


def test_no_more_is_let_off_than_is_charged(enrolment: Enrolment) -> None:
    let_off(enrolment, "60")
    with pytest.raises(MoneyError, match=r"No more than the £40\.00"):
        let_off(enrolment, "40.01")
    assert let_off(enrolment, "40") == Decimal(-40)


def test_who_waits_is_charged_nothing_that_could_be_let_off(enrolment: Enrolment) -> None:
    school = SchoolFactory.create(capacity=1)
    enrol(school=school, golfer=GolferFactory.create(), actor=None)
    waiting = enrol(school=school, golfer=GolferFactory.create(), actor=None)
    with pytest.raises(MoneyError):
        let_off(waiting, "0.01")


@pytest.mark.parametrize(("amount", "why"), [("0", "pair"), ("0.001", "pair"), ("5", "  ")])
def test_a_discount_is_money_with_a_reason(enrolment: Enrolment, amount: str, why: str) -> None:
    with pytest.raises(MoneyError):
        let_off(enrolment, amount, why)
    assert enrolment.ledger.count() == 1


def test_a_charge_with_a_discount_on_it_is_not_reversed_alone(enrolment: Enrolment) -> None:
    charge = enrolment.ledger.get()
    let_off(enrolment, "10")
    with pytest.raises(MoneyError, match=r"£10\.00 was given on it"):
        reverse_entry(entry=charge, why="guest", actor=None)
    reverse_entry(entry=enrolment.ledger.get(kind="discount"), why="guest", actor=None)
    reverse_entry(entry=charge, why="guest", actor=None)
    assert enrolment.balance() == 0


def test_no_more_is_paid_back_than_is_owed_back(enrolment: Enrolment) -> None:
    pay(enrolment, "80")
    cancel_enrolment(enrolment=enrolment, why="ill", actor=None)
    with pytest.raises(MoneyError, match=r"£30\.00 is owed back"):
        pay_back(enrolment, "30.01")
    pay_back(enrolment, "30")
    with pytest.raises(MoneyError, match=r"£0\.00 is owed back"):
        pay_back(enrolment, "0.01")


def test_who_still_owes_is_paid_nothing_back(enrolment: Enrolment) -> None:
    pay(enrolment, "80")
    with pytest.raises(MoneyError, match=r"£0\.00 is owed back"):
        pay_back(enrolment, "1")


@pytest.mark.parametrize(("amount", "method"), [("-1", "card"), ("1", "beads"), ("NaN", "card")])
def test_paying_back_is_money_by_a_method(enrolment: Enrolment, amount: str, method: str) -> None:
    pay(enrolment, "200")
    with pytest.raises(MoneyError):
        pay_back(enrolment, amount, method)
    assert enrolment_money(enrolment).refunded == 0


def test_a_refund_that_was_not_sent_is_reversed(enrolment: Enrolment, front_desk: Account) -> None:
    pay(enrolment, "150")
    made = refund(
        enrolment=enrolment, amount=Decimal(50), method="transfer", memo="iban", actor=front_desk
    )
    reverse_entry(entry=made, why="came back", actor=front_desk)
    assert enrolment.balance() == Decimal(-50)
    assert AuditEntry.objects.get(verb="refund").actor == front_desk
