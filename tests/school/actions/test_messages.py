"""The outbox: inserted with what caused it, sent once, tried again, parked in words."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from smtplib import (
    SMTPAuthenticationError,
    SMTPDataError,
    SMTPRecipientsRefused,
    SMTPServerDisconnected,
)
from typing import Any

import pytest
from django.core import mail
from django.core.mail import EmailMessage
from django.db import transaction
from django.utils import timezone

from school.actions import jobs
from school.actions.messages import (
    NOT_KEPT,
    calendar_for,
    deliver,
    mark_bounced,
    message_id,
    send,
    send_again,
)
from school.errors import CannotSendAgain
from school.models import Account, Enrolment, LedgerEntry, Message, MessageTemplate
from school.queries.messages import line_of, may_be_doubled
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db

Woken = list[tuple[str, Any]]


def put_in(once_key: str = "waiting:1", **fields: Any) -> Message:
    enrolment = fields.pop("enrolment", None) or EnrolmentFactory.create()
    given = {"kind": "waiting", "to": "alma@example.org", "context": {}, **fields}
    message = send(once_key=once_key, enrolment=enrolment, **given)
    assert message is not None
    return message


def failing(monkeypatch: pytest.MonkeyPatch, error: Exception) -> None:
    def refuse(mail: EmailMessage, fail_silently: bool = False) -> int:
        raise error

    monkeypatch.setattr(EmailMessage, "send", refuse)


def due_now(message: Message) -> None:
    Message.objects.filter(pk=message.pk).update(not_before=timezone.now())


def test_a_message_is_rendered_when_it_is_put_in() -> None:
    enrolment = EnrolmentFactory.create(golfer__full_name="Łukasz Żółć", school__name="Spring")
    message = put_in(enrolment=enrolment)
    assert message.subject == "You are on the waiting list: Spring"
    assert message.body.startswith(
        "Dear Łukasz Żółć,\n\nSpring (Friday 7 May to Sunday 9 May 2027)"
    )


def test_the_worker_is_woken_once_it_is_committed(
    messages: Woken, django_capture_on_commit_callbacks: Callable[..., Any]
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        message = put_in()
        assert messages == []
    assert messages == [("school.send_message", message.pk)]


def test_the_same_key_is_put_in_once() -> None:
    first = put_in()
    again = send(kind="waiting", to="x@example.org", once_key=first.once_key, context={})
    assert again is None
    assert Message.objects.count() == 1


def test_what_is_rolled_back_was_never_said() -> None:
    with transaction.atomic():
        put_in()
        transaction.set_rollback(True)
    assert not Message.objects.exists()


def test_without_an_address_nothing_is_put_in() -> None:
    assert send(kind="waiting", to="", once_key="k", context={}) is None


def test_a_minors_guardian_is_told_too() -> None:
    enrolment = EnrolmentFactory.create(
        golfer__birth_date=date(2013, 6, 3), golfer__guardian_email="Mother@example.org"
    )
    put_in(enrolment=enrolment)
    assert set(Message.objects.values_list("to", flat=True)) == {
        "alma@example.org",
        "mother@example.org",
    }


def test_a_minor_without_an_address_is_told_through_the_guardian() -> None:
    enrolment = EnrolmentFactory.create(
        golfer__birth_date=date(2013, 6, 3), golfer__guardian_email="mother@example.org"
    )
    assert put_in(enrolment=enrolment, to="").to == "mother@example.org"


def test_a_grown_up_needs_no_guardian() -> None:
    put_in(enrolment=EnrolmentFactory.create(golfer__guardian_email="mother@example.org"))
    assert Message.objects.get().to == "alma@example.org"


def test_a_path_becomes_an_address_of_this_site() -> None:
    message = put_in(kind="offer", context={"link": "/offers/abc/"})
    assert "http://127.0.0.1:8000/offers/abc/" in message.body


@pytest.mark.parametrize(
    ("paid", "words"),
    [
        (0, "£240.00 deposit, due at once\n£720.00 due by 9 April 2027"),
        (240, "£720.00 by 9 April 2027"),
        (960, "nothing"),
    ],
)
def test_a_confirmation_says_what_is_to_pay_when(paid: int, words: str) -> None:
    enrolment = EnrolmentFactory.create(school__deposit=Decimal(240))
    entered = {"enrolment": enrolment, "entered_at": datetime(2027, 1, 5, 12, tzinfo=UTC)}
    LedgerEntry.objects.create(kind="charge", amount=Decimal(960), **entered)
    if paid:
        LedgerEntry.objects.create(kind="payment", amount=Decimal(-paid), method="cash", **entered)
    body = put_in(kind="confirmation", enrolment=enrolment).body
    assert f"Still to pay:\n{words}\n\nIncluded:" in body


def test_the_houses_own_words_come_first() -> None:
    MessageTemplate.objects.create(kind="waiting", subject="Hold on", body="{{ golfer }}, wait.")
    assert put_in().subject == "Hold on"


def test_words_that_cannot_be_used_stop_nobody() -> None:
    MessageTemplate.objects.create(kind="waiting", subject="{% if %}", body="")
    assert put_in().subject.startswith("You are on the waiting list")


def test_a_name_with_a_line_break_makes_no_header() -> None:
    enrolment = EnrolmentFactory.create(school__name="Spring\nBcc: all@example.org")
    assert "\n" not in put_in(enrolment=enrolment).subject


def test_it_is_sent_and_published_once() -> None:
    message = put_in()
    assert [deliver(message.pk), deliver(message.pk)] == [True, False]
    message.refresh_from_db()
    assert message.state == Message.State.DONE
    assert [sent.to for sent in mail.outbox] == [["alma@example.org"]]
    assert mail.outbox[0].message()["Message-ID"] == message_id(message)


def test_the_calendar_goes_with_it() -> None:
    enrolment = EnrolmentFactory.create()
    message = put_in(enrolment=enrolment, calendar=calendar_for(enrolment))
    deliver(message.pk)
    _, _, part = mail.outbox[0].message().walk()
    assert part.get_content_type() == "text/calendar"
    assert str(part.get_payload()).startswith("BEGIN:VCALENDAR")


def test_a_passing_trouble_is_tried_again_later(monkeypatch: pytest.MonkeyPatch) -> None:
    message = put_in()
    failing(monkeypatch, SMTPServerDisconnected("went away"))
    assert deliver(message.pk) is False
    message.refresh_from_db()
    assert message.state == Message.State.QUEUED
    assert message.not_before > timezone.now() + timedelta(seconds=8)
    assert message.reason.endswith("went away")
    assert deliver(message.pk) is False  # not due yet
    assert message.failures == 1


def test_the_fifth_trouble_parks_it(monkeypatch: pytest.MonkeyPatch) -> None:
    message = put_in()
    failing(monkeypatch, SMTPDataError(451, b"try later"))
    for _ in range(5):
        due_now(message)
        deliver(message.pk)
    message.refresh_from_db()
    assert (message.state, message.failures) == (Message.State.PARKED, 5)
    assert "451 try later" in message.reason


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (SMTPRecipientsRefused({"a@b": (550, b"no such mailbox")}), "550 no such mailbox"),
        (SMTPDataError(554, b"not wanted"), "554 not wanted"),
    ],
)
def test_a_refusal_for_good_parks_it_at_once(
    monkeypatch: pytest.MonkeyPatch, error: Exception, words: str
) -> None:
    message = put_in()
    failing(monkeypatch, error)
    deliver(message.pk)
    message.refresh_from_db()
    assert message.state == Message.State.PARKED
    assert message.reason == f"The mail server refused the message to alma@example.org: {words}"


def test_a_refused_sign_in_of_the_house_is_no_fault_of_the_message(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    message = put_in()
    failing(monkeypatch, SMTPAuthenticationError(535, b"bad password"))
    deliver(message.pk)
    message.refresh_from_db()
    assert message.state == Message.State.QUEUED


def die_after_sending(message: Message, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(jobs, "publish", lambda *args, **columns: False)
        deliver(message.pk)
    Message.objects.filter(pk=message.pk).update(lease_until=timezone.now())


def test_a_worker_that_dies_in_between_sends_the_same_number_twice(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    message = put_in()
    die_after_sending(message, monkeypatch)
    assert deliver(message.pk) is True
    numbers = {sent.message()["Message-ID"] for sent in mail.outbox}
    assert (len(mail.outbox), len(numbers)) == (2, 1)
    message.refresh_from_db()
    assert may_be_doubled(message)
    assert "sent again under the same number" in line_of(message).note


def test_a_trouble_alone_is_not_taken_for_a_copy(monkeypatch: pytest.MonkeyPatch) -> None:
    message = put_in()
    with monkeypatch.context() as patched:
        failing(patched, SMTPServerDisconnected())
        deliver(message.pk)
    due_now(message)
    deliver(message.pk)
    message.refresh_from_db()
    assert (message.failures, message.claims) == (1, 2)
    assert not may_be_doubled(message)


def test_a_reminder_of_a_cancelled_enrolment_is_not_sent() -> None:
    message = put_in(kind="day_before")
    Enrolment.objects.update(state="cancelled", seat=None, cancelled_at=timezone.now())
    deliver(message.pk)
    message.refresh_from_db()
    assert message.reason == "Not sent: the enrolment was cancelled meanwhile."
    assert mail.outbox == []


def test_a_failed_message_goes_again_under_its_number(
    monkeypatch: pytest.MonkeyPatch, front_desk: Account
) -> None:
    message = put_in()
    with monkeypatch.context() as patched:
        failing(patched, SMTPDataError(554, b"not wanted"))
        deliver(message.pk)
    assert send_again(message=message, actor=front_desk) == message
    assert deliver(message.pk) is True
    message.refresh_from_db()
    assert not may_be_doubled(message)


def test_a_sent_message_goes_again_as_a_new_one(front_desk: Account) -> None:
    message = put_in()
    deliver(message.pk)
    copies = [send_again(message=message, actor=front_desk) for _ in range(2)]
    assert [copy.once_key for copy in copies] == ["waiting:1#2", "waiting:1#3"]
    assert {copy.body for copy in copies} == {message.body}


def test_a_copy_goes_to_the_address_that_was_put_right(front_desk: Account) -> None:
    enrolment = EnrolmentFactory.create(golfer__email="alma.new@example.org")
    message = put_in(enrolment=enrolment)
    deliver(message.pk)
    assert send_again(message=message, actor=front_desk).to == "alma.new@example.org"


def test_what_is_on_its_way_is_not_sent_again(front_desk: Account) -> None:
    with pytest.raises(CannotSendAgain, match="on its way"):
        send_again(message=put_in(), actor=front_desk)


def test_a_code_is_not_kept_and_not_sent_again(front_desk: Account) -> None:
    values = {"golfer": "Alma", "code": "123456", "minutes": 10}
    message = put_in(kind="sign_in_code", context=values)
    deliver(message.pk)
    message.refresh_from_db()
    assert message.body == NOT_KEPT
    assert "123456" in mail.outbox[0].body
    with pytest.raises(CannotSendAgain, match="ask for a new one"):
        send_again(message=message, actor=front_desk)


def test_a_code_that_is_too_old_is_not_sent() -> None:
    message = put_in(kind="sign_in_code", context={"golfer": "A", "code": "1", "minutes": 10})
    Message.objects.update(queued_at=timezone.now() - timedelta(minutes=11))
    deliver(message.pk)
    message.refresh_from_db()
    assert message.reason == "Not sent: the code no longer works."
    assert message.body == NOT_KEPT


def test_what_came_back_says_why(front_desk: Account) -> None:
    message = put_in()
    with pytest.raises(CannotSendAgain, match="that was sent"):
        mark_bounced(message=message, why="mailbox full", actor=front_desk)
    deliver(message.pk)
    assert mark_bounced(message=message, why="mailbox full", actor=front_desk).bounced_at
    message.refresh_from_db()
    assert line_of(message).note == "mailbox full"


def test_an_address_that_may_have_ended_is_not_sent_again(front_desk: Account) -> None:
    message = put_in(kind="report_ready", context={"golfer": "Alma", "link": "/r/sealed/"})
    deliver(message.pk)
    message.refresh_from_db()
    assert not line_of(message).can_go_again
    with pytest.raises(CannotSendAgain, match="from the reports of its school"):
        send_again(message=message, actor=front_desk)
