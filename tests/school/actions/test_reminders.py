"""Who is reminded, and that nobody is reminded twice."""

from datetime import datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from school.actions.reminders import remind
from school.models import Enrolment, LedgerEntry, Message, School
from tests.factories import ConsentTextFactory, EnrolmentFactory, SchoolFactory, consented
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db(transaction=True)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo("Europe/London"))


DAY_BEFORE, DUE_DAY = at("2027-05-06T08:00"), at("2027-04-09T08:00")
CONSENT_DAY, BRING_DAY = at("2027-04-23T08:00"), at("2027-04-30T08:00")


def attendee(**fields: Any) -> Enrolment:
    return EnrolmentFactory.create(enrolled_at=at("2027-01-01T12:00"), **fields)


def owing(enrolment: Enrolment, amount: int = 720) -> Enrolment:
    LedgerEntry.objects.create(enrolment=enrolment, kind="charge", amount=Decimal(amount))
    return enrolment


def test_the_day_before_with_place_and_time() -> None:
    attendee(school__name="Spring school", school__venue="Tarnholm Sands")
    assert remind(DAY_BEFORE) == 1
    message = Message.objects.get()
    assert message.subject == "Friday, 09:00: Spring school"
    assert "Where: Tarnholm Sands" in message.body


def test_nobody_is_reminded_twice() -> None:
    attendee()
    assert [remind(DAY_BEFORE), remind(DAY_BEFORE)] == [1, 0]


def test_the_balance_is_asked_for_a_week_before_and_on_the_day() -> None:
    owing(attendee())
    assert [remind(at("2027-04-02T08:00")), remind(DUE_DAY), remind(DUE_DAY)] == [1, 1, 0]
    assert "£720.00 is still to pay. It is due on Friday 9 April." in Message.objects.first().body  # type: ignore[union-attr]


def test_who_has_paid_is_not_asked_for_the_balance() -> None:
    enrolment = owing(attendee())
    enrolment.ledger.create(kind="payment", amount=Decimal(-720), method="cash")
    assert remind(DUE_DAY) == 0


def test_only_needed_consents_are_asked_for() -> None:
    for kind in ("terms", "risk", "publicity"):
        ConsentTextFactory.create(kind=kind)
    consented(attendee(), "terms")
    consented(attendee(), "terms", "risk")
    assert remind(CONSENT_DAY) == 1
    body = Message.objects.get().body
    assert "consent to “assumption of risk”." in body
    assert "publicity" not in body


@pytest.mark.parametrize(("to_bring", "sent"), [("Your clubs", 1), ("", 0)])
def test_what_to_bring_if_there_is_anything(to_bring: str, sent: int) -> None:
    attendee(school__to_bring=to_bring)
    assert remind(BRING_DAY) == sent


@pytest.mark.parametrize(
    "fields",
    [
        {"state": "cancelled", "seat": None, "cancelled_at": timezone.now()},
        {"state": "waiting", "seat": None},
        {"school__state": School.State.CLOSED, "school__closed_at": timezone.now()},
        {"school__state": School.State.DRAFT},
    ],
)
def test_who_does_not_come_is_left_in_peace(fields: dict[str, Any]) -> None:
    attendee(**fields)
    assert remind(DAY_BEFORE) == 0


def test_who_enrolled_after_it_was_due_was_told_already() -> None:
    EnrolmentFactory.create(enrolled_at=at("2027-05-06T08:30"))
    assert remind(at("2027-05-06T09:00")) == 0


def test_a_minor_is_reminded_through_the_guardian() -> None:
    attendee(golfer__birth_date="2013-06-03", golfer__email="", golfer__guardian_email="m@b.org")
    Enrolment.objects.get().refresh_from_db()
    remind(DAY_BEFORE)
    assert Message.objects.get().to == "m@b.org"


def test_looking_costs_the_same_for_many() -> None:
    school = SchoolFactory.create()
    attendee(school=school)
    remind(DAY_BEFORE)
    one = queries_of(lambda: remind(DAY_BEFORE))
    for _ in range(3):
        attendee(school=school)
    remind(DAY_BEFORE)
    assert queries_of(lambda: remind(DAY_BEFORE)) == one == 3
