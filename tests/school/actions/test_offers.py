"""A free seat while somebody waits: offered, accepted, declined, run out, or given out of turn."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.offers import (
    accept_offer,
    decline_offer,
    enrolment_of_offer,
    expire_offers,
    offer_out_of_turn,
    offer_token,
    seat_out_of_turn,
)
from school.actions.schools import change_capacity, close_school
from school.errors import (
    NoSeatToGive,
    NotEnrolled,
    OfferIsOver,
    ReasonMissing,
    WrongState,
)
from school.models import Account, AuditEntry, Enrolment, Message, School
from school.signals import enrolment_cancelled
from tests.factories import GolferFactory, SchoolFactory

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


def enrolled(school: School) -> Enrolment:
    return enrol(school=school, golfer=GolferFactory.create(), actor=None)


@pytest.fixture
def school(db: None) -> School:
    return SchoolFactory.create(capacity=1, offer_hours=24)


@pytest.fixture
def asked(school: School) -> list[Enrolment]:
    """Three who waited; the first of them is offered the seat."""
    first, *waiting = (enrolled(school) for _ in range(4))
    cancel_enrolment(enrolment=first, why="", actor=None)
    for each in waiting:
        each.refresh_from_db()
    return waiting


def states(rows: list[Enrolment]) -> list[str]:
    for row in rows:
        row.refresh_from_db()
    return [str(row.state) for row in rows]


def test_an_offer_holds_the_seat_for_the_schools_hours(asked: list[Enrolment]) -> None:
    offered = asked[0]
    assert (offered.seat, offered.balance()) == (1, Decimal(0))
    assert offered.offer_ends_at is not None
    left = offered.offer_ends_at - timezone.now()
    assert 23 * HOUR < left <= 24 * HOUR


def test_who_joins_while_a_seat_is_offered_waits(school: School, asked: list[Enrolment]) -> None:
    assert enrolled(school).state == "waiting"


def test_an_offer_is_told_with_its_link_and_its_end(asked: list[Enrolment]) -> None:
    message = Message.objects.get(kind="offer")
    assert message.to == asked[0].golfer.email
    assert f"/offers/{offer_token(asked[0])}/" in message.body


def test_accepting_seats_charges_and_confirms(asked: list[Enrolment]) -> None:
    done = accept_offer(enrolment=asked[0], actor=None)
    assert (done.state, done.seat, done.offer_ends_at) == ("seated", 1, None)
    assert done.balance() == Decimal(960)
    assert Message.objects.filter(kind="confirmation", enrolment=done).count() == 1


def test_accepting_twice_charges_once(asked: list[Enrolment]) -> None:
    for _ in range(2):
        done = accept_offer(enrolment=asked[0], actor=None)
    assert done.ledger.count() == 1


def test_an_offer_whose_time_has_passed_is_not_accepted(asked: list[Enrolment]) -> None:
    Enrolment.objects.filter(pk=asked[0].pk).update(offer_ends_at=timezone.now())
    with pytest.raises(OfferIsOver):
        accept_offer(enrolment=asked[0], actor=None)
    assert states(asked[:1]) == ["offered"]


@pytest.mark.parametrize("answer", [accept_offer, decline_offer])
def test_who_only_waits_has_nothing_to_answer(asked: list[Enrolment], answer: object) -> None:
    with pytest.raises(OfferIsOver):
        answer(enrolment=asked[1], actor=None)  # type: ignore[operator]


def test_declining_leaves_the_list_and_asks_the_next(asked: list[Enrolment]) -> None:
    decline_offer(enrolment=asked[0], actor=None)
    assert states(asked) == ["cancelled", "offered", "waiting"]
    with pytest.raises(NotEnrolled):
        decline_offer(enrolment=asked[0], actor=None)


def test_cancelling_what_is_offered_asks_the_next(asked: list[Enrolment]) -> None:
    cancel_enrolment(enrolment=asked[0], why="moved away", actor=None)
    assert states(asked) == ["cancelled", "offered", "waiting"]


def test_an_offer_that_ran_out_goes_to_the_next(asked: list[Enrolment]) -> None:
    assert expire_offers(timezone.now() + 23 * HOUR) == 0
    assert expire_offers(timezone.now() + 24 * HOUR) == 1
    assert states(asked) == ["cancelled", "offered", "waiting"]
    trail = AuditEntry.objects.get(verb="expire_offer")
    assert (trail.actor, trail.detail["why"]) == (None, "no answer in time")


def test_each_offer_runs_out_in_its_turn(asked: list[Enrolment]) -> None:
    now = timezone.now()
    for turn in range(1, 5):
        expire_offers(now + turn * 25 * HOUR)
    assert states(asked) == ["cancelled"] * 3
    assert enrolled(asked[0].school).seat == 1


def test_without_anybody_waiting_a_seat_is_simply_free(school: School) -> None:
    cancel_enrolment(enrolment=enrolled(school), why="", actor=None)
    assert enrolled(school).is_seated


def test_a_closed_school_gives_no_seat_and_asks_nobody(
    school: School, asked: list[Enrolment]
) -> None:
    close_school(school=school, early=True, actor=None)
    with pytest.raises(WrongState):
        accept_offer(enrolment=asked[0], actor=None)
    expire_offers(timezone.now() + 25 * HOUR)
    assert states(asked) == ["cancelled", "waiting", "waiting"]


def test_the_desk_seats_out_of_turn_and_says_why(
    asked: list[Enrolment], front_desk: Account
) -> None:
    seat_out_of_turn(enrolment=asked[2], why="came all this way", actor=front_desk)
    assert states(asked) == ["waiting", "waiting", "seated"]
    trail = AuditEntry.objects.get(verb="seat_out_of_turn")
    assert (trail.actor, trail.detail) == (front_desk, {"seat": 1, "why": "came all this way"})


def test_whose_offer_was_taken_back_is_told_and_keeps_the_place(asked: list[Enrolment]) -> None:
    done = seat_out_of_turn(enrolment=asked[2], why="promised", actor=None)
    assert Message.objects.filter(kind="waiting", enrolment=asked[0]).count() == 2
    cancel_enrolment(enrolment=done, why="", actor=None)
    assert states(asked) == ["offered", "waiting", "cancelled"]


def test_the_desk_accepts_for_whoever_is_offered_a_seat(asked: list[Enrolment]) -> None:
    done = seat_out_of_turn(enrolment=asked[0], why="said yes on the telephone", actor=None)
    assert (done.seat, done.balance()) == (1, Decimal(960))


def test_the_desk_offers_out_of_turn(asked: list[Enrolment]) -> None:
    offer_out_of_turn(enrolment=asked[1], why="comes with seat 2", actor=None)
    assert states(asked) == ["waiting", "offered", "waiting"]


def test_the_offer_made_to_who_waited_least_is_taken_back(
    school: School, asked: list[Enrolment]
) -> None:
    change_capacity(school=school, capacity=2, actor=None)
    offer_out_of_turn(enrolment=asked[2], why="promised", actor=None)
    assert states(asked) == ["offered", "waiting", "offered"]


@pytest.mark.parametrize("act", [seat_out_of_turn, offer_out_of_turn])
def test_out_of_turn_needs_a_reason(asked: list[Enrolment], act: object) -> None:
    with pytest.raises(ReasonMissing):
        act(enrolment=asked[1], why="  ", actor=None)  # type: ignore[operator]


@pytest.mark.parametrize("act", [seat_out_of_turn, offer_out_of_turn])
def test_a_full_school_has_no_seat_to_give(school: School, act: object) -> None:
    seated, waiting = enrolled(school), enrolled(school)
    with pytest.raises(NoSeatToGive):
        act(enrolment=waiting, why="promised", actor=None)  # type: ignore[operator]
    with pytest.raises(WrongState):
        act(enrolment=seated, why="promised", actor=None)  # type: ignore[operator]


def test_a_link_is_for_one_enrolment_and_cannot_be_made_up(asked: list[Enrolment]) -> None:
    token = offer_token(asked[0])
    assert enrolment_of_offer(token) == asked[0]
    for made_up in (str(asked[0].pk), token[:-1], f"x{token}", ""):
        assert enrolment_of_offer(made_up) is None


def test_no_signal_tells_of_a_seat_that_was_only_offered(asked: list[Enrolment]) -> None:
    heard: list[object] = []

    def listen(**said: object) -> None:
        heard.append(said)

    enrolment_cancelled.connect(listen)
    try:
        decline_offer(enrolment=asked[0], actor=None)
    finally:
        enrolment_cancelled.disconnect(listen)
    assert heard == []
