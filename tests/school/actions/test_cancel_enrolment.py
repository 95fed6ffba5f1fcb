"""Giving up a seat."""

from decimal import Decimal
from typing import Any

import pytest

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.money import record_payment, reverse_entry
from school.errors import NotEnrolled, WrongState
from school.models import Account, AuditEntry, Enrolment, School
from school.signals import enrolment_cancelled
from tests.factories import EnrolmentFactory, GolferFactory, SchoolFactory

pytestmark = pytest.mark.django_db


def enrolled(school: School) -> Enrolment:
    return enrol(school=school, golfer=GolferFactory.create(), actor=None)


def test_the_seat_is_freed_and_the_charge_let_go(front_desk: Account) -> None:
    enrolment = enrolled(SchoolFactory.create())
    gone = cancel_enrolment(enrolment=enrolment, why="broke a wrist", actor=front_desk)
    assert (gone.state, gone.seat) == ("cancelled", None)
    assert gone.balance() == 0
    assert gone.ledger.get(kind="reversal").memo == "Cancelled: broke a wrist"


def test_what_was_paid_is_then_owed_to_the_golfer() -> None:
    enrolment = enrolled(SchoolFactory.create())
    record_payment(enrolment=enrolment, amount=Decimal("250.00"), method="card", actor=None)
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    assert enrolment.balance() == Decimal("-250.00")


def test_a_charge_reversed_before_is_not_reversed_again() -> None:
    enrolment = enrolled(SchoolFactory.create())
    reverse_entry(entry=enrolment.ledger.get(), why="guest of the house", actor=None)
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    assert enrolment.balance() == 0


def test_the_head_of_the_list_is_seated_and_charged() -> None:
    school = SchoolFactory.create(capacity=1)
    first, second, third = (enrolled(school) for _ in range(3))
    cancel_enrolment(enrolment=first, why="", actor=None)
    second.refresh_from_db()
    third.refresh_from_db()
    assert (second.state, second.seat, second.balance()) == ("seated", 1, Decimal("960.00"))
    assert third.state == "waiting"


def test_leaving_the_list_seats_nobody_and_sends_no_signal(signals: list[dict[str, Any]]) -> None:
    school = SchoolFactory.create(capacity=1)
    enrolled(school)
    waiting = enrolled(school)
    cancel_enrolment(enrolment=waiting, why="", actor=None)
    assert school.enrolments.filter(state="seated").count() == 1
    assert signals == []


def test_who_listens_hears_of_a_seat_given_up(
    signals: list[dict[str, Any]], front_desk: Account
) -> None:
    enrolment = enrolled(SchoolFactory.create())
    cancel_enrolment(enrolment=enrolment, why="", actor=front_desk)
    assert [(heard["enrolment"], heard["actor"]) for heard in signals] == [(enrolment, front_desk)]


def test_cancelling_twice_is_refused() -> None:
    enrolment = enrolled(SchoolFactory.create())
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    with pytest.raises(NotEnrolled):
        cancel_enrolment(enrolment=enrolment, why="", actor=None)


def test_a_closed_school_keeps_who_took_part() -> None:
    school = SchoolFactory.create(state=School.State.CLOSED, closed_at="2027-05-09T18:00Z")
    enrolment = EnrolmentFactory.create(school=school)
    with pytest.raises(WrongState):
        cancel_enrolment(enrolment=enrolment, why="", actor=None)


def test_the_trail_says_why(front_desk: Account) -> None:
    enrolment = enrolled(SchoolFactory.create())
    cancel_enrolment(enrolment=enrolment, why="ill", actor=front_desk)
    trail = AuditEntry.objects.get(verb="cancel_enrolment")
    assert (trail.actor, trail.detail) == (front_desk, {"seat": 1, "why": "ill"})


@pytest.fixture
def signals() -> Any:
    heard: list[dict[str, Any]] = []

    def listen(**said: Any) -> None:
        heard.append(said)

    enrolment_cancelled.connect(listen)
    yield heard
    enrolment_cancelled.disconnect(listen)
