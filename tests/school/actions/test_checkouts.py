"""Online payments: started for what is due, recorded once."""

from dataclasses import replace
from decimal import Decimal
from urllib.parse import parse_qs, urlsplit

import pytest
from pytest_django.fixtures import Settings

from school.actions.checkouts import confirm_checkout, start_checkout
from school.actions.enrolment import enrol
from school.actions.money import record_payment
from school.errors import CheckoutRefused
from school.models import AuditEntry, Checkout, Enrolment
from school.payments.gateway import Failed, Paid
from tests.factories import GolferFactory, SchoolFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def enrolment(db: None) -> Enrolment:
    school = SchoolFactory.create(price=Decimal("960.00"), deposit=Decimal("240.00"))
    return enrol(school=school, golfer=GolferFactory.create(), actor=None)


def start(enrolment: Enrolment, part: str = "deposit") -> Checkout:
    start_checkout(enrolment=enrolment, part=part, return_url="http://x/back/", actor=None)  # type: ignore[arg-type]
    return Checkout.objects.latest("pk")


def paid(checkout: Checkout) -> Paid:
    return Paid(checkout.reference, checkout.amount, "GBP")


def test_the_gateway_is_asked_for_the_deposit(enrolment: Enrolment) -> None:
    url = start_checkout(enrolment=enrolment, part="deposit", return_url="http://x/", actor=None)
    checkout = Checkout.objects.get()
    assert (checkout.gateway, checkout.amount, checkout.state) == (
        "sandbox",
        Decimal("240.00"),
        "started",
    )
    assert urlsplit(url).path == "/checkouts/sandbox/"
    assert "asked" in parse_qs(urlsplit(url).query)
    assert AuditEntry.objects.get(verb="start_checkout").detail["part"] == "deposit"


def test_the_balance_is_all_that_is_owed(enrolment: Enrolment) -> None:
    record_payment(enrolment=enrolment, amount=Decimal("300.01"), method="cash", actor=None)
    assert start(enrolment, "balance").amount == Decimal("659.99")


def test_a_paid_deposit_is_not_asked_for_again(enrolment: Enrolment) -> None:
    record_payment(enrolment=enrolment, amount=Decimal("240.00"), method="cash", actor=None)
    with pytest.raises(CheckoutRefused, match="Nothing of this is due"):
        start(enrolment)
    assert not Checkout.objects.exists()


def test_without_a_gateway_nobody_pays_online(enrolment: Enrolment, settings: Settings) -> None:
    settings.PAYMENT_GATEWAY = ""
    with pytest.raises(CheckoutRefused, match="Ask the front desk"):
        start(enrolment)


def test_a_paid_checkout_is_one_payment_in_the_ledger(enrolment: Enrolment) -> None:
    checkout = start(enrolment)
    for _ in range(3):
        done = confirm_checkout(outcome=paid(checkout), gateway="sandbox")
    payment = enrolment.ledger.get(kind="payment")
    assert (done.state, done.entry) == ("paid", payment)
    assert (payment.amount, payment.method) == (Decimal("-240.00"), "online")
    assert checkout.reference in payment.memo


def test_a_failed_checkout_moves_nothing_and_may_still_be_paid(enrolment: Enrolment) -> None:
    checkout = start(enrolment)
    failed = Failed(checkout.reference, "given up")
    assert confirm_checkout(outcome=failed, gateway="sandbox").state == "failed"
    assert enrolment.balance() == Decimal("960.00")
    assert confirm_checkout(outcome=paid(checkout), gateway="sandbox").state == "paid"
    assert confirm_checkout(outcome=failed, gateway="sandbox").state == "paid"
    assert enrolment.balance() == Decimal("720.00")


@pytest.mark.parametrize("wrong", [{"amount": Decimal("2.40")}, {"currency": "EUR"}])
def test_another_sum_than_was_asked_for_is_refused(
    enrolment: Enrolment, wrong: dict[str, object]
) -> None:
    checkout = start(enrolment)
    with pytest.raises(CheckoutRefused, match=r"£240.00 was asked for"):
        confirm_checkout(outcome=replace(paid(checkout), **wrong), gateway="sandbox")  # type: ignore[arg-type]
    assert enrolment.ledger.count() == 1


@pytest.mark.parametrize(("reference", "gateway"), [("other", "sandbox"), (None, "another")])
def test_an_unknown_checkout_is_refused(
    enrolment: Enrolment, reference: str | None, gateway: str
) -> None:
    outcome = paid(start(enrolment))
    outcome = replace(outcome, reference=reference or outcome.reference)
    with pytest.raises(CheckoutRefused, match="no such payment"):
        confirm_checkout(outcome=outcome, gateway=gateway)
