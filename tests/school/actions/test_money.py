"""Payments and reversals."""

from decimal import Decimal

import pytest
from django.db import IntegrityError

from school.actions import money
from school.actions.enrolment import enrol
from school.actions.money import record_payment, reverse_entry
from school.errors import MoneyError
from school.models import Account, AuditEntry, Enrolment, LedgerEntry, Message
from tests.factories import GolferFactory, SchoolFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def enrolment(db: None) -> Enrolment:
    return enrol(school=SchoolFactory.create(), golfer=GolferFactory.create(), actor=None)


def test_a_payment_typed_above_zero_lowers_the_balance(
    enrolment: Enrolment, front_desk: Account
) -> None:
    entry = record_payment(
        enrolment=enrolment, amount=Decimal("250"), method="cash", memo="deposit", actor=front_desk
    )
    entry.refresh_from_db()
    assert (entry.amount, entry.method, entry.memo) == (Decimal("-250.00"), "cash", "deposit")
    assert enrolment.balance() == Decimal("710.00")


def test_who_has_paid_is_sent_a_receipt_once(enrolment: Enrolment, front_desk: Account) -> None:
    entry = record_payment(
        enrolment=enrolment, amount=Decimal("250"), method="cash", actor=front_desk
    )
    receipt = Message.objects.get(kind="receipt")
    assert (receipt.to, receipt.once_key) == (enrolment.golfer.email, f"receipt:{entry.pk}")
    assert "£250.00 (cash)" in receipt.body
    assert "Still to pay: £710.00" in receipt.body
    assert f"/receipts/{entry.pk}/" in receipt.body


@pytest.mark.parametrize("amount", ["0", "-5", "0.001", "10.999", "NaN", "Infinity", "1e9", "1e30"])
def test_what_is_no_amount_of_money_is_refused(enrolment: Enrolment, amount: str) -> None:
    with pytest.raises(MoneyError):
        record_payment(enrolment=enrolment, amount=Decimal(amount), method="cash", actor=None)
    assert enrolment.ledger.count() == 1


def test_a_payment_says_how_it_was_made(enrolment: Enrolment) -> None:
    with pytest.raises(MoneyError):
        record_payment(enrolment=enrolment, amount=Decimal(5), method="beads", actor=None)


def test_a_reversal_undoes_a_payment_and_both_stay(
    enrolment: Enrolment, front_desk: Account
) -> None:
    entry = record_payment(enrolment=enrolment, amount=Decimal(50), method="cash", actor=None)
    reversal = reverse_entry(entry=entry, why="typed twice", actor=front_desk)
    assert (reversal.reverses, reversal.amount, reversal.memo) == (
        entry,
        Decimal(50),
        "typed twice",
    )
    assert enrolment.balance() == Decimal("960.00")
    assert enrolment.ledger.count() == 3


def test_an_entry_is_reversed_once(enrolment: Enrolment) -> None:
    charge = enrolment.ledger.get()
    reverse_entry(entry=charge, why="guest", actor=None)
    with pytest.raises(MoneyError, match="before"):
        reverse_entry(entry=charge, why="guest", actor=None)


def test_two_who_reverse_at_once_leave_one_reversal(
    enrolment: Enrolment, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other one wrote after we had looked, so only the database can tell."""
    charge = enrolment.ledger.get()

    def too_late(*args: object) -> LedgerEntry:
        raise IntegrityError

    monkeypatch.setattr(money, "_reverse", too_late)
    with pytest.raises(MoneyError, match="before"):
        reverse_entry(entry=charge, why="guest", actor=None)


def test_a_reversal_stays(enrolment: Enrolment) -> None:
    reversal = reverse_entry(entry=enrolment.ledger.get(), why="guest", actor=None)
    with pytest.raises(MoneyError, match="stays"):
        reverse_entry(entry=reversal, why="no guest", actor=None)


def test_a_reversal_says_why(enrolment: Enrolment) -> None:
    with pytest.raises(MoneyError, match="why"):
        reverse_entry(entry=enrolment.ledger.get(), why="  ", actor=None)


def test_the_trail_has_the_amount(enrolment: Enrolment, front_desk: Account) -> None:
    record_payment(enrolment=enrolment, amount=Decimal("1.50"), method="cash", actor=front_desk)
    trail = AuditEntry.objects.get(verb="record_payment")
    assert (trail.actor, trail.detail["amount"]) == (front_desk, "1.50")
