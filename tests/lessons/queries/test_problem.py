"""Rows become the planner's problem."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lessons.actions.holds import take_holds
from lessons.models import Hold, Hours, Instructor, Walk
from lessons.planner import problem as planner
from lessons.planner.problem import Instructor as Person
from lessons.planner.problem import validate
from lessons.queries.problem import problem_for
from lessons.queries.slots import all_slots
from school.models import School
from tests.factories import ProgrammeFactory, SchoolFactory
from tests.lessons.factories import (
    BayFactory,
    InstructorFactory,
    PlaceFactory,
    SessionFactory,
    SquadFactory,
    SquadMemberFactory,
    StationFactory,
    VisitFactory,
    offer_hours,
    small_school,
)

pytestmark = pytest.mark.django_db
ALL_DAY = {(0, slot) for slot in range(8)}


def only_person(school: School) -> Person:
    return problem_for(school).instructors[0]


def teaches(instructor: Instructor, starts_at: datetime, ends_at: datetime) -> None:
    Hours.objects.create(instructor=instructor, starts_at=starts_at, ends_at=ends_at)


def test_a_small_school_makes_a_valid_problem() -> None:
    school = small_school()
    SquadMemberFactory.create(squad__school=school)
    problem = problem_for(school)
    validate(problem)
    assert (problem.grid.days, problem.grid.slots_per_day, problem.grid.lunch_after) == (3, 8, 4)


def test_slots_have_the_times_of_the_schools_clocks() -> None:
    times = problem_for(SchoolFactory.create(time_zone="America/New_York")).grid.slot_times
    assert (times[0], times[3], times[4]) == (
        ("09:00", "09:45"),
        ("11:15", "12:00"),
        ("13:00", "13:45"),
    )


def test_a_squad_counts_its_members_and_its_left_handers() -> None:
    squad = SquadFactory.create()
    SquadMemberFactory.create(squad=squad)
    SquadMemberFactory.create(squad=squad, enrolment__golfer__handedness="left")
    (found,) = problem_for(squad.school).squads
    assert (found.key, found.size, found.left_handed) == (str(squad.pk), 2, True)


def test_a_squad_without_members_is_not_planned() -> None:
    squad = SquadFactory.create()
    assert problem_for(squad.school).squads == ()


def test_a_visit_brings_its_station_days_and_order() -> None:
    programme = ProgrammeFactory.create()
    station = StationFactory.create(slug="impact", is_handed=True)
    station.needs.create(slug="hitting", name="hitting place")
    first = VisitFactory.create(programme=programme, station=station, first_day=1, last_day=1)
    second = VisitFactory.create(programme=programme, station=station, first_day=2, slots=2)
    second.after.add(first)
    _, found = problem_for(SchoolFactory.create(programme=programme)).visits
    assert (found.station, found.slots, found.handed) == ("impact", 2, True)
    assert found.features == {"hitting place"}
    assert found.days == frozenset({1, 2})
    assert found.after == {str(first.pk)}


def test_the_same_instructor_is_asked_for_intake_and_exit_of_impact() -> None:
    programme = ProgrammeFactory.create()
    impact = StationFactory.create(slug="impact", entry_kind="impact")
    other = StationFactory.create(slug="putting", entry_kind="putting")
    visits = [
        VisitFactory.create(programme=programme, station=station, phase=phase)
        for station in (impact, other)
        for phase in ("intake", "practice", "exit")
    ]
    problem = problem_for(SchoolFactory.create(programme=programme))
    assert problem.same_instructor == (str(visits[0].pk), str(visits[2].pk))


def test_closed_bays_are_left_out() -> None:
    BayFactory.create(slug="shut", is_open=False)
    bay = BayFactory.create(features=["covered"])
    (found,) = problem_for(SchoolFactory.create()).bays
    assert found.key == str(bay.pk)
    assert found.features == {"covered"}


def test_the_lead_is_the_schools_own() -> None:
    lead = InstructorFactory.create()
    InstructorFactory.create()
    problem = problem_for(SchoolFactory.create(lead_instructor=lead.staff))
    assert problem.lead == str(lead.pk)


def test_a_lead_who_is_not_set_up_to_teach_is_no_lead() -> None:
    assert problem_for(SchoolFactory.create()).lead is None


@pytest.mark.parametrize("field", ["staff__teaches", "staff__account__is_active"])
def test_who_no_longer_teaches_is_left_out(field: str) -> None:
    InstructorFactory.create(staff__owns=True, **{field: False})
    assert problem_for(SchoolFactory.create()).instructors == ()


def test_a_slot_is_free_only_when_hours_cover_all_of_it() -> None:
    school, instructor = SchoolFactory.create(), InstructorFactory.create()
    teaches(
        instructor, school.slot_instant(0, 0), school.slot_instant(0, 2) + timedelta(minutes=44)
    )
    assert only_person(school).available == {(0, 0), (0, 1)}


def test_hours_that_touch_cover_the_slot_between_them() -> None:
    school, instructor = SchoolFactory.create(), InstructorFactory.create()
    middle = school.slot_instant(0, 0) + timedelta(minutes=20)
    teaches(instructor, school.slot_instant(0, 0), middle)
    teaches(instructor, middle, school.slot_instant(0, 1))
    assert only_person(school).available == {(0, 0)}


@pytest.mark.parametrize("starts_on", [date(2027, 3, 27), date(2027, 10, 30)])
def test_the_change_of_the_clocks_moves_no_slot(starts_on: date) -> None:
    """The clocks change in the night to the second day; days still open at nine, local time."""
    school = SchoolFactory.create(starts_on=starts_on)
    instructor = InstructorFactory.create()
    offer_hours(instructor, school, time(9), time(16))
    slots = all_slots(school)
    assert slots[1, 0].starts_at - slots[0, 0].starts_at != timedelta(days=1)
    assert {slot.ends_at - slot.starts_at for slot in slots.values()} == {timedelta(minutes=45)}
    assert only_person(school).available == set(slots)


def test_a_private_lesson_blocks_the_slots_it_touches() -> None:
    school, bay, instructor = (
        SchoolFactory.create(),
        BayFactory.create(),
        InstructorFactory.create(),
    )
    offer_hours(instructor, school)
    starts_at = school.slot_instant(1, 1) + timedelta(minutes=15)
    take_holds(
        note="private lesson",
        bay=bay,
        instructor=instructor,
        starts_at=starts_at,
        ends_at=starts_at + timedelta(minutes=45),
        actor=None,
    )
    problem = problem_for(school)
    assert problem.bays[0].closed == {(1, 1), (1, 2)}
    assert not problem.instructors[0].available & {(1, 1), (1, 2)}


def test_another_schools_holds_block_and_ones_own_do_not() -> None:
    session = SessionFactory.create()
    mine = session.plan.school
    other = SchoolFactory.create(starts_on=mine.starts_on)
    offer_hours(session.instructor, mine)
    for quarter_hour in session.quarter_hours():
        Hold.objects.create(session=session, bay=session.bay, quarter_hour=quarter_hour)
        Hold.objects.create(
            session=session, instructor=session.instructor, quarter_hour=quarter_hour
        )
    assert problem_for(mine).bays[0].closed == set()
    assert problem_for(other).bays[0].closed == {(0, 0)}
    assert only_person(mine).available - only_person(other).available == {(0, 0)}


def test_the_clock_of_the_hold_counts_not_that_of_the_school() -> None:
    """A school five minutes out of step with the quarter hours still meets the hold."""
    school = SchoolFactory.create(day_opens=time(9, 5))
    bay = BayFactory.create()
    nine = datetime(2027, 5, 7, 8, tzinfo=UTC)
    Hold.objects.create(bay=bay, note="repair", quarter_hour=nine)
    assert problem_for(school).bays[0].closed == {(0, 0)}


def test_the_number_of_queries_does_not_grow() -> None:
    def counted(school: School) -> int:
        with CaptureQueriesContext(connection) as queries:
            problem_for(school)
        return len(queries)

    small = small_school(attendees=2)
    SquadMemberFactory.create(squad__school=small)
    before = counted(small)
    SquadMemberFactory.create_batch(3, squad__school=small)
    BayFactory.create_batch(3, features=["covered"])
    for instructor in InstructorFactory.create_batch(2):
        offer_hours(instructor, small)
    assert before == counted(small) == 11


def test_places_and_features_go_by_the_names_that_people_know() -> None:
    school = small_school()
    one, other = PlaceFactory.create(slug="a", name="Dunes"), PlaceFactory.create(slug="b")
    Walk.objects.create(a=one, b=other, minutes=7)
    bay = BayFactory.create(place=one, features=["left-handed"])
    bay.features.create(slug="lm", name="launch monitor")
    problem = problem_for(school)
    found = next(each for each in problem.bays if each.key == str(bay.pk))
    assert (found.place, problem.walk("Dunes", "Range")) == ("Dunes", 7)
    assert found.features == {planner.LEFT_HANDED, "launch monitor"}
