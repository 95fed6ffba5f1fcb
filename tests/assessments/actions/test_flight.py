"""Recording a table: one entry a club, the same shots only once."""

from typing import Any

import pytest

from assessments.actions.flight import Recorded, record_table
from assessments.errors import EntryRefused
from assessments.models import Entry
from lessons.models import Session
from school.models import Account
from tests.assessments.factories import attendee_of, session_at

pytestmark = pytest.mark.django_db


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "ball_flight")


def recorded(session: Session, actor: Account, *payloads: dict[str, Any]) -> Recorded:
    return record_table(
        enrolment=attendee_of(session),
        session=session,
        kind="ball_flight",
        payloads=payloads,
        recorded_by=actor,
    )


def shots(club: str, *carries: float) -> dict[str, Any]:
    return {
        "club": club,
        "club_class": "iron",
        "entered_in": {"distance": "m", "speed": "m/s"},
        "shots": [{"carry_m": carry} for carry in carries],
    }


def test_each_club_becomes_an_entry(session: Session, instructor: Account) -> None:
    done = recorded(session, instructor, shots("7i", 130, 131), shots("8i", 120))
    assert [entry.payload["club"] for entry in done.entries] == ["7i", "8i"]
    assert {entry.session for entry in done.entries} == {session}
    assert done.known == 0


def test_the_same_table_again_doubles_nothing(session: Session, instructor: Account) -> None:
    first = recorded(session, instructor, shots("7i", 130))
    again = recorded(session, instructor, shots("7i", 130), shots("8i", 120))
    assert again.known == 1
    assert again.entries[0] == first.entries[0]
    assert Entry.objects.count() == 2


def test_one_club_that_cannot_be_right_keeps_all_out(session: Session, instructor: Account) -> None:
    with pytest.raises(EntryRefused):
        recorded(session, instructor, shots("7i", 130), shots("8i", 4000))
    assert not Entry.objects.exists()
