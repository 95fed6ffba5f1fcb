"""Two instructors at once, at every station there is: neither overwrites the other unseen."""

from dataclasses import replace
from typing import Any
from uuid import uuid4

import pytest

from assessments.actions.entries import record_entry
from assessments.errors import EntryConflict
from assessments.models import Entry
from assessments.stations import registry
from assessments.stations.base import Computed
from lessons.models import Session
from school.models import Account, Enrolment
from tests.assessments.factories import StillFactory, attendee_of, session_at
from tests.factories import consented
from tests.lessons.factories import SessionFactory, instructor_for

pytestmark = pytest.mark.django_db
STATIONS = dict(sorted(registry().items()))
ONCE = [kind for kind, one in STATIONS.items() if one.needs_still or not one.repeats]
SEVERAL = [kind for kind in STATIONS if kind not in ONCE]


@pytest.fixture
def session(instructor: Account, other_instructor: Account) -> Session:
    session = session_at(instructor, "putting")
    SessionFactory.create(plan=session.plan, instructor=instructor_for(other_instructor))
    return session


@pytest.fixture
def place(request: pytest.FixtureRequest, session: Session, monkeypatch: Any) -> dict[str, Any]:
    """Where both record; whatever they send can be right."""
    kind: str = request.param
    station = replace(STATIONS[kind], compute=lambda payload, context: Computed(), settings=None)
    monkeypatch.setitem(registry(), kind, station)
    attendee: Enrolment = consented(attendee_of(session))
    still = StillFactory.create(enrolment=attendee) if station.needs_still else None
    return {"enrolment": attendee, "kind": kind, "phase": "intake", "still": still}


def recorded(place: dict[str, Any], by: Account, seen: str, over: Entry | None = None) -> Entry:
    return record_entry(
        **place, id=uuid4(), payload={"seen": seen}, recorded_by=by, supersedes=over
    )


def standing() -> list[Any]:
    return [one.payload["seen"] for one in Entry.objects.filter(superseded_by__isnull=True)]


@pytest.mark.parametrize("place", ONCE, indirect=True)
def test_what_stands_once_is_recorded_by_one(
    place: dict[str, Any], instructor: Account, other_instructor: Account
) -> None:
    first = recorded(place, instructor, "one")
    with pytest.raises(EntryConflict, match="has recorded this meanwhile") as caught:
        recorded(place, other_instructor, "two")
    assert caught.value.standing == first
    assert standing() == ["one"]


@pytest.mark.parametrize("place", SEVERAL, indirect=True)
def test_what_may_stand_several_times_stands_side_by_side(
    place: dict[str, Any], instructor: Account, other_instructor: Account
) -> None:
    recorded(place, instructor, "one")
    recorded(place, other_instructor, "two")
    assert sorted(standing()) == ["one", "two"]


@pytest.mark.parametrize("place", STATIONS, indirect=True)
def test_the_second_correction_learns_of_the_first(
    place: dict[str, Any], instructor: Account, other_instructor: Account
) -> None:
    first = recorded(place, instructor, "one")
    theirs = recorded(place, other_instructor, "two", first)
    with pytest.raises(EntryConflict, match="has corrected this meanwhile") as caught:
        recorded(place, instructor, "three", first)
    assert caught.value.standing == theirs
    assert standing() == ["two"]
    recorded(place, instructor, "three", theirs)
    assert standing() == ["three"]
