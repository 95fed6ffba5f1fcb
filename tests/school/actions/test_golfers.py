"""Writing golfers."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from school.actions.golfers import save_golfer
from school.details import GolferDetails
from school.errors import GuardianNeeded
from school.models import Account, AuditEntry, Golfer
from tests.factories import EnrolmentFactory, GolferFactory

pytestmark = pytest.mark.django_db

PIP = GolferDetails(
    full_name="Pip Oldacre",
    handedness="right",
    birth_date=date(2014, 9, 17),
    guardian_name="Hugh Oldacre",
    guardian_phone="01632 960303",
)


def test_a_new_golfer_is_written_and_noted(front_desk: Account) -> None:
    golfer = save_golfer(details=replace(PIP, email="Pip@Example.org"), actor=front_desk)
    golfer.refresh_from_db()
    assert (golfer.email, golfer.birth_date) == ("pip@example.org", date(2014, 9, 17))
    assert AuditEntry.objects.get(verb="add_golfer").actor == front_desk


def test_only_what_changed_is_written_and_named() -> None:
    golfer = save_golfer(details=PIP, actor=None)
    Golfer.objects.filter(pk=golfer.pk).update(phone="01632 960999")  # somebody else, meanwhile
    save_golfer(golfer=golfer, details=replace(PIP, handicap_index=Decimal("36.0")), actor=None)
    golfer.refresh_from_db()
    assert (golfer.phone, golfer.handicap_index) == ("01632 960999", Decimal("36.0"))
    assert AuditEntry.objects.get(verb="change_golfer").detail == {"fields": ["handicap_index"]}


def test_saving_the_same_again_leaves_no_trail() -> None:
    golfer = save_golfer(details=PIP, actor=None)
    save_golfer(golfer=golfer, details=PIP, actor=None)
    assert not AuditEntry.objects.filter(verb="change_golfer").exists()


def test_two_golfers_cannot_share_email_and_name() -> None:
    GolferFactory.create(full_name="pip oldacre", email="pip@example.org")
    with pytest.raises(ValidationError, match="already on file"):
        save_golfer(details=replace(PIP, email="pip@example.org"), actor=None)


def test_an_impossible_handicap_is_refused() -> None:
    with pytest.raises(ValidationError, match="Handicap Index"):
        save_golfer(details=replace(PIP, handicap_index=Decimal("54.1")), actor=None)


def test_an_enrolled_minor_keeps_a_guardian() -> None:
    golfer = save_golfer(details=PIP, actor=None)
    EnrolmentFactory.create(golfer=golfer)
    with pytest.raises(GuardianNeeded):
        save_golfer(golfer=golfer, details=replace(PIP, guardian_phone=""), actor=None)


def test_a_birth_date_found_to_be_a_minors_needs_a_guardian() -> None:
    golfer = EnrolmentFactory.create(golfer__full_name="Pip").golfer
    details = GolferDetails(full_name="Pip", handedness="right", birth_date=date(2014, 9, 17))
    with pytest.raises(GuardianNeeded):
        save_golfer(golfer=golfer, details=details, actor=None)
