"""What an enrolment says of itself."""

from decimal import Decimal

import pytest

from school.actions.enrolment import enrol
from school.actions.money import record_payment
from tests.factories import GolferFactory, SchoolFactory


@pytest.mark.django_db
def test_a_balance_is_exact_to_the_cent() -> None:
    """0.30 − 0.10 − 0.20 is not nought in binary, in which SQLite adds."""
    school = SchoolFactory.create(price=Decimal("0.30"))
    enrolment = enrol(school=school, golfer=GolferFactory.create(), actor=None)
    for amount in ("0.10", "0.20"):
        record_payment(enrolment=enrolment, amount=Decimal(amount), method="cash", actor=None)
    assert enrolment.balance() == 0
