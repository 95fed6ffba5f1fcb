"""Joining a school: the lowest free seat, or the end of the list."""

from datetime import date
from decimal import Decimal
from typing import Any
from unicodedata import normalize
from unittest.mock import patch

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from school.actions.enrolment import cancel_enrolment, enrol
from school.details import Agreement, GolferDetails
from school.errors import AlreadyEnrolled, GuardianNeeded, SchoolIsNotOpen, TooMuchAtOnce
from school.models import Account, AuditEntry, Enrolment, Golfer, School
from school.queries.seats import free_seats
from tests.factories import ConsentTextFactory, EnrolmentFactory, GolferFactory, SchoolFactory

pytestmark = pytest.mark.django_db


def stale_looks(*seats: list[int]) -> Any:
    """Let the next looks at the free seats find these, as if others had taken seats since."""
    looks = iter(seats)
    return patch(
        "school.actions.enrolment.free_seats", lambda s: next(looks, None) or free_seats(s)
    )


ALMA = GolferDetails(full_name="Alma Fenwright", handedness="left", email="alma@example.org")


def test_the_first_golfer_has_seat_one_and_owes_the_price(front_desk: Account) -> None:
    enrolment = enrol(school=SchoolFactory.create(), golfer=ALMA, actor=front_desk)
    assert (enrolment.state, enrolment.seat) == ("seated", 1)
    charge = enrolment.ledger.get()
    assert (charge.kind, charge.amount, charge.entered_by) == (
        "charge",
        Decimal("960.00"),
        front_desk,
    )


def test_a_gap_is_filled_first() -> None:
    school = SchoolFactory.create()
    first, *_ = EnrolmentFactory.create_batch(3, school=school)
    cancel_enrolment(enrolment=first, why="ill", actor=None)
    assert enrol(school=school, golfer=ALMA, actor=None).seat == 1


def test_a_full_school_puts_on_the_list_and_charges_nothing() -> None:
    school = SchoolFactory.create(capacity=1)
    EnrolmentFactory.create(school=school)
    enrolment = enrol(school=school, golfer=ALMA, actor=None)
    assert (enrolment.state, enrolment.seat) == ("waiting", None)
    assert not enrolment.ledger.exists()


def test_a_school_without_a_price_charges_nothing() -> None:
    enrolment = enrol(school=SchoolFactory.create(price=0), golfer=ALMA, actor=None)
    assert enrolment.is_seated
    assert not enrolment.ledger.exists()


@pytest.mark.parametrize("state", [School.State.DRAFT, School.State.CLOSED])
def test_only_an_open_school_takes_golfers(state: str) -> None:
    closed_at = "2027-05-09T18:00Z" if state == School.State.CLOSED else None
    school = SchoolFactory.create(state=state, closed_at=closed_at)
    with pytest.raises(SchoolIsNotOpen):
        enrol(school=school, golfer=ALMA, actor=None)
    assert not Golfer.objects.exists()


@pytest.mark.parametrize("capacity", [1, 2])
def test_nobody_is_in_twice_whether_seated_or_waiting(capacity: int) -> None:
    school = SchoolFactory.create(capacity=capacity)
    EnrolmentFactory.create(school=school)
    golfer = GolferFactory.create()
    enrol(school=school, golfer=golfer, actor=None)
    with pytest.raises(AlreadyEnrolled):
        enrol(school=school, golfer=golfer, actor=None)


def test_whoever_cancelled_may_come_back() -> None:
    school, golfer = SchoolFactory.create(), GolferFactory.create()
    first = enrol(school=school, golfer=golfer, actor=None)
    cancel_enrolment(enrolment=first, why="work", actor=None)
    assert enrol(school=school, golfer=golfer, actor=None).is_seated


def test_a_golfer_on_file_is_known_again_and_brought_up_to_date() -> None:
    golfer = GolferFactory.create(
        full_name="Alma Fenwright", email="alma@example.org", phone="01632 960301"
    )
    enrolment = enrol(school=SchoolFactory.create(), golfer=ALMA, actor=None)
    golfer.refresh_from_db()
    assert enrolment.golfer == golfer
    assert (golfer.handedness, golfer.phone) == ("left", "01632 960301")


def test_a_name_is_the_same_however_its_accents_and_capitals_are_spelt() -> None:
    golfer = GolferFactory.create(full_name="Łukasz Żółć", email="lukasz@example.org")
    spelt = normalize("NFD", "łukasz żółć")
    details = GolferDetails(full_name=spelt, handedness="right", email="Lukasz@example.org")
    known = enrol(school=SchoolFactory.create(), golfer=details, actor=None).golfer
    assert (known, known.full_name) == (golfer, "Łukasz Żółć")


def test_a_child_under_a_parents_email_is_somebody_else() -> None:
    GolferFactory.create(full_name="Pip Fenwright", email="alma@example.org")
    enrol(school=SchoolFactory.create(), golfer=ALMA, actor=None)
    assert Golfer.objects.count() == 2


def test_a_minor_needs_a_guardian_with_a_telephone() -> None:
    minor = GolferFactory.create(birth_date=date(2009, 5, 8), guardian_name="Hugh Oldacre")
    with pytest.raises(GuardianNeeded):
        enrol(school=SchoolFactory.create(starts_on=date(2027, 5, 7)), golfer=minor, actor=None)


def test_who_turns_eighteen_on_the_first_day_comes_alone() -> None:
    adult = GolferFactory.create(birth_date=date(2009, 5, 7))
    school = SchoolFactory.create(starts_on=date(2027, 5, 7))
    assert enrol(school=school, golfer=adult, actor=None).is_seated


def test_consents_come_along_with_who_gave_them(front_desk: Account) -> None:
    ConsentTextFactory.create(kind="terms")
    agreement = Agreement(frozenset({"terms"}), "Alma Fenwright")
    enrolment = enrol(
        school=SchoolFactory.create(), golfer=ALMA, agreement=agreement, actor=front_desk
    )
    consent = enrolment.consents.get()
    assert (consent.text.kind, consent.given_by, consent.by_guardian) == (
        "terms",
        "Alma Fenwright",
        False,
    )


def test_a_refused_consent_leaves_nothing_behind() -> None:
    ConsentTextFactory.create(kind="terms")
    minor = GolferFactory.create(
        birth_date=date(2014, 1, 1), guardian_name="Hugh Oldacre", guardian_phone="01632 960303"
    )
    agreement = Agreement(frozenset({"terms"}), minor.full_name)
    with pytest.raises(GuardianNeeded):
        enrol(school=SchoolFactory.create(), golfer=minor, agreement=agreement, actor=None)
    assert not Enrolment.objects.exists()


def test_details_the_file_cannot_take_name_their_field() -> None:
    wrong = GolferDetails(full_name="Alma", handedness="left", email="no address")
    with pytest.raises(ValidationError) as refused:
        enrol(school=SchoolFactory.create(), golfer=wrong, actor=None)
    assert list(refused.value.message_dict) == ["email"]


def test_the_trail_says_who_enrolled_and_seated(front_desk: Account) -> None:
    enrolment = enrol(school=SchoolFactory.create(), golfer=ALMA, actor=front_desk)
    subject = f"school.enrolment {enrolment.pk}"
    trail = AuditEntry.objects.filter(subject=subject).order_by("pk")
    assert [(entry.verb, entry.actor) for entry in trail] == [
        ("enrol", front_desk),
        ("seat", front_desk),
    ]


def test_the_loser_of_a_race_for_a_seat_takes_the_next() -> None:
    """The first look at the free seats is stale: seat 1 was taken after it."""
    school = SchoolFactory.create()
    EnrolmentFactory.create(school=school, seat=1)
    with stale_looks([1, 2, 3]):
        enrolment = enrol(school=school, golfer=ALMA, actor=None)
    assert enrolment.seat == 2
    assert (
        Golfer.objects.filter(full_name="Alma Fenwright").count(),
        enrolment.ledger.count(),
    ) == (1, 1)


def test_the_loser_of_a_race_for_the_last_seat_waits() -> None:
    school = SchoolFactory.create(capacity=1)
    EnrolmentFactory.create(school=school, seat=1)
    with stale_looks([1]):
        enrolment = enrol(school=school, golfer=ALMA, actor=None)
    assert enrolment.state == "waiting"


def test_who_loses_every_race_is_told_and_leaves_nothing() -> None:
    school = SchoolFactory.create()
    EnrolmentFactory.create(school=school, seat=1)
    with stale_looks(*[[1]] * 9), pytest.raises(TooMuchAtOnce) as refused:
        enrol(school=school, golfer=ALMA, actor=None)
    assert isinstance(refused.value.__cause__, IntegrityError)
    assert Enrolment.objects.count() == 1
