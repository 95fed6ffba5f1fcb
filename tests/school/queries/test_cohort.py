"""Everyone of a school, with what is missing and owed."""

from datetime import date
from decimal import Decimal

import pytest
from django.utils import timezone

from school.actions.consents import withdraw_consent
from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.money import record_payment
from school.models import School
from school.queries.cohort import cancelled, cohort, offers, waiting_list
from tests.factories import EnrolmentFactory, GolferFactory, SchoolFactory, consented
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def school(db: None) -> School:
    return SchoolFactory.create(starts_on=date(2027, 5, 7), capacity=2)


def test_the_cohort_is_by_seat_and_the_list_by_arrival(school: School) -> None:
    names = ["A", "B", "C", "D"]
    made = [
        enrol(school=school, golfer=GolferFactory.create(full_name=n), actor=None) for n in names
    ]
    cancel_enrolment(enrolment=made[0], why="", actor=None)
    assert [(a.golfer.full_name, a.seat) for a in cohort(school)] == [("B", 2)]
    assert [(a.golfer.full_name, a.seat) for a in offers(school)] == [("C", 1)]
    assert [a.golfer.full_name for a in waiting_list(school)] == ["D"]
    assert [a.golfer.full_name for a in cancelled(school)] == ["A"]


def test_a_minor_is_one_on_the_first_day(school: School) -> None:
    for born in (date(2009, 5, 7), date(2009, 5, 8)):
        EnrolmentFactory.create(school=school, golfer__birth_date=born)
    assert [a.is_minor for a in cohort(school)] == [False, True]


def test_consents_are_given_or_missing(school: School) -> None:
    enrolment = consented(EnrolmentFactory.create(school=school), "filming", "terms")
    withdraw_consent(enrolment=enrolment, kind="filming", actor=None)
    (attendee,) = cohort(school)
    assert attendee.given == ("terms",)
    assert attendee.missing_words == [
        "assumption of risk",
        "being filmed for teaching",
        "stills shown in class",
    ]


def test_the_balance_is_the_sum_of_the_ledger(school: School) -> None:
    enrolment = enrol(school=school, golfer=GolferFactory.create(), actor=None)
    record_payment(enrolment=enrolment, amount=Decimal("59.99"), method="cash", actor=None)
    assert cohort(school)[0].balance == Decimal("900.01")


def test_what_is_settled_is_settled_to_the_cent(school: School) -> None:
    """0.10 + 0.20 − 0.30 is not nought in binary."""
    school.price = Decimal("0.30")
    school.save(update_fields=["price"])
    enrolment = enrol(school=school, golfer=GolferFactory.create(), actor=None)
    for amount in ("0.10", "0.20"):
        record_payment(enrolment=enrolment, amount=Decimal(amount), method="cash", actor=None)
    assert cohort(school)[0].balance == 0


@pytest.mark.parametrize("listing", [cohort, offers, waiting_list, cancelled])
def test_two_queries_however_many_attendees(listing: object) -> None:
    counts = []
    for size in (3, 6):
        school = SchoolFactory.create()
        for first, state in ((1, "seated"), (50, "offered"), (0, "waiting"), (0, "cancelled")):
            for n in range(size):
                made = EnrolmentFactory.create(
                    school=school,
                    state=state,
                    seat=first + n if first else None,
                    cancelled_at=timezone.now() if state == "cancelled" else None,
                    offer_ends_at=timezone.now() if state == "offered" else None,
                )
                consented(made, "filming", "terms")
        counts.append(queries_of(lambda school=school: listing(school)))  # type: ignore[misc,operator]
    assert counts == [2, 2]
