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


def test_of_a_table_that_has_grown_only_the_new_shots_are_recorded(
    session: Session, instructor: Account
) -> None:
    carries = [131.2 + n for n in range(50)]
    for count in (25, 40, 50, 50):
        chunks = [carries[at : min(at + 30, count)] for at in range(0, count, 30)]
        done = recorded(session, instructor, *(shots("7i", *chunk) for chunk in chunks))
    entries = Entry.objects.all()
    assert [s["carry_m"] for e in entries for s in e.payload["shots"]] == carries
    assert done.known == len(done.entries) == 4


def test_shots_alike_with_another_club_or_too_few_to_tell_are_new(
    session: Session, instructor: Account
) -> None:
    recorded(session, instructor, shots("7i", 130, 131, 132, 133), shots("9i", 110))
    recorded(session, instructor, shots("8i", 130, 131, 132, 133, 134), shots("9i", 110, 111))
    counts = [len(entry.payload["shots"]) for entry in Entry.objects.all()]
    assert sorted(counts) == [1, 2, 4, 5]
