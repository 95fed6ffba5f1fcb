"""A golfer leaves a school without a telephone call."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from school.actions.enrolment import enrol
from school.models import Account, Enrolment
from tests.factories import GolferFactory, SchoolFactory, giving_back

ClientOf = Callable[[Account | None], Client]


@pytest.fixture
def enrolment(golfer: Account) -> Enrolment:
    starts_on = timezone.localdate() + timedelta(days=40)
    school = giving_back(SchoolFactory.create(capacity=1, starts_on=starts_on), {28: 50})
    return enrol(school=school, golfer=golfer.golfer, actor=None)


def test_the_page_says_what_it_comes_to_and_not_who_waits(
    enrolment: Enrolment, golfer: Account, client_of: ClientOf
) -> None:
    waiting = GolferFactory.create(full_name="Wanda Waits")
    enrol(school=enrolment.school, golfer=waiting, actor=None)
    page = client_of(golfer).get(reverse("leave", args=[enrolment.pk])).content.decode()
    assert "50 %" in page.replace("\xa0", " ")
    assert "Wanda" not in page


def test_leaving_keeps_what_the_policy_keeps(
    enrolment: Enrolment, golfer: Account, client_of: ClientOf
) -> None:
    half = Decimal("480.00")
    answer = client_of(golfer).post(
        reverse("leave", args=[enrolment.pk]), {"why": "Broke a wrist", "kept": half}
    )
    assert answer.status_code == 302
    enrolment.refresh_from_db()
    assert (enrolment.state, enrolment.seat, enrolment.balance()) == ("cancelled", None, half)


def test_a_figure_that_was_not_shown_is_not_agreed_to(
    enrolment: Enrolment, golfer: Account, client_of: ClientOf
) -> None:
    client_of(golfer).post(
        reverse("leave", args=[enrolment.pk]), {"why": "Broke a wrist", "kept": "0.00"}
    )
    enrolment.refresh_from_db()
    assert enrolment.state == "seated"
