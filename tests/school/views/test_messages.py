"""The outbox at the desk, and the golfer's calendar file."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from school.models import Account, Enrolment, Message
from tests.factories import EnrolmentFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db

Opener = Callable[[Account | None], Client]


def made(once_key: str = "k", **columns: Any) -> Message:
    given = {"kind": "waiting", "to": "alma@example.org", "subject": "Hello", "body": "Words."}
    enrolment = EnrolmentFactory.create()
    return Message.objects.create(**{**given, "enrolment": enrolment, **columns}, once_key=once_key)


def failed(**columns: Any) -> Message:
    return made(state="parked", reason="550 no such mailbox", **columns)


def sent(**columns: Any) -> Message:
    return made(state="done", finished_at=timezone.now(), **columns)


def text(client: Client, url: str) -> str:
    return client.get(url).content.decode()


def test_what_failed_is_shown_first(desk: Client) -> None:
    sent(once_key="1", subject="All well")
    failed(once_key="2", subject="No way")
    page = text(desk, "/messages/")
    assert "No way" in page
    assert "550 no such mailbox" in page
    assert "All well" not in page


@pytest.mark.parametrize("pile", ["failed", "bounced", "queued", "sent", "nonsense"])
def test_each_pile_opens_when_it_is_empty(desk: Client, pile: str) -> None:
    assert desk.get(f"/messages/?show={pile}").status_code == 200


def test_files_in_place_of_a_mail_server_are_said(desk: Client, settings: Any) -> None:
    assert "No mail server is set up" in text(desk, "/messages/")
    settings.EMAIL_IN_FILES = False
    assert "No mail server is set up" not in text(desk, "/messages/")


def test_a_failed_message_goes_again(desk: Client) -> None:
    message = failed()
    answer = desk.post(f"/messages/{message.pk}/again/", follow=True)
    assert "goes to alma@example.org again" in answer.content.decode()
    message.refresh_from_db()
    assert message.state == Message.State.QUEUED


def test_what_is_on_its_way_says_so(desk: Client) -> None:
    answer = desk.post(f"/messages/{made().pk}/again/", follow=True)
    assert "This message is on its way already." in answer.content.decode()


def test_a_bounce_is_noted_with_the_words(desk: Client) -> None:
    message = sent()
    desk.post(f"/messages/{message.pk}/", {"why": "552 mailbox full"})
    assert "552 mailbox full" in text(desk, "/messages/?show=bounced")


def test_a_bounce_needs_words(desk: Client) -> None:
    message = sent()
    answer = desk.post(f"/messages/{message.pk}/", {"why": ""})
    assert answer.context["form"].errors["why"]


def test_many_messages_cost_as_few_queries(desk: Client) -> None:
    for number in range(3):
        sent(once_key=f"a{number}")
    few = queries_of(lambda: text(desk, "/messages/?show=sent"))
    for number in range(6):
        sent(once_key=f"b{number}")
    assert queries_of(lambda: text(desk, "/messages/?show=sent")) == few


@pytest.mark.parametrize("who", ["instructor", "golfer", "stranger"])
@pytest.mark.parametrize("url", ["/messages/", "/messages/{pk}/"])
def test_nobody_else_reads_them(
    request: pytest.FixtureRequest, client_of: Opener, who: str, url: str
) -> None:
    client = client_of(request.getfixturevalue(who))
    assert client.get(url.format(pk=sent().pk)).status_code == 404


def test_a_golfer_takes_the_days_home(golfer: Account, client_of: Opener) -> None:
    enrolment = EnrolmentFactory.create(golfer=golfer.golfer)
    answer = client_of(golfer).get(f"/mine/{enrolment.pk}/calendar/")
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer.content.count(b"BEGIN:VEVENT") == 3
    assert b"STATUS:CONFIRMED" in answer.content


def test_only_ones_own(golfer: Account, other_golfer: Account, client_of: Opener) -> None:
    enrolment = EnrolmentFactory.create(golfer=golfer.golfer)
    url = f"/mine/{enrolment.pk}/calendar/"
    assert client_of(other_golfer).get(url).status_code == 404


def test_a_cancelled_place_calls_the_days_off(golfer: Account, client_of: Opener) -> None:
    enrolment = EnrolmentFactory.create(
        golfer=golfer.golfer,
        state=Enrolment.State.CANCELLED,
        seat=None,
        cancelled_at=timezone.now(),
    )
    content = client_of(golfer).get(f"/mine/{enrolment.pk}/calendar/").content
    assert b"STATUS:CANCELLED" in content
    assert b"SEQUENCE:1" in content


def test_the_waiting_list_has_no_days_yet(golfer: Account, client_of: Opener) -> None:
    enrolment = EnrolmentFactory.create(golfer=golfer.golfer, state="waiting", seat=None)
    assert client_of(golfer).get(f"/mine/{enrolment.pk}/calendar/").status_code == 404
