"""The desk's pages answer the front desk and the owner; to all others there is no such page."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from school.actions.enrolment import enrol
from school.models import Account, Enrolment
from tests.factories import ConsentTextFactory, GolferFactory, ProgrammeFactory, SchoolFactory

ClientOf = Callable[[Account | None], Client]

GETS = [
    *("desk", "school_new", "school", "school_enrol", "school_import"),
    *("enrolment", "golfer_edit", "enrolment_cancel"),
]
POSTS = [
    "school_open",
    "school_capacity",
    "school_close",
    "offer_seat",
    "seat_override",
    "payment_add",
    "discount_add",
    "refund_add",
    "consent_give",
    "consent_withdraw",
    "golfer_invite",
    "ledger_reverse",
]
OTHERS = ["instructor", "golfer", "stranger"]


@pytest.fixture
def urls(db: None) -> dict[str, str]:
    ConsentTextFactory.create()
    ProgrammeFactory.create()
    enrolment: Enrolment = enrol(
        school=SchoolFactory.create(), golfer=GolferFactory.create(), actor=None
    )
    of_school, of_enrolment = [enrolment.school_id], [enrolment.pk]
    args: dict[str, list[object]] = {
        "desk": [],
        "school_new": [],
        "consent_withdraw": [enrolment.pk, "filming"],
        "ledger_reverse": [enrolment.ledger.get().pk],
    }
    return {
        name: reverse(
            name, args=args.get(name, of_school if name.startswith("school") else of_enrolment)
        )
        for name in GETS + POSTS
    }


@pytest.mark.parametrize("who", ["front_desk", "owner"])
@pytest.mark.parametrize("name", GETS)
def test_the_desk_sees_its_pages(
    request: pytest.FixtureRequest, client_of: ClientOf, urls: dict[str, str], who: str, name: str
) -> None:
    client = client_of(request.getfixturevalue(who))
    assert client.get(urls[name]).status_code == 200


@pytest.mark.parametrize("name", POSTS)
def test_the_desk_presses_its_buttons(
    front_desk: Account, client_of: ClientOf, urls: dict[str, str], name: str
) -> None:
    client = client_of(front_desk)
    assert client.post(urls[name]).status_code in (200, 302)
    assert client.get(urls[name]).status_code == 405


@pytest.mark.parametrize("who", OTHERS)
@pytest.mark.parametrize("name", GETS + POSTS)
def test_to_others_there_is_no_such_page(
    request: pytest.FixtureRequest, client_of: ClientOf, urls: dict[str, str], who: str, name: str
) -> None:
    client = client_of(request.getfixturevalue(who))
    assert client.get(urls[name]).status_code == 404
    assert client.post(urls[name]).status_code == 404


@pytest.mark.parametrize("name", GETS + POSTS)
def test_signed_out_leads_to_signing_in(
    client_of: ClientOf, urls: dict[str, str], name: str
) -> None:
    answer = client_of(None).post(urls[name])
    assert answer.headers["Location"].startswith("/sign-in/")


@pytest.mark.parametrize("url", ["/schools/999/", "/attendees/999/", "/schools/999/import/"])
def test_what_is_not_there_is_not_found(front_desk: Account, client_of: ClientOf, url: str) -> None:
    assert client_of(front_desk).get(url).status_code == 404


def test_a_button_needs_the_forms_token(front_desk: Account, urls: dict[str, str]) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(front_desk)
    assert client.post(urls["school_close"]).status_code == 403
