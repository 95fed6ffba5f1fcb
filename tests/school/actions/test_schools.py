"""The life of a school."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.schools import change_capacity, close_school, open_enrolment, open_school
from school.errors import CapacityTooSmall, WrongState
from school.models import Account, AuditEntry, School
from school.signals import school_closed
from tests.factories import (
    EnrolmentFactory,
    GolferFactory,
    ProgrammeFactory,
    SchoolFactory,
    StaffFactory,
)

pytestmark = pytest.mark.django_db


def set_up(**terms: Any) -> School:
    given = {
        "programme": ProgrammeFactory.create(),
        "name": "Spring school",
        "starts_on": date(2027, 5, 7),
        "lead_instructor": StaffFactory.create(teaches=True),
        "actor": None,
    }
    return open_school(**{**given, **terms})


def test_a_new_school_copies_its_programme() -> None:
    programme = ProgrammeFactory.create(days=2, capacity=8, currency="EUR", slot_min=60)
    school = set_up(programme=programme)
    assert (school.ends_on, school.state) == (date(2027, 5, 8), "draft")
    assert (school.capacity, school.price, school.currency, school.slot_min) == (
        8,
        Decimal("960.00"),
        "EUR",
        60,
    )


def test_a_later_change_of_the_programme_changes_no_school() -> None:
    school = set_up()
    school.programme.price = Decimal(2000)
    school.programme.save(update_fields=["price"])
    school.refresh_from_db()
    assert school.price == Decimal("960.00")


def test_a_price_of_nothing_is_a_price() -> None:
    assert set_up(price=Decimal(0)).price == 0


def test_who_leads_must_teach() -> None:
    with pytest.raises(WrongState, match="does not teach"):
        set_up(lead_instructor=StaffFactory.create(at_front_desk=True))


@pytest.mark.parametrize(
    ("term", "value"),
    [("capacity", 0), ("capacity", 97), ("price", Decimal(-1)), ("time_zone", "Moon/Base")],
)
def test_impossible_terms_name_their_field(term: str, value: Any) -> None:
    with pytest.raises(ValidationError) as refused:
        set_up(**{term: value})
    assert term in refused.value.message_dict


def test_one_name_starts_once_a_day() -> None:
    set_up()
    with pytest.raises(ValidationError, match="already starts on that day"):
        set_up()


def test_opening_enrolment_is_done_once(front_desk: Account) -> None:
    school = set_up()
    assert open_enrolment(school=school, actor=front_desk).state == "open"
    with pytest.raises(WrongState):
        open_enrolment(school=school, actor=front_desk)
    assert AuditEntry.objects.get(verb="open_enrolment").actor == front_desk


def test_a_new_school_copies_what_it_is_sold_on() -> None:
    programme = ProgrammeFactory.create(
        balance_due_days=21, offer_hours=24, included="Lunch", to_bring="Shoes"
    )
    for days_before, percent in ((60, 100), (28, 50)):
        programme.refund_steps.create(days_before=days_before, percent=percent)
    school = set_up(programme=programme)
    for field in School.TERM_FIELDS:
        assert getattr(school, field) == getattr(programme, field)
    steps = school.refund_steps.values_list("days_before", "percent")
    assert list(steps) == [(60, 100), (28, 50)]


def test_a_lower_price_caps_the_deposit() -> None:
    assert set_up(price=Decimal(100)).deposit == Decimal(100)


def test_a_deposit_of_its_own_is_within_the_price() -> None:
    assert set_up(deposit=Decimal(300)).deposit == Decimal(300)
    with pytest.raises(ValidationError, match="deposit cannot be more"):
        set_up(name="Other", price=Decimal(100), deposit=Decimal(101))


def test_more_seats_are_offered_to_the_waiting_list() -> None:
    school = SchoolFactory.create(capacity=1)
    for _ in range(4):
        enrol(school=school, golfer=GolferFactory.create(), actor=None)
    change_capacity(school=school, capacity=3, actor=None)
    states = school.enrolments.order_by("pk").values_list("state", "seat")
    assert list(states) == [("seated", 1), ("offered", 2), ("offered", 3), ("waiting", None)]


def test_an_offered_seat_counts_when_seats_become_fewer() -> None:
    school = SchoolFactory.create(capacity=1)
    for _ in range(2):
        enrol(school=school, golfer=GolferFactory.create(), actor=None)
    change_capacity(school=school, capacity=2, actor=None)
    with pytest.raises(CapacityTooSmall, match="2 golfers have a seat or are offered one"):
        change_capacity(school=school, capacity=1, actor=None)


def test_fewer_seats_move_an_offer_too() -> None:
    school = SchoolFactory.create(capacity=2)
    first, _, third = (
        enrol(school=school, golfer=GolferFactory.create(), actor=None) for _ in range(3)
    )
    change_capacity(school=school, capacity=3, actor=None)
    cancel_enrolment(enrolment=first, why="", actor=None)
    change_capacity(school=school, capacity=2, actor=None)
    third.refresh_from_db()
    assert (third.state, third.seat) == ("offered", 1)


def test_fewer_seats_than_golfers_are_refused() -> None:
    school = SchoolFactory.create()
    EnrolmentFactory.create_batch(3, school=school)
    with pytest.raises(CapacityTooSmall, match="3 golfers"):
        change_capacity(school=school, capacity=2, actor=None)
    school.refresh_from_db()
    assert school.capacity == 12


def test_fewer_seats_move_whoever_sits_above() -> None:
    school = SchoolFactory.create(capacity=12)
    for seat in (2, 11, 12):
        EnrolmentFactory.create(school=school, seat=seat)
    change_capacity(school=school, capacity=3, actor=None)
    assert sorted(school.enrolments.values_list("seat", flat=True)) == [1, 2, 3]


def test_a_school_holds_no_more_than_96() -> None:
    with pytest.raises(ValidationError):
        change_capacity(school=SchoolFactory.create(), capacity=97, actor=None)


def test_a_closed_school_keeps_its_size() -> None:
    school = SchoolFactory.create(state="closed", closed_at=datetime(2027, 5, 9, 18, tzinfo=UTC))
    with pytest.raises(WrongState):
        change_capacity(school=school, capacity=20, actor=None)


def past() -> School:
    return SchoolFactory.create(starts_on=date(2025, 5, 7))


def test_closing_tells_who_listens_within_the_transaction(
    front_desk: Account, heard: list[tuple[Any, ...]]
) -> None:
    school = close_school(school=past(), actor=front_desk)
    assert (school.state, school.closed_at is not None) == ("closed", True)
    assert heard == [(school, front_desk, True)]
    assert AuditEntry.objects.get(verb="close_school").actor == front_desk


def test_a_listener_that_fails_leaves_the_school_open() -> None:
    def fail(**said: Any) -> None:
        raise RuntimeError

    school = past()
    school_closed.connect(fail)
    try:
        with pytest.raises(RuntimeError):
            close_school(school=school, actor=None)
    finally:
        school_closed.disconnect(fail)
    school.refresh_from_db()
    assert school.state == "open"


def test_before_its_last_day_closing_must_be_meant() -> None:
    school = SchoolFactory.create(starts_on=datetime.now(UTC).date() + timedelta(days=9))
    with pytest.raises(WrongState, match="last day"):
        close_school(school=school, actor=None)
    assert close_school(school=school, early=True, actor=None).state == "closed"


@pytest.mark.parametrize("state", ["draft", "closed"])
def test_only_an_open_school_is_closed(state: str) -> None:
    closed_at = datetime(2027, 5, 9, 18, tzinfo=UTC) if state == "closed" else None
    with pytest.raises(WrongState):
        close_school(school=SchoolFactory.create(state=state, closed_at=closed_at), actor=None)


@pytest.fixture
def heard() -> Iterator[list[tuple[Any, ...]]]:
    said: list[tuple[Any, ...]] = []

    def listen(*, school: School, actor: Account, **rest: Any) -> None:
        said.append((school, actor, connection.in_atomic_block))

    school_closed.connect(listen)
    yield said
    school_closed.disconnect(listen)
