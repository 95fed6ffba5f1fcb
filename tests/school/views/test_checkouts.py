"""Paying online: the golfer's page, the sandbox, and what comes back."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client
from pytest_django.fixtures import Settings

from school.actions.enrolment import enrol
from school.middleware import CONTENT_POLICY
from school.models import Account, Checkout, Enrolment
from school.payments.sandbox import Sandbox
from tests.factories import SchoolFactory

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]


@pytest.fixture
def enrolment(golfer: Account) -> Enrolment:
    school = SchoolFactory.create(price=Decimal("960.00"), deposit=Decimal("240.00"))
    enrolled: Enrolment = enrol(school=school, golfer=golfer.golfer, actor=None)
    return enrolled


@pytest.fixture
def own(golfer: Account, client_of: ClientOf) -> Client:
    return client_of(golfer)


def start(own: Client, enrolment: Enrolment, part: str = "deposit") -> str:
    """The address of the sandbox's page for this payment."""
    answer = own.post(f"/pay-online/{enrolment.pk}/", {"part": part})
    return answer.headers["Location"]


def press(own: Client, sandbox: str, button: str) -> str:
    """The address the sandbox sends the browser back to."""
    return own.post(sandbox, {button: "yes"}).headers["Location"]


def test_the_page_offers_the_deposit_and_everything(own: Client, enrolment: Enrolment) -> None:
    page = own.get(f"/pay-online/{enrolment.pk}/").content.decode()
    for words in (
        "Pay the deposit, £240.00",
        "Pay everything, £960.00",
        f"M{enrolment.pk:06d}",
        "moves no money",
        f"/statements/{enrolment.pk}/",
    ):
        assert words in page


def test_the_sandbox_says_plainly_what_it_is(own: Client, enrolment: Enrolment) -> None:
    page = own.get(start(own, enrolment)).content.decode()
    assert "This is a sandbox" in page
    assert "It moves no money." in page
    assert "£240.00" in page


def test_a_payment_is_recorded_once_however_often_the_answer_comes(
    own: Client, enrolment: Enrolment
) -> None:
    back = press(own, start(own, enrolment), "pay")
    for _ in range(3):
        page = own.get(back, follow=True).content.decode()
    payment = enrolment.ledger.get(kind="payment")
    assert "£240.00 is recorded" in page
    assert f"/receipts/{payment.pk}/" in page
    assert "Pay everything, £720.00" in page


def test_a_failure_is_told_and_records_nothing(own: Client, enrolment: Enrolment) -> None:
    page = own.get(press(own, start(own, enrolment), "fail"), follow=True).content.decode()
    assert "£240.00 was not paid. Nothing was recorded." in page
    assert enrolment.ledger.count() == 1


def test_a_server_may_answer_in_the_browsers_place(own: Client, enrolment: Enrolment) -> None:
    """A notice has neither a sign-in nor a form's token."""
    back = press(own, start(own, enrolment), "pay")
    answer = back.partition("answer=")[2].replace("%3A", ":")
    server = Client(enforce_csrf_checks=True)
    assert server.post("/checkouts/return/", {"answer": answer}).status_code == 204
    assert enrolment.balance() == Decimal("720.00")
    assert server.post("/checkouts/return/", {"answer": "made up"}).status_code == 400


def test_an_answer_that_somebody_made_up_is_refused(own: Client, enrolment: Enrolment) -> None:
    page = own.get("/checkouts/return/?answer=paid", follow=True).content.decode()
    assert "does not come from the sandbox" in page
    assert enrolment.ledger.count() == 1


def test_somebody_elses_answer_is_recorded_and_shows_them_nothing(
    own: Client, enrolment: Enrolment, client_of: ClientOf, other_golfer: Account
) -> None:
    back = press(own, start(own, enrolment), "pay")
    answer = client_of(other_golfer).get(back)
    assert answer.headers["Location"] == "/"
    assert enrolment.balance() == Decimal("720.00")


@pytest.mark.parametrize("part", ["", "tip"])
def test_only_a_part_that_there_is_can_be_paid(
    own: Client, enrolment: Enrolment, part: str
) -> None:
    answer = own.post(f"/pay-online/{enrolment.pk}/", {"part": part})
    assert answer.status_code == 200
    assert "Not done." in answer.content.decode()
    assert not Checkout.objects.exists()


def test_after_everything_is_paid_there_is_nothing_to_press(
    own: Client, enrolment: Enrolment
) -> None:
    own.get(press(own, start(own, enrolment, "balance"), "pay"))
    page = own.get(f"/pay-online/{enrolment.pk}/").content.decode()
    assert "Nothing to pay" in page
    assert "<button" not in page.partition("<main")[2].partition("</main>")[0]
    answer = own.post(f"/pay-online/{enrolment.pk}/", {"part": "balance"})
    assert "Nothing of this is due" in answer.content.decode()


def test_without_a_gateway_the_page_tells_of_the_transfer(
    own: Client, enrolment: Enrolment, settings: Settings
) -> None:
    sandbox = start(own, enrolment)
    settings.PAYMENT_GATEWAY = ""
    page = own.get(f"/pay-online/{enrolment.pk}/").content.decode()
    assert "By bank transfer" in page
    assert "Pay the deposit" not in page
    assert own.get(sandbox).status_code == 404


def test_a_sandbox_that_was_not_asked_is_not_there(own: Client) -> None:
    assert own.get("/checkouts/sandbox/").status_code == 404
    assert own.get("/checkouts/sandbox/?asked=made-up").status_code == 404


def test_the_form_may_lead_to_another_houses_page(
    own: Client, enrolment: Enrolment, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = own.get(f"/pay-online/{enrolment.pk}/")
    assert page.headers["Content-Security-Policy"] == CONTENT_POLICY
    monkeypatch.setattr(Sandbox, "origin", "https://pay.example.com")
    policy = own.get(f"/pay-online/{enrolment.pk}/").headers["Content-Security-Policy"]
    assert "form-action 'self' https://pay.example.com;" in policy


@pytest.mark.parametrize("who", ["other_golfer", "front_desk", "instructor", "stranger"])
def test_only_the_golfer_pays_from_their_page(
    request: pytest.FixtureRequest, client_of: ClientOf, enrolment: Enrolment, who: str
) -> None:
    client = client_of(request.getfixturevalue(who))
    assert client.get(f"/pay-online/{enrolment.pk}/").status_code == 404
    assert client.post(f"/pay-online/{enrolment.pk}/").status_code == 404
