"""Which sessions a trouble touches."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from lessons.models import Session
from lessons.queries.troubles import TroubleLine, starts_to_come, troubles_for_desk, troubles_of
from tests.factories import SchoolFactory
from tests.lessons.factories import (
    BayFactory,
    SessionFactory,
    SquadMemberFactory,
    TroubleFactory,
)
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db
BEFORE = datetime(2027, 5, 1, tzinfo=UTC)


def line_of(session: Session, kind: str, **fields: Any) -> TroubleLine:
    """The only trouble's line; it lasts from the session's start for an hour."""
    at = {"starts_at": session.starts_at, "ends_at": session.starts_at + timedelta(hours=1)}
    TroubleFactory.create(kind=kind, **{**at, **fields})
    (line,) = troubles_of(session.plan.school, BEFORE)
    return line


def touched(session: Session, kind: str, **fields: Any) -> bool:
    line = line_of(session, kind, **fields)
    return [group.first for group in line.touched] == [session]


def test_an_instructor_who_is_away_touches_their_sessions() -> None:
    session = SessionFactory.create()
    SessionFactory.create(plan=session.plan)
    line = line_of(session, "instructor", instructor=session.instructor)
    assert line.what == f"{session.instructor} is away"
    assert [group.first for group in line.touched] == [session]


def test_a_talk_is_touched_once_whoever_of_its_instructors_is_away() -> None:
    one = SessionFactory.create(visit__group_ratio=8)
    other = SessionFactory.create(plan=one.plan, visit=one.visit, bay=one.bay)
    (group,) = line_of(one, "instructor", instructor=other.instructor).touched
    assert set(group.sessions) == {one, other}


def test_a_session_that_ends_before_is_not_touched() -> None:
    session = SessionFactory.create()
    assert not touched(
        session,
        "bay",
        bay=session.bay,
        starts_at=session.ends_at,
        ends_at=session.ends_at + timedelta(hours=1),
    )


def test_a_closed_bay_touches_what_is_in_it() -> None:
    session = SessionFactory.create()
    assert touched(session, "bay", bay=session.bay)


def test_a_squad_that_has_left_the_bay_is_not_touched() -> None:
    session = SessionFactory.create(visit__slots=2, visit__bay_slots=1)
    Session.objects.update(ends_at=session.starts_at + timedelta(minutes=90))
    later = session.starts_at + timedelta(minutes=45)
    fields = {"starts_at": later, "ends_at": later + timedelta(minutes=30)}
    assert not touched(session, "bay", bay=session.bay, **fields)


@pytest.mark.parametrize("features", [(), ("covered",)])
def test_rain_touches_what_has_no_cover(features: tuple[str, ...]) -> None:
    session = SessionFactory.create(bay=BayFactory.create(features=features))
    assert touched(session, "rain") is not bool(features)


@pytest.mark.parametrize("phase", ["practice", "exit"])
def test_a_golfer_who_is_away_touches_what_is_compared_and_misses_practice(phase: str) -> None:
    member = SquadMemberFactory.create()
    session = SessionFactory.create(
        plan__school=member.squad.school,
        squad=member.squad,
        visit__station__entry_kind="impact",
        visit__phase=phase,
    )
    line = line_of(session, "golfer", enrolment=member.enrolment)
    assert [bool(line.touched), bool(line.missed)] == [phase == "exit", phase == "practice"]


def test_what_is_over_is_not_touched() -> None:
    session = SessionFactory.create()
    TroubleFactory.create(kind="rain", starts_at=session.starts_at, ends_at=session.ends_at)
    (line,) = troubles_of(session.plan.school, session.ends_at)
    assert line.touched == ()


def test_a_draft_is_not_touched() -> None:
    session = SessionFactory.create(plan__is_published=False)
    assert not touched(session, "rain")


def test_only_troubles_of_the_schools_days_and_golfers_are_its_own() -> None:
    school = SchoolFactory.create()
    TroubleFactory.create(starts_at=BEFORE, ends_at=BEFORE + timedelta(days=1))
    rain = TroubleFactory.create(kind="rain")
    other = SquadMemberFactory.create().enrolment
    TroubleFactory.create(kind="golfer", enrolment=other)
    assert list(troubles_for_desk(school)) == [rain]


def test_planning_again_may_begin_with_the_slot_that_is_on() -> None:
    school = SchoolFactory.create()
    now = school.slot_instant(2, 5) + timedelta(minutes=10)
    assert starts_to_come(school, now) == [school.slot_instant(2, slot) for slot in (5, 6, 7)]


def test_the_number_of_queries_does_not_grow() -> None:
    session = SessionFactory.create()
    school = session.plan.school
    TroubleFactory.create()

    def count() -> int:
        return queries_of(lambda: troubles_of(school, BEFORE))

    few = count()
    SessionFactory.create(plan=session.plan)
    TroubleFactory.create(kind="bay", bay=session.bay)
    SquadMemberFactory.create(squad=session.squad)
    TroubleFactory.create(kind="golfer", enrolment=session.squad.members.first().enrolment)
    assert few == count() == 4
