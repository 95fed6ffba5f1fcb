"""Whether a plan found earlier still fits."""

from typing import Any

import pytest

from lessons.models import Plan, Session
from lessons.queries.fit import objections
from tests.lessons.factories import (
    InstructorFactory,
    SessionFactory,
    SquadMemberFactory,
    StationFactory,
    VisitFactory,
    offer_hours,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def session() -> Session:
    """One session that fits."""
    station = StationFactory.create(is_handed=True)
    made: Session = SessionFactory.create(
        visit__station=station, instructor=InstructorFactory.create(teaches=[station])
    )
    offer_hours(made.instructor, made.plan.school)
    return made


def objected(session: Session) -> list[str]:
    return objections(Plan.objects.get(pk=session.plan_id))


def test_a_plan_that_fits_meets_no_objection(session: Session) -> None:
    assert objected(session) == []


def test_a_left_hander_who_came_to_the_squad_needs_another_bay(session: Session) -> None:
    SquadMemberFactory.create(squad=session.squad, enrolment__golfer__handedness="left")
    assert objected(session) == [
        f"{session} needs what {session.bay.name} lacks: left-handed.",
    ]


def test_a_visit_that_the_programme_asks_for_now_is_missing(session: Session) -> None:
    VisitFactory.create(programme=session.plan.school.programme, name="Bunker play")
    assert objected(session) == ["Squad 1 has no time for Bunker play."]


def test_a_squad_that_left_needs_nothing(session: Session) -> None:
    session.squad.members.all().delete()
    assert objected(session) == [f"{session} is no longer asked for."]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("bay", "is closed"),
        ("stations", "is not qualified for"),
        ("hours", "is not free on day 1 from 09:00 to 09:45"),
        ("slots", "does not begin with a slot of the school"),
    ],
)
def test_what_changed_is_named(rows: str, words: str, session: Session) -> None:
    change: dict[str, Any] = {
        "bay": lambda: type(session.bay).objects.update(is_open=False),
        "stations": session.instructor.stations.clear,
        "hours": session.instructor.hours.all().delete,
        "slots": lambda: type(session.plan.school).objects.update(day_opens="10:00"),
    }
    change[rows]()
    (objection,) = objected(session)
    assert words in objection
