"""Where a session could be instead."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from lessons.actions.holds import take_holds
from lessons.models import Bay, Instructor, Plan, Session, Trouble
from lessons.queries.edits import Spot, objections_to_move, places_for
from lessons.queries.fit import objections
from lessons.queries.places import cells_for
from tests.lessons.factories import (
    BayFactory,
    InstructorFactory,
    SessionFactory,
    StationFactory,
    VisitFactory,
    drafted,
    offer_hours,
    small_school,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def session() -> Session:
    """The last of the first of two squads: Friday, 10:30."""
    plan = drafted(small_school(attendees=0))
    found: Session = plan.sessions.filter(squad__number=1).latest("starts_at")
    return found


def spot(session: Session, day: int, slot: int, bay: Bay | None = None) -> Spot:
    wanted = (day, slot, (bay or session.bay).pk)
    return next(s for s in places_for(session) if (s.day, s.slot, s.bay_pk) == wanted)


def said(session: Session, day: int, slot: int, bay: Bay, instructor: Instructor) -> list[str]:
    return objections_to_move(session, day=day, slot=slot, bay=bay, instructor=instructor)


def test_every_slot_and_bay_is_a_place(session: Session) -> None:
    assert len(places_for(session)) == 3 * 8 * 3


def test_a_free_place_has_nothing_against_it_and_says_who_could_teach(session: Session) -> None:
    found = spot(session, 2, 0)
    everybody = Instructor.objects.values_list("pk", flat=True)
    assert (found.words, set(found.instructor_pks)) == ((), set(everybody))
    assert found.instructor_pks[0] == session.instructor_id


def test_who_has_another_squad_then_is_not_among_them(session: Session) -> None:
    other = session.plan.sessions.filter(squad__number=2).latest("starts_at")
    free = BayFactory.create()
    assert spot(session, 0, 2, free).instructor_pks == (session.instructor_id,)
    (words,) = said(session, 0, 2, free, other.instructor)
    assert words.startswith(f"{other.instructor} has ")
    assert words.endswith(" at once.")


def test_what_speaks_against_a_place_is_said_with_times(session: Session) -> None:
    other = session.plan.sessions.filter(squad__number=2).latest("starts_at")
    (words,) = spot(session, 0, 2, other.bay).words
    assert words.startswith(
        f"{other.bay} is for 1 squad at once; on day 1 from 10:30 to 11:15 there are 2"
    )
    assert spot(session, 0, 2, other.bay).instructor_pks == ()


def test_where_nobody_could_teach_it_is_said_why(session: Session) -> None:
    for person in Instructor.objects.all():
        person.hours.filter(starts_at__gte=session.plan.school.slot_instant(2, 0)).delete()
        person.hours.filter(ends_at__gte=session.plan.school.slot_instant(2, 0)).delete()
    assert spot(session, 2, 0).words == (
        f"{session.instructor} is not free on day 3 from 09:00 to 09:45, for {session}.",
    )


def test_a_fault_elsewhere_in_the_plan_does_not_count(session: Session) -> None:
    VisitFactory.create(programme=session.plan.school.programme, station=session.visit.station)
    other = session.plan.sessions.filter(squad__number=2).latest("starts_at")
    other.bay.is_open = False
    other.bay.save(update_fields=["is_open"])
    assert len(objections(session.plan)) > 1
    assert spot(session, 2, 0).words == ()


@pytest.mark.parametrize("gone", ["bay", "instructor"])
def test_a_bay_or_a_person_that_is_no_longer_there(gone: str, session: Session) -> None:
    bay = BayFactory.create(is_open=gone != "bay", name="Old hut")
    person = session.instructor
    if gone == "instructor":
        person = InstructorFactory.create(staff__teaches=False, staff__at_front_desk=True)
    (words,) = said(session, 2, 0, bay, person)
    assert ("Old hut is closed" if gone == "bay" else f"{person} is not free") in words


def taken(session: Session) -> None:
    starts_at = session.plan.school.slot_instant(2, 0)
    ends_at = starts_at + timedelta(minutes=15)
    take_holds(
        note="repair",
        bay=session.bay,
        instructor=None,
        starts_at=starts_at,
        ends_at=ends_at,
        actor=None,
    )


def rained_off(session: Session) -> None:
    starts_at = session.plan.school.slot_instant(2, 0)
    Trouble.objects.create(
        kind=Trouble.Kind.RAIN, starts_at=starts_at, ends_at=starts_at + timedelta(minutes=15)
    )


@pytest.mark.parametrize(
    ("upset", "words"),
    [(taken, "is closed or taken on day 3"), (rained_off, "It rains on day 3 from 09:00")],
)
def test_what_others_hold_and_the_weather_count(
    upset: Callable[[Session], None], words: str, session: Session
) -> None:
    upset(session)
    assert words in spot(session, 2, 0).words[0]
    assert spot(session, 2, 1).words == ()


def test_no_place_is_free_for_a_session_that_is_over(session: Session) -> None:
    plan = session.plan
    plan.is_published, plan.published_at = True, timezone.now()
    plan.kept_before = session.ends_at
    plan.save(update_fields=["is_published", "published_at", "kept_before"])
    assert "is over and cannot be changed" in spot(session, 2, 0).words[-1]


# Groups


@pytest.fixture
def talks() -> list[Session]:
    """Two squads in talks of their own, at nine and at a quarter to ten, in one room for two."""
    school = small_school(attendees=0, bays=0)
    school.programme.visits.all().delete()
    talk = VisitFactory.create(
        programme=school.programme, station=StationFactory.create(slug="swing"), group_ratio=4
    )
    room = BayFactory.create(name="Room", capacity=2)
    plan = Plan.objects.create(school=school, state=Plan.State.DONE)
    return [
        SessionFactory.create(
            plan=plan,
            visit=talk,
            bay=room,
            instructor=person,
            starts_at=school.slot_instant(0, slot),
        )
        for slot, person in enumerate(Instructor.objects.order_by("pk"))
    ]


def test_a_squad_may_join_another_if_the_instructors_still_fit(talks: list[Session]) -> None:
    """Two golfers in all need one instructor, not two."""
    one, other = talks
    assert spot(one, 0, 1).instructor_pks == (other.instructor_id,)
    assert said(one, 0, 1, one.bay, other.instructor) == []
    (words,) = said(one, 0, 1, one.bay, one.instructor)
    assert "2 golfers and 2 instructors" in words


# Cost


def cost(squads: int) -> int:
    school = small_school(attendees=0, bays=squads, instructors=squads)
    plan = drafted(school, squads)
    session = plan.sessions.latest("pk")
    with CaptureQueriesContext(connection) as queries:
        places_for(session)
        objections(plan)
    return len(queries)


def test_looking_costs_the_same_for_a_larger_school() -> None:
    assert cost(2) == cost(4)


def test_a_lesson_that_a_new_teacher_could_take(session: Session) -> None:
    person = InstructorFactory.create(teaches=[session.visit.station])
    offer_hours(person, session.plan.school)
    assert person.pk in spot(session, 0, 2).instructor_pks


def test_a_session_that_nobody_asks_for_any_more_goes_nowhere(session: Session) -> None:
    """Its squad's last golfer was moved away; the page that tells its places must still come."""
    session.squad.members.all().delete()
    words = f"{session} is no longer asked for."
    assert {spot.words for spot in places_for(session)} == {(words,)}
    assert {place.words for place in cells_for(session, "squad", ())} == {(words,)}
