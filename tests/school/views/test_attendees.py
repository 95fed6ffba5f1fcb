"""One attendee's page and what is pressed on it."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.money import record_payment
from school.models import Account, ConsentKind, Enrolment, School
from tests.factories import (
    ConsentTextFactory,
    GolferFactory,
    SchoolFactory,
    consented,
    giving_back,
)
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def enrolment(db: None) -> Enrolment:
    for kind in ConsentKind.values:
        ConsentTextFactory.create(kind=kind, body=f"I agree to {kind}.")
    golfer = GolferFactory.create(full_name="Alma Fenwright", care_notes="Hears badly.")
    return enrol(
        school=SchoolFactory.create(capacity=1, starts_on=date(2027, 5, 7)),
        golfer=golfer,
        actor=None,
    )


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
    assert answer.context["refused"] == f"reverse_{charge.pk}"
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


def kept(client: Client, enrolment: Enrolment) -> str:
    """What the page before a cancellation says will be kept."""
    return str(client.get(f"/attendees/{enrolment.pk}/cancel/").context["refund"].kept)


def test_what_cancelling_comes_to_is_read_before_it_is_done(
    desk: Client, enrolment: Enrolment
) -> None:
    giving_back(enrolment.school, {0: 50})
    enrol(school=enrolment.school, golfer=GolferFactory.create(full_name="Wendy"), actor=None)
    text = desk.get(f"/attendees/{enrolment.pk}/cancel/").content.decode()
    assert "50 % of £960.00 is given back, £480.00." in text
    assert "Nothing was paid, so £480.00 stays due." in text
    assert "Seat 1 is offered to Wendy" in text
    enrolment.refresh_from_db()
    assert enrolment.is_seated


def test_cancelling_offers_the_seat_and_says_what_stays_due(
    desk: Client, enrolment: Enrolment
) -> None:
    waiting = enrol(school=enrolment.school, golfer=GolferFactory.create(), actor=None)
    said = post(desk, enrolment, "cancel", why="broke a wrist", kept=kept(desk, enrolment))
    assert "is cancelled and owes £960.00." in said
    waiting.refresh_from_db()
    assert (waiting.state, waiting.seat) == ("offered", 1)


def test_cancelling_needs_a_reason(desk: Client, enrolment: Enrolment) -> None:
    post(desk, enrolment, "cancel", why="", kept=kept(desk, enrolment))
    enrolment.refresh_from_db()
    assert enrolment.is_seated


@pytest.mark.parametrize("agreed", ["0.00", "much", ""])
def test_figures_that_were_not_shown_are_not_agreed_to(
    desk: Client, enrolment: Enrolment, agreed: str
) -> None:
    said = post(desk, enrolment, "cancel", why="broke a wrist", kept=agreed)
    assert "Not done" in said
    assert 'value="broke a wrist"' in said
    assert 'name="kept" value="960.00"' in said
    enrolment.refresh_from_db()
    assert enrolment.is_seated


def test_cancelling_twice_is_refused_in_words(desk: Client, enrolment: Enrolment) -> None:
    post(desk, enrolment, "cancel", why="ill", kept="960.00")
    answer = desk.post(f"/attendees/{enrolment.pk}/cancel/", {"why": "ill", "kept": "960.00"})
    assert "was cancelled before" in str(answer.context["form"].errors)


@pytest.fixture
def asked(enrolment: Enrolment) -> list[Enrolment]:
    """The first of two who waited is offered the seat."""
    school = enrolment.school
    rows = [enrol(school=school, golfer=GolferFactory.create(), actor=None) for _ in range(2)]
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    return rows


def test_an_offer_says_until_when_and_the_desk_may_seat_at_once(
    desk: Client, asked: list[Enrolment]
) -> None:
    page = desk.get(f"/attendees/{asked[0].pk}/").content.decode()
    assert "Seat 1 is kept until" in page
    assert "has seat 1." in post(desk, asked[0], "seat", why="said yes on the telephone")


def test_the_desk_offers_a_seat_out_of_turn(desk: Client, asked: list[Enrolment]) -> None:
    assert "On the waiting list" in desk.get(f"/attendees/{asked[1].pk}/").content.decode()
    assert "is offered seat 1" in post(desk, asked[1], "offer", why="comes with a friend")
    asked[0].refresh_from_db()
    assert asked[0].state == "waiting"


@pytest.mark.parametrize("name", ["seat", "offer"])
def test_out_of_turn_without_a_reason_opens_its_form_again(
    desk: Client, asked: list[Enrolment], name: str
) -> None:
    answer = desk.post(f"/attendees/{asked[1].pk}/{name}/", {"why": ""})
    assert answer.context["refused"] == name
    assert answer.context[f"{name}_form"].errors


def test_a_discount_is_given_with_its_reason(desk: Client, enrolment: Enrolment) -> None:
    said = post(desk, enrolment, "discounts", amount="60,00", why="pair")
    assert "is let off £60.00." in said
    assert "owes £900.00" in said


def test_too_large_a_discount_is_refused_and_kept(desk: Client, enrolment: Enrolment) -> None:
    answer = desk.post(f"/attendees/{enrolment.pk}/discounts/", {"amount": "960.01", "why": "pair"})
    assert "can be let off" in str(answer.context["discount_form"].errors)
    assert 'value="pair"' in answer.content.decode()


def test_what_is_owed_back_is_shown_and_paid_back(desk: Client, enrolment: Enrolment) -> None:
    record_payment(enrolment=enrolment, amount=Decimal(1000), method="card", actor=None)
    page = desk.get(f"/attendees/{enrolment.pk}/")
    assert "owed back:" in page.content.decode()
    assert page.context["refund_form"].initial == {"amount": Decimal(40)}
    said = post(desk, enrolment, "refunds", amount="40", method="card", memo="to the same card")
    assert "£40.00 paid back to Alma Fenwright is recorded." in said
    assert "settled" in said


def test_more_than_is_owed_back_is_refused(desk: Client, enrolment: Enrolment) -> None:
    answer = desk.post(f"/attendees/{enrolment.pk}/refunds/", {"amount": "1", "method": "cash"})
    assert "£0.00 is owed back" in str(answer.context["refund_form"].errors)


def test_instalments_are_shown_with_their_days(desk: Client, enrolment: Enrolment) -> None:
    School.objects.filter(pk=enrolment.school_id).update(deposit=Decimal(240))
    text = desk.get(f"/attendees/{enrolment.pk}/").content.decode()
    for words in ("£240.00 deposit, due at once", "£720.00 due by 9 April 2027", "due now:"):
        assert words in text


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
