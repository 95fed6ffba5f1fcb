"""One attendee's page and what is pressed on it."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from school.actions.enrolment import enrol
from school.actions.money import record_payment
from school.models import Account, ConsentKind, Enrolment
from tests.factories import ConsentTextFactory, GolferFactory, SchoolFactory, consented
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def enrolment(db: None) -> Enrolment:
    for kind in ConsentKind.values:
        ConsentTextFactory.create(kind=kind, body=f"I agree to {kind}.")
    golfer = GolferFactory.create(full_name="Alma Fenwright", care_notes="Hears badly.")
    return enrol(school=SchoolFactory.create(capacity=1), golfer=golfer, actor=None)


def post(client: Client, enrolment: Enrolment, name: str, **typed: Any) -> str:
    answer = client.post(f"/attendees/{enrolment.pk}/{name}/", typed, follow=True)
    return answer.content.decode()


def test_the_page_has_details_consents_and_money(desk: Client, enrolment: Enrolment) -> None:
    text = desk.get(f"/attendees/{enrolment.pk}/").content.decode()
    for words in ("Alma Fenwright", "Seat 1", "Hears badly.", "owes £960.00", "I agree to terms."):
        assert words in text


def test_the_page_takes_as_many_queries_for_a_longer_ledger(
    desk: Client, enrolment: Enrolment, front_desk: Account
) -> None:
    counts = []
    for kinds in (["terms"], ["risk", "filming"]):
        consented(enrolment, *kinds, recorded_by=front_desk)
        for _ in range(3):
            record_payment(enrolment=enrolment, amount=Decimal(1), method="cash", actor=front_desk)
        counts.append(queries_of(lambda: desk.get(f"/attendees/{enrolment.pk}/")))
    assert counts[0] == counts[1]


def test_a_payment_is_recorded_by_whoever_is_signed_in(
    desk: Client, enrolment: Enrolment, front_desk: Account
) -> None:
    text = post(desk, enrolment, "payments", amount="250,00", method="card", memo="deposit")
    assert "£250.00 from Alma Fenwright is recorded." in text
    assert "owes £710.00" in text
    assert enrolment.ledger.get(kind="payment").entered_by == front_desk


@pytest.mark.parametrize("amount", ["-5", "0", "1.001", "1,000", "lots", ""])
def test_a_wrong_amount_is_refused_and_kept(
    desk: Client, enrolment: Enrolment, amount: str
) -> None:
    answer = desk.post(
        f"/attendees/{enrolment.pk}/payments/", {"amount": amount, "method": "cash", "memo": "kept"}
    )
    assert answer.context["payment_form"].errors
    assert 'value="kept"' in answer.content.decode()
    assert enrolment.ledger.count() == 1


def test_an_entry_is_reversed_with_its_reason(desk: Client, enrolment: Enrolment) -> None:
    charge = enrolment.ledger.get()
    answer = desk.post(f"/ledger/{charge.pk}/reverse/", {"why": "guest of the house"}, follow=True)
    text = answer.content.decode()
    assert "guest of the house" in text
    assert "settled" in text


def test_a_reversal_without_a_reason_opens_its_form_again(
    desk: Client, enrolment: Enrolment
) -> None:
    charge = enrolment.ledger.get()
    answer = desk.post(f"/ledger/{charge.pk}/reverse/", {"why": ""})
    assert answer.context["refused_reversal"] == charge.pk
    assert enrolment.ledger.count() == 1


def test_a_consent_is_recorded_and_withdrawn(desk: Client, enrolment: Enrolment) -> None:
    said = post(desk, enrolment, "consents", kind="filming", given_by="Alma Fenwright")
    assert "Consent to “being filmed for teaching” is recorded." in said
    assert "is withdrawn from now on" in post(desk, enrolment, "consents/filming/withdraw")
    assert enrolment.consents.get().withdrawn_at is not None


@pytest.mark.parametrize("kind", ["filming", "nonsense", ""])
def test_a_refused_consent_records_nothing(desk: Client, enrolment: Enrolment, kind: str) -> None:
    post(desk, enrolment, "consents", kind=kind, given_by="")
    assert not enrolment.consents.exists()


def test_withdrawing_nonsense_changes_nothing(desk: Client, enrolment: Enrolment) -> None:
    assert "withdrawn from now on" not in post(desk, enrolment, "consents/nonsense/withdraw")


def test_a_minors_consent_form_names_the_guardian(desk: Client, enrolment: Enrolment) -> None:
    golfer = enrolment.golfer
    golfer.birth_date, golfer.guardian_name = date(2014, 1, 1), "Hugh Oldacre"
    golfer.save(update_fields=["birth_date", "guardian_name"])
    assert 'value="Hugh Oldacre"' in desk.get(f"/attendees/{enrolment.pk}/").content.decode()


def test_cancelling_frees_the_seat_and_says_so(desk: Client, enrolment: Enrolment) -> None:
    waiting = enrol(school=enrolment.school, golfer=GolferFactory.create(), actor=None)
    assert "is cancelled" in post(desk, enrolment, "cancel", why="broke a wrist")
    waiting.refresh_from_db()
    assert waiting.seat == 1


def test_cancelling_needs_a_reason(desk: Client, enrolment: Enrolment) -> None:
    post(desk, enrolment, "cancel", why="")
    enrolment.refresh_from_db()
    assert enrolment.is_seated


def test_cancelling_twice_is_refused_in_words(desk: Client, enrolment: Enrolment) -> None:
    post(desk, enrolment, "cancel", why="ill")
    answer = desk.post(f"/attendees/{enrolment.pk}/cancel/", {"why": "ill"})
    assert "was cancelled before" in str(answer.context["cancel_form"].errors)


def test_the_details_are_changed(desk: Client, enrolment: Enrolment) -> None:
    typed = {"full_name": "Alma Fenwright", "handedness": "left", "handicap_index": "12,5"}
    assert "are saved" in post(desk, enrolment, "details", **typed)
    enrolment.golfer.refresh_from_db()
    assert enrolment.golfer.handedness == "left"
    assert enrolment.golfer.handicap_index == Decimal("12.5")


def test_the_details_start_as_they_are(desk: Client, enrolment: Enrolment) -> None:
    enrolment.golfer.handicap_index = Decimal("-2.1")
    enrolment.golfer.save(update_fields=["handicap_index"])
    text = desk.get(f"/attendees/{enrolment.pk}/details/").content.decode()
    assert 'value="+2.1"' in text
    assert "Hears badly." in text


def test_details_of_somebody_else_on_file_are_refused(desk: Client, enrolment: Enrolment) -> None:
    GolferFactory.create(full_name="Bo", email="bo@example.org")
    typed = {"full_name": "Bo", "handedness": "left", "email": "bo@example.org"}
    assert "already on file" in post(desk, enrolment, "details", **typed)


def test_an_invitation_lets_the_golfer_choose_a_password(
    desk: Client, enrolment: Enrolment
) -> None:
    answer = desk.post(f"/attendees/{enrolment.pk}/invite/")
    assert "no-store" in answer.headers["Cache-Control"]
    link = answer.context["link"].removeprefix("http://127.0.0.1:8000")
    golfer = Client()
    form = golfer.get(link, follow=True)
    typed = {"new_password1": "marsh-and-heron", "new_password2": "marsh-and-heron"}
    done = golfer.post(form.redirect_chain[-1][0], typed)
    assert done.headers["Location"] == "/"
    account = Account.objects.get(golfer=enrolment.golfer)
    assert account.check_password("marsh-and-heron")
    assert "no longer works" in Client().get(link, follow=True).content.decode()


def test_without_an_email_there_is_no_invitation(desk: Client, enrolment: Enrolment) -> None:
    enrolment.golfer.email = ""
    enrolment.golfer.save(update_fields=["email"])
    assert "no e-mail on file" in post(desk, enrolment, "invite")
