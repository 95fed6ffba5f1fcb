"""Giving and withdrawing consent."""

from datetime import date

import pytest

from school.actions.consents import give_consent, withdraw_consent
from school.actions.enrolment import cancel_enrolment
from school.errors import GuardianNeeded, MarramError, NoConsentText, NotEnrolled
from school.models import Account, AuditEntry, Enrolment
from tests.factories import ConsentTextFactory, EnrolmentFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def enrolment(db: None) -> Enrolment:
    ConsentTextFactory.create(kind="filming", version=1)
    return EnrolmentFactory.create(golfer__full_name="Alma Fenwright")


@pytest.fixture
def minor(enrolment: Enrolment) -> Enrolment:
    golfer = enrolment.golfer
    golfer.birth_date, golfer.guardian_name = date(2014, 9, 17), "Hugh Oldacre"
    golfer.save(update_fields=["birth_date", "guardian_name"])
    return enrolment


def test_consent_is_given_to_the_newest_text(enrolment: Enrolment, front_desk: Account) -> None:
    newest = ConsentTextFactory.create(kind="filming", version=2)
    consent = give_consent(
        enrolment=enrolment, kind="filming", given_by=" Alma  Fenwright", actor=front_desk
    )
    assert (consent.text, consent.given_by, consent.by_guardian, consent.recorded_by) == (
        newest,
        "Alma Fenwright",
        False,
        front_desk,
    )


def test_giving_it_again_changes_nothing(enrolment: Enrolment) -> None:
    first = give_consent(enrolment=enrolment, kind="filming", given_by="Alma", actor=None)
    again = give_consent(enrolment=enrolment, kind="filming", given_by="Somebody", actor=None)
    assert (again, again.given_by) == (first, "Alma")
    assert AuditEntry.objects.filter(verb="give_consent").count() == 1


def test_a_minors_guardian_gives_it(minor: Enrolment) -> None:
    consent = give_consent(enrolment=minor, kind="filming", given_by="hugh oldacre", actor=None)
    assert consent.by_guardian


def test_nobody_else_gives_it_for_a_minor(minor: Enrolment) -> None:
    with pytest.raises(GuardianNeeded, match="Hugh Oldacre"):
        give_consent(enrolment=minor, kind="filming", given_by="Alma Fenwright", actor=None)


def test_somebody_must_have_given_it(enrolment: Enrolment) -> None:
    with pytest.raises(MarramError, match="who gave"):
        give_consent(enrolment=enrolment, kind="filming", given_by=" ", actor=None)


def test_without_words_there_is_nothing_to_agree_to(enrolment: Enrolment) -> None:
    with pytest.raises(NoConsentText):
        give_consent(enrolment=enrolment, kind="risk", given_by="Alma", actor=None)


def test_whoever_left_gives_no_more_consent(enrolment: Enrolment) -> None:
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    with pytest.raises(NotEnrolled):
        give_consent(enrolment=enrolment, kind="filming", given_by="Alma", actor=None)


def test_withdrawing_takes_back_every_version(enrolment: Enrolment, front_desk: Account) -> None:
    give_consent(enrolment=enrolment, kind="filming", given_by="Alma", actor=None)
    ConsentTextFactory.create(kind="filming", version=2)
    give_consent(enrolment=enrolment, kind="filming", given_by="Alma", actor=None)
    assert withdraw_consent(enrolment=enrolment, kind="filming", actor=front_desk) == 2
    assert not enrolment.consents.filter(withdrawn_at__isnull=True).exists()
    assert AuditEntry.objects.get(verb="withdraw_consent").actor == front_desk


def test_what_was_withdrawn_can_be_given_again(enrolment: Enrolment) -> None:
    give_consent(enrolment=enrolment, kind="filming", given_by="Alma", actor=None)
    withdraw_consent(enrolment=enrolment, kind="filming", actor=None)
    give_consent(enrolment=enrolment, kind="filming", given_by="Alma", actor=None)
    assert enrolment.consents.count() == 2


def test_withdrawing_what_was_never_given_says_so(enrolment: Enrolment) -> None:
    assert withdraw_consent(enrolment=enrolment, kind="filming", actor=None) == 0
    assert not AuditEntry.objects.filter(verb="withdraw_consent").exists()
