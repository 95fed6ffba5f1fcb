"""Giving up a seat, and what becomes of the money."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.money import record_payment, reverse_entry
from school.actions.refunds import discount
from school.clock import today_at
from school.errors import FiguresChanged, NotEnrolled, WrongState
from school.models import Account, AuditEntry, Enrolment, Message, School
from school.queries.money import Sums, enrolment_money, refund_on_cancelling
from school.signals import enrolment_cancelled
from tests.factories import EnrolmentFactory, GolferFactory, SchoolFactory, giving_back

pytestmark = pytest.mark.django_db


def enrolled(school: School) -> Enrolment:
    return enrol(school=school, golfer=GolferFactory.create(), actor=None)


def half(**columns: Any) -> School:
    """A school that starts in 19 days and gives half of its £980 back."""
    starts_on = timezone.now().date() + timedelta(days=19)
    made = SchoolFactory.create(
        **{"price": Decimal(980), "starts_on": starts_on, "time_zone": "UTC", **columns}
    )
    return giving_back(made, {60: 100, 19: 50, 7: 25})


def test_the_seat_is_freed_and_the_charge_let_go(front_desk: Account) -> None:
    enrolment = enrolled(giving_back(SchoolFactory.create(), {0: 100}))
    gone = cancel_enrolment(enrolment=enrolment, why="broke a wrist", actor=front_desk)
    assert (gone.state, gone.seat) == ("cancelled", None)
    assert gone.balance() == 0
    assert gone.ledger.get(kind="reversal").memo == "Cancelled: broke a wrist"


def test_what_is_kept_is_charged_and_names_its_rule() -> None:
    enrolment = enrolled(half())
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    kept = enrolment.ledger.get(kind="charge", reversed_by=None)
    assert kept.amount == Decimal("490.00")
    assert kept.memo == (
        "Kept on cancelling. 19 days before the first day: 50 % of £980.00 is given back."
    )


def test_what_was_paid_beyond_it_is_owed_to_the_golfer() -> None:
    enrolment = enrolled(half())
    record_payment(enrolment=enrolment, amount=Decimal(980), method="card", actor=None)
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    assert enrolment.balance() == Decimal("-490.00")


def test_the_rule_is_applied_to_the_price_after_discounts() -> None:
    enrolment = enrolled(half())
    discount(enrolment=enrolment, amount=Decimal("80.01"), why="pair", actor=None)
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    assert enrolment_money(enrolment) == Sums(charged=Decimal("449.99"))


def test_without_a_policy_everything_is_kept() -> None:
    enrolment = enrolled(SchoolFactory.create())
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    assert enrolment.balance() == Decimal("960.00")


def test_days_are_counted_where_the_school_is_held(monkeypatch: pytest.MonkeyPatch) -> None:
    """At 12:30 UTC on the 1st it is the 2nd already in Auckland, and the step has passed."""
    now = datetime(2027, 5, 1, 12, 30, tzinfo=UTC)
    monkeypatch.setattr("school.clock.timezone.now", lambda: now)
    for zone, kept in (("Pacific/Auckland", "980.00"), ("Europe/London", "0.00")):
        school = SchoolFactory.create(
            starts_on=date(2027, 5, 8), time_zone=zone, price=Decimal(980)
        )
        enrolment = enrolled(giving_back(school, {7: 100}))
        assert refund_on_cancelling(enrolment).kept == Decimal(kept), today_at(school)


def test_a_charge_reversed_before_is_not_kept() -> None:
    enrolment = enrolled(half())
    reverse_entry(entry=enrolment.ledger.get(), why="guest of the house", actor=None)
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    assert enrolment.balance() == 0
    assert enrolment.ledger.count() == 2


def test_who_agreed_to_other_figures_is_asked_again() -> None:
    enrolment = enrolled(half())
    with pytest.raises(FiguresChanged, match=r"£490\.00 stays due"):
        cancel_enrolment(enrolment=enrolment, why="", actor=None, expected_kept=Decimal(0))
    enrolment.refresh_from_db()
    assert enrolment.is_seated
    done = cancel_enrolment(enrolment=enrolment, why="", actor=None, expected_kept=Decimal(490))
    assert done.state == "cancelled"


def test_the_head_of_the_list_is_offered_the_seat() -> None:
    school = SchoolFactory.create(capacity=1)
    first, second, third = (enrolled(school) for _ in range(3))
    cancel_enrolment(enrolment=first, why="", actor=None)
    second.refresh_from_db()
    third.refresh_from_db()
    assert (second.state, second.seat, second.balance()) == ("offered", 1, Decimal(0))
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


def test_the_trail_says_why_and_what_is_kept(front_desk: Account) -> None:
    enrolment = enrolled(half())
    cancel_enrolment(enrolment=enrolment, why=" ill ", actor=front_desk)
    trail = AuditEntry.objects.get(verb="cancel_enrolment")
    assert (trail.actor, trail.detail) == (front_desk, {"seat": 1, "why": "ill", "kept": "490.00"})


def test_the_golfer_is_told_what_becomes_of_the_money() -> None:
    enrolment = enrolled(half())
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    message = Message.objects.get(kind="cancelled", enrolment=enrolment)
    assert "50 % of £980.00 is given back, £490.00." in message.body


@pytest.fixture
def signals() -> Any:
    heard: list[dict[str, Any]] = []

    def listen(**said: Any) -> None:
        heard.append(said)

    enrolment_cancelled.connect(listen)
    yield heard
    enrolment_cancelled.disconnect(listen)
