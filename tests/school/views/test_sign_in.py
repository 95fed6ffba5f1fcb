"""Signing in by a code: the page says the same to everybody."""

import re
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from django.core import mail
from django.test import Client

from school.models import Account
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db

ASK, ENTER = "/sign-in/code/", "/sign-in/code/enter/"


def ask(client: Client, email: str, onward: str = "") -> str:
    """What the page answers, without what differs in any answer."""
    answer = client.post(ASK, {"email": email, "next": onward}, follow=True)
    return re.sub(r"[\w-]{64}", "", answer.content.decode()).replace(email, "—")


def mailed_code() -> str:
    (code,) = re.findall(r"\b\d{6}\b", str(mail.outbox[0].body))
    return str(code)


def test_the_way_in(
    golfer: Account,
    work_in_place: None,
    django_capture_on_commit_callbacks: Callable[..., Any],
) -> None:
    client = Client()
    with django_capture_on_commit_callbacks(execute=True):
        ask(client, golfer.email)
    answer = client.post(ENTER, {"code": mailed_code()}, follow=True)
    assert answer.redirect_chain[-1][0] == "/mine/"
    assert answer.context["user"] == golfer


def test_asking_says_and_costs_the_same_for_everybody(
    golfer: Account, front_desk: Account, messages: list[tuple[str, Any]]
) -> None:
    emails = [golfer.email, front_desk.email, "nobody@example.org"]
    assert len({ask(Client(), email) for email in emails}) == 1
    assert len({queries_of(partial(ask, Client(), email)) for email in emails}) == 1
    assert messages[:3] == [("school.send_sign_in_code", email) for email in emails]


def test_a_wrong_code_keeps_the_person_on_the_page(golfer: Account) -> None:
    client = Client()
    ask(client, golfer.email)
    answer = client.post(ENTER, {"code": "000000"})
    assert "This code is wrong, too old or used before." in answer.content.decode()


@pytest.mark.parametrize("typed", ["12345", "1234567", "abcdef", ""])
def test_what_is_no_code_is_said_beside_the_field(golfer: Account, typed: str) -> None:
    client = Client()
    ask(client, golfer.email)
    answer = client.post(ENTER, {"code": typed})
    assert answer.context["form"].errors["code"]


def test_the_second_page_sends_back_who_has_not_asked(db: None) -> None:
    assert Client().get(ENTER).headers["Location"] == ASK


@pytest.mark.parametrize(
    ("onward", "lands"), [("/mine/?x=1", "/mine/?x=1"), ("https://evil.example/", "/")]
)
def test_it_leads_on_only_within_the_house(
    golfer: Account,
    work_in_place: None,
    django_capture_on_commit_callbacks: Callable[..., Any],
    onward: str,
    lands: str,
) -> None:
    client = Client()
    with django_capture_on_commit_callbacks(execute=True):
        ask(client, golfer.email, onward)
    assert client.post(ENTER, {"code": mailed_code()}).headers["Location"] == lands


def test_the_password_page_leads_here(db: None) -> None:
    page = Client().get("/sign-in/?next=/mine/").content.decode()
    assert 'href="/sign-in/code/?next=%2Fmine%2F"' in page


def test_who_is_signed_in_need_not_ask(golfer: Account, client_of: Callable[..., Client]) -> None:
    assert client_of(golfer).get(ASK).headers["Location"] == "/"
