"""What is done every few seconds."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import OperationalError
from django.utils import timezone

from school.actions import sweeping
from school.actions.sweeping import do_duties
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db


def fails() -> int:
    raise RuntimeError


def away() -> int:
    raise OperationalError


def counts() -> int:
    return 3


def test_one_duty_that_fails_does_not_stop_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sweeping, "DUTIES", [fails, counts])
    assert do_duties() == {"counts": 3}


def test_a_database_that_is_away_ends_the_round(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sweeping, "DUTIES", [away, counts])
    with pytest.raises(OperationalError):
        do_duties()


def test_the_command_ends_offers_and_says_so() -> None:
    ended = timezone.now() - timedelta(minutes=1)
    offered = EnrolmentFactory.create(state="offered", offer_ends_at=ended)
    out = StringIO()
    call_command("sweep", stdout=out)
    offered.refresh_from_db()
    assert offered.state == "cancelled"
    assert "expire_offers: 1" in out.getvalue()
