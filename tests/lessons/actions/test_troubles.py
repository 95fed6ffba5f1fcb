"""What upsets a timetable is noted and taken back."""

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from lessons.actions.troubles import drop_trouble, note_trouble
from lessons.errors import TroubleRefused
from lessons.models import Trouble
from school.models import Account, AuditEntry
from tests.factories import EnrolmentFactory
from tests.lessons.factories import BayFactory, InstructorFactory, TroubleFactory

pytestmark = pytest.mark.django_db
NOON = datetime(2027, 5, 8, 11, tzinfo=UTC)


def noted(**changes: Any) -> Trouble:
    asked: dict[str, Any] = {
        "kind": "rain",
        "starts_at": NOON,
        "ends_at": NOON + timedelta(hours=3),
        "actor": None,
    }
    return note_trouble(**{**asked, **changes})


def test_a_trouble_is_kept_with_who_noted_it(front_desk: Account) -> None:
    person = InstructorFactory.create()
    trouble = noted(kind="instructor", instructor=person, note="a cold", actor=front_desk)
    trouble.refresh_from_db()
    assert (trouble.instructor, trouble.note, trouble.noted_by) == (person, "a cold", front_desk)
    assert AuditEntry.objects.get(verb="note_trouble").detail["what"] == str(trouble)


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("instructor", "which instructor is away"),
        ("bay", "which bay is closed"),
        ("golfer", "which golfer is away"),
    ],
)
def test_who_or_what_it_is_about_must_be_said(kind: str, words: str) -> None:
    with pytest.raises(TroubleRefused, match=words):
        noted(kind=kind)
    assert not Trouble.objects.exists()


@pytest.mark.parametrize("kind", ["rain", "instructor"])
def test_it_is_about_one_thing(kind: str) -> None:
    person = InstructorFactory.create() if kind == "instructor" else None
    with pytest.raises(TroubleRefused, match="one instructor, one bay"):
        noted(kind=kind, instructor=person, bay=BayFactory.create())


@pytest.mark.parametrize("lasts", [timedelta(0), timedelta(hours=-1), timedelta(days=61)])
def test_it_is_a_stretch_of_time(lasts: timedelta) -> None:
    with pytest.raises(TroubleRefused, match="end after it starts"):
        noted(ends_at=NOON + lasts)


def test_an_hour_that_the_clocks_leave_out_is_no_stretch_of_time() -> None:
    """From half past two, which there is not that night, to a quarter past three."""
    night = datetime(2027, 3, 28, tzinfo=ZoneInfo("Europe/Berlin"))
    with pytest.raises(TroubleRefused, match="end after it starts"):
        noted(starts_at=night.replace(hour=2, minute=30), ends_at=night.replace(hour=3, minute=15))


def test_who_gave_up_the_seat_is_not_missed() -> None:
    enrolment = EnrolmentFactory.create(state="waiting", seat=None)
    with pytest.raises(TroubleRefused, match="has no seat"):
        noted(kind="golfer", enrolment=enrolment)


def test_the_trail_gives_one_time_for_a_trouble_noted_and_taken_back() -> None:
    """It is noted in the time of the school, and read from the row in UTC."""
    starts_at = datetime(2027, 5, 8, 9, tzinfo=ZoneInfo("Europe/Berlin"))
    trouble = noted(starts_at=starts_at, ends_at=starts_at + timedelta(hours=3))
    drop_trouble(trouble=Trouble.objects.get(pk=trouble.pk), actor=None)
    said = AuditEntry.objects.filter(verb__in=["note_trouble", "drop_trouble"])
    assert {entry.detail["what"] for entry in said} == {"rain from 2027-05-08 07:00 UTC"}


def test_what_is_taken_back_is_gone_and_on_record(front_desk: Account) -> None:
    trouble = TroubleFactory.create()
    words = str(trouble)
    drop_trouble(trouble=trouble, actor=front_desk)
    assert not Trouble.objects.exists()
    assert AuditEntry.objects.get(verb="drop_trouble").detail["what"] == words
