"""The page of units and language, at the desk and for the golfer."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from school.models import Account
from tests.factories import EnrolmentFactory, GolferFactory

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]
CHOSEN = {"distances_in": "m", "speeds_in": "m/s", "language": "de"}


def test_the_desk_sets_them_for_a_golfer(front_desk: Account, client_of: ClientOf) -> None:
    enrolment, client = EnrolmentFactory.create(), client_of(front_desk)
    at = reverse("golfer_preferences", args=[enrolment.golfer_id])
    assert at in client.get(reverse("golfer_edit", args=[enrolment.pk])).content.decode()
    page = reverse("golfer", args=[enrolment.golfer_id])
    assert client.post(at, CHOSEN).headers["Location"] == page
    enrolment.golfer.refresh_from_db()
    assert enrolment.golfer.language == "de"


def test_golfers_set_their_own(golfer: Account, client_of: ClientOf) -> None:
    client, at = client_of(golfer), reverse("my_preferences")
    assert at in client.get(reverse("mine")).content.decode()
    assert client.post(at, CHOSEN).headers["Location"] == reverse("mine")
    golfer.golfer.refresh_from_db()
    assert golfer.golfer.distances_in == "m"


def test_a_choice_there_is_not_says_so(golfer: Account, client_of: ClientOf) -> None:
    answer = client_of(golfer).post(reverse("my_preferences"), {**CHOSEN, "language": "x"})
    assert "x is not one of the available choices" in answer.content.decode()


def test_a_merged_golfer_leads_to_who_it_became(front_desk: Account, client_of: ClientOf) -> None:
    stays = GolferFactory.create()
    gone = GolferFactory.create(merged_into=stays)
    answer = client_of(front_desk).get(reverse("golfer_preferences", args=[gone.pk]))
    assert answer.headers["Location"] == reverse("golfer_preferences", args=[stays.pk])
