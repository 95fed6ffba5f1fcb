"""Rows become the planner's problem."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pytest_django.fixtures import Settings

from lessons.actions.holds import take_holds
from lessons.models import Bay, Hold, Hours, Instructor, Session, Visit, Walk
from lessons.planner import problem as planner
from lessons.planner.problem import Instructor as Person
from lessons.planner.problem import validate
from lessons.queries.problem import problem_for
from lessons.queries.slots import all_slots
from school.models import School, Staff
from tests.factories import ProgrammeFactory, SchoolFactory
from tests.lessons.factories import (
    BayFactory,
    InstructorFactory,
    PlaceFactory,
    PlanFactory,
    SessionFactory,
    SquadFactory,
    SquadMemberFactory,
    StationFactory,
    TroubleFactory,
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
    assert found.after == {str(first.pk): 1}


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
    assert before == counted(small) == 15


# Rules that a visit, a bay and a house bring


def only_visit(**fields: Any) -> planner.Visit:
    visit = VisitFactory.create(programme=ProgrammeFactory.create(), **fields)
    return problem_for(SchoolFactory.create(programme=visit.programme)).visits[0]


def test_a_visit_brings_how_often_it_takes_place() -> None:
    visit = only_visit(times=3, most_a_day=2, slots=4, bay_slots=1)
    assert (visit.times, visit.most_a_day, visit.in_bay) == (3, 2, 1)


def test_what_waits_for_a_visit_waits_for_all_its_times() -> None:
    first = VisitFactory.create(programme=ProgrammeFactory.create(), times=3)
    VisitFactory.create(programme=first.programme).after.add(first)
    found = problem_for(SchoolFactory.create(programme=first.programme)).visits
    assert found[1].after == {str(first.pk): 3}


@pytest.mark.parametrize(("ratio", "expected"), [(None, (False, 4)), (12, (True, 12))])
def test_a_visit_that_groups_may_have_says_how_many_golfers_an_instructor_takes(
    ratio: int | None, expected: tuple[bool, int]
) -> None:
    visit = only_visit(group_ratio=ratio)
    assert (visit.group, visit.ratio) == expected


@pytest.mark.parametrize(
    ("first", "last", "expected"),
    [(None, None, None), (1, 4, {0, 1, 2, 3}), (7, 20, {6, 7}), (9, 10, None)],
)
def test_slots_that_suit_best_are_those_of_the_day(
    first: int | None, last: int | None, expected: set[int] | None
) -> None:
    """Where the day is too short for any of them, all are as good."""
    assert only_visit(prefers_from=first, prefers_to=last).preferred == expected


@pytest.mark.parametrize(
    ("kind", "phase", "everyone"),
    [("", "intake", False), ("impact", "practice", False), ("impact", "exit", True)],
)
def test_a_visit_whose_measures_are_compared_is_everybodys(
    kind: str, phase: str, everyone: bool
) -> None:
    assert only_visit(station__entry_kind=kind, phase=phase).everyone is everyone


def test_visits_on_the_same_day_and_on_another_are_pairs() -> None:
    visits = VisitFactory.create_batch(3, programme=ProgrammeFactory.create())
    visits[1].same_day.add(visits[0])
    visits[0].other_day.add(visits[2])
    problem = problem_for(SchoolFactory.create(programme=visits[0].programme))
    one, two, three = (str(visit.pk) for visit in visits)
    assert (problem.same_day, problem.other_day) == (((one, two),), ((one, three),))


def test_a_bay_has_room_for_so_many_squads() -> None:
    BayFactory.create(capacity=3)
    assert problem_for(SchoolFactory.create()).bays[0].squads == 3


def test_half_time_makes_a_slot_count_double() -> None:
    InstructorFactory.create(load_factor=2)
    assert only_person(SchoolFactory.create()).load_factor == 2


def test_squads_start_from_the_base_even_if_nothing_is_taught_there() -> None:
    assert problem_for(SchoolFactory.create()).base is None
    PlaceFactory.create(slug="house", name="Clubhouse", is_base=True)
    assert problem_for(SchoolFactory.create()).base == "Clubhouse"


def test_after_sunset_it_is_dark(settings: Settings) -> None:
    settings.HOUSE_LATITUDE, settings.HOUSE_LONGITUDE = 56.34, -2.80
    assert problem_for(SchoolFactory.create(starts_on=date(2026, 12, 20))).dark == {
        (day, 7) for day in range(3)
    }


# Troubles


def test_a_slot_that_an_absence_touches_is_not_offered() -> None:
    school, person = SchoolFactory.create(), InstructorFactory.create()
    offer_hours(person, school)
    noon = school.slot_instant(1, 3) + timedelta(minutes=10)
    TroubleFactory.create(instructor=person, starts_at=noon, ends_at=school.slot_instant(2, 0))
    every = set(all_slots(school))
    assert every - only_person(school).available == {(1, slot) for slot in range(3, 8)}


def test_a_closed_bay_is_closed_for_as_long_as_it_is() -> None:
    school, bay = SchoolFactory.create(), BayFactory.create()
    TroubleFactory.create(
        kind="bay",
        bay=bay,
        starts_at=school.slot_instant(0, 6),
        ends_at=school.slot_instant(1, 1),
    )
    assert problem_for(school).bays[0].closed == {(0, 6), (0, 7), (1, 0)}


def test_rain_is_everybodys() -> None:
    school = SchoolFactory.create()
    TroubleFactory.create(
        kind="rain", starts_at=school.slot_instant(1, 4), ends_at=school.slot_instant(1, 6)
    )
    assert problem_for(school).rain == {(1, 4), (1, 5)}


def test_a_golfer_who_is_late_is_missed_by_the_squad() -> None:
    member = SquadMemberFactory.create()
    school = member.squad.school
    SquadMemberFactory.create(squad__school=school)
    TroubleFactory.create(
        kind="golfer",
        enrolment=member.enrolment,
        starts_at=school.slot_instant(0, 0),
        ends_at=school.slot_instant(0, 2),
    )
    late, other = problem_for(school).squads
    assert late.away == {(0, 0), (0, 1)}
    assert other.away == set()


# Planning again


def published_school() -> tuple[School, list[Session]]:
    """A school with one session at the first slot of each of its days."""
    first = SessionFactory.create()
    school = first.plan.school
    later = [
        SessionFactory.create(
            plan=first.plan,
            visit=first.visit,
            squad=first.squad,
            starts_at=school.slot_instant(day, 0),
        )
        for day in (1, 2)
    ]
    return school, [first, *later]


def test_what_has_begun_is_past_and_all_is_published() -> None:
    school, sessions = published_school()
    before = school.slot_instant(1, 0) + timedelta(minutes=1)
    problem = problem_for(school, plan_again=sessions[0].plan, kept_before=before)
    assert [(each.day, each.slot) for each in problem.past] == [(0, 0), (1, 0)]
    assert [each.day for each in problem.published] == [0, 1, 2]
    assert problem.pinned == ()


def test_nothing_new_begins_in_the_past() -> None:
    school, sessions = published_school()
    before = school.slot_instant(0, 2)
    problem = problem_for(school, plan_again=sessions[0].plan, kept_before=before)
    assert problem.now == (0, 2)


def test_a_new_search_keeps_what_is_pinned_and_knows_nothing_published() -> None:
    school, sessions = published_school()
    Session.objects.filter(pk=sessions[1].pk).update(is_pinned=True)
    problem = problem_for(school, plan_again=sessions[0].plan)
    assert [each.day for each in problem.pinned] == [1]
    assert (problem.past, problem.published) == ((), ())


def test_pins_of_another_draft_stay_and_its_other_sessions_do_not() -> None:
    school, sessions = published_school()
    draft = PlanFactory.create(school=school)
    for number, pinned in enumerate([True, False], 3):
        SessionFactory.create(
            plan=draft,
            squad=sessions[0].squad,
            is_pinned=pinned,
            starts_at=school.slot_instant(2, number),
        )
    problem = problem_for(school, plan_again=draft, kept_before=school.slot_instant(1, 0))
    assert [(each.day, each.slot) for each in problem.pinned] == [(2, 3)]
    assert [(each.day, each.slot) for each in problem.published] == [(0, 0), (1, 0), (2, 0)]


def test_a_pin_that_is_over_is_past_and_no_pin() -> None:
    school, sessions = published_school()
    Session.objects.update(is_pinned=True)
    problem = problem_for(
        school, plan_again=sessions[0].plan, kept_before=school.slot_instant(2, 0)
    )
    assert [each.day for each in problem.pinned] == [2]


def test_bays_and_people_of_what_is_over_are_there_even_if_they_no_longer_are() -> None:
    school, sessions = published_school()
    person, bay = sessions[0].instructor, sessions[0].bay
    offer_hours(person, school)
    Bay.objects.filter(pk=bay.pk).update(is_open=False)
    Staff.objects.filter(pk=person.staff_id).update(teaches=False, owns=True)
    problem = problem_for(
        school, plan_again=sessions[0].plan, kept_before=school.slot_instant(1, 0)
    )
    closed = next(each for each in problem.bays if each.key == str(bay.pk)).closed
    hers = next(each for each in problem.instructors if each.key == str(person.pk)).available
    assert closed == set(all_slots(school))
    assert hers == set()


def test_sessions_of_a_visit_that_the_programme_lost_bind_nothing() -> None:
    """It cannot be deleted, as there are sessions of it, but it can be given to another."""
    school, sessions = published_school()
    Visit.objects.update(programme=ProgrammeFactory.create())
    before = school.slot_instant(1, 0)
    problem = problem_for(school, plan_again=sessions[0].plan, kept_before=before)
    assert (problem.past, problem.pinned, problem.published) == ((), (), ())


def test_squads_that_are_together_have_all_their_instructors() -> None:
    session = SessionFactory.create(is_pinned=True, visit__group_ratio=12)
    other = SessionFactory.create(
        plan=session.plan, visit=session.visit, bay=session.bay, is_pinned=True
    )
    problem = problem_for(session.plan.school, plan_again=session.plan)
    both = tuple(sorted(str(each.instructor_id) for each in (session, other)))
    assert [each.instructors for each in problem.pinned] == [both, both]
    assert {each.squad for each in problem.pinned} == {str(session.squad_id), str(other.squad_id)}


def test_planning_again_asks_once_more() -> None:
    school, sessions = published_school()
    before = school.slot_instant(1, 0)

    def counted() -> int:
        with CaptureQueriesContext(connection) as queries:
            problem_for(school, plan_again=sessions[0].plan, kept_before=before)
        return len(queries)

    few = counted()
    SessionFactory.create(plan=sessions[0].plan)
    TroubleFactory.create(starts_at=before, ends_at=before + timedelta(hours=1))
    assert few == counted() == 16


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
