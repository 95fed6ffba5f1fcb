"""The list of schools, a school's page, and answering an offer; all signed out."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.offers import offer_token
from school.models import Enrolment, School
from tests.factories import EnrolmentFactory, GolferFactory, SchoolFactory, StaffFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def anybody() -> Client:
    return Client()


def shown(answer: Any) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def test_the_list_says_what_one_chooses_by(anybody: Client) -> None:
    SchoolFactory.create(name="Dune school", venue="The practice ground", deposit="240.00")
    text = shown(anybody.get("/join/"))
    for words in (
        "Dune school",
        "Friday 7 May to Sunday 9 May 2027",
        "The practice ground",
        "12 seats left",
        "£960.00",
        "deposit £240.00",
        "Led by Person",
    ):
        assert words in text


def test_a_full_school_is_listed_with_its_waiting_list(anybody: Client) -> None:
    EnrolmentFactory.create(school=SchoolFactory.create(capacity=1))
    assert "full: waiting list" in shown(anybody.get("/join/"))


def test_an_empty_list_says_what_goes_there(anybody: Client) -> None:
    assert "No school is open now" in shown(anybody.get("/join/"))


def test_the_list_costs_the_same_for_twice_as_many(anybody: Client) -> None:
    SchoolFactory.create_batch(3)
    few = queries_of(lambda: anybody.get("/join/"))
    SchoolFactory.create_batch(3)
    assert queries_of(lambda: anybody.get("/join/")) == few


def test_a_school_says_everything_in_words(anybody: Client) -> None:
    school = SchoolFactory.create(
        deposit="240.00", included="Lunch\nRange balls", to_bring="Your clubs"
    )
    school.refund_steps.create(days_before=60, percent=100)
    StaffFactory.create(teaches=True, account__full_name="Oren Other")
    text = shown(anybody.get(f"/join/{school.pk}/"))
    for words in (
        "Range balls",
        "Your clubs",
        "Oren Other",
        "£240.00 deposit, due at once",
        "£720.00 due by 9 April 2027",
        "60 days or more before the first day: 100 % of the price is given back",
        "Later: nothing is given back",
        "Europe/London",
        "Play within your limits",
        "Tell us of injuries",
        "Join this school",
    ):
        assert words in text


def test_a_full_school_offers_the_list(anybody: Client) -> None:
    school = EnrolmentFactory.create(school=SchoolFactory.create(capacity=1)).school
    assert "Join the waiting list" in shown(anybody.get(f"/join/{school.pk}/"))


def test_a_closed_school_takes_nobody(anybody: Client) -> None:
    school = SchoolFactory.create(state=School.State.CLOSED, closed_at=timezone.now())
    text = shown(anybody.get(f"/join/{school.pk}/"))
    assert "takes nobody any more" in text
    assert "Join" not in text


def test_a_school_being_set_up_is_nobodys_business(anybody: Client) -> None:
    school = SchoolFactory.create(state=School.State.DRAFT)
    for url in (f"/join/{school.pk}/", f"/join/{school.pk}/start/", "/join/999/"):
        assert anybody.get(url).status_code == 404


def test_signing_in_leads_to_the_schools(anybody: Client) -> None:
    assert 'href="/join/"' in anybody.get("/sign-in/").content.decode()


@pytest.fixture
def offered(db: None) -> Enrolment:
    school = SchoolFactory.create(capacity=1, deposit="240.00")
    seated = enrol(school=school, golfer=GolferFactory.create(), actor=None)
    waiting = enrol(school=school, golfer=GolferFactory.create(), actor=None)
    cancel_enrolment(enrolment=seated, why="ill", actor=None)
    waiting.refresh_from_db()
    assert waiting.state == "offered"
    return waiting


def offer_of(enrolment: Enrolment) -> str:
    return f"/offers/{offer_token(enrolment)}/"


def test_an_offer_says_until_when_and_what_it_costs(anybody: Client, offered: Enrolment) -> None:
    text = shown(anybody.get(offer_of(offered)))
    for words in ("A seat is free for you", "We keep the seat", "£240.00 deposit", "Let it go"):
        assert words in text


def test_taking_it_gives_the_seat_and_says_what_to_pay(anybody: Client, offered: Enrolment) -> None:
    answer = anybody.post(offer_of(offered), {"answer": "take"}, follow=True)
    assert "You have a seat" in shown(answer)
    assert f"M{offered.pk:06d}" in answer.content.decode()
    offered.refresh_from_db()
    assert offered.is_seated
    assert "You have a seat" in shown(
        anybody.post(offer_of(offered), {"answer": "take"}, follow=True)
    )


def test_letting_it_go_leaves_the_list(anybody: Client, offered: Enrolment) -> None:
    text = shown(anybody.post(offer_of(offered), {"answer": "leave"}, follow=True))
    assert "This offer is over" in text
    offered.refresh_from_db()
    assert offered.state == "cancelled"


def test_an_offer_that_has_passed_is_over(anybody: Client, offered: Enrolment) -> None:
    Enrolment.objects.filter(pk=offered.pk).update(
        offer_ends_at=timezone.now() - timedelta(minutes=1)
    )
    answer = anybody.post(offer_of(offered), {"answer": "take"}, follow=True)
    assert "The time for this offer has passed" in shown(answer)
    assert "Take the seat" not in shown(answer)


def test_a_made_up_link_leads_nowhere(anybody: Client, offered: Enrolment) -> None:
    assert anybody.get(f"/offers/{offered.pk}:made-up/").status_code == 404
