"""The invariants of the timetable, tried by going round the forms."""

from datetime import UTC, datetime, timedelta

import pytest

from lessons.models import (
    Bay,
    Hold,
    Hours,
    Place,
    Plan,
    PlanEdit,
    Qualification,
    Squad,
    SquadMember,
    SquadWish,
    Trouble,
    Walk,
)
from tests.constraints import refused
from tests.factories import EnrolmentFactory, ProgrammeFactory, SchoolFactory
from tests.lessons.factories import (
    BayFactory,
    InstructorFactory,
    PlaceFactory,
    PlanFactory,
    SessionFactory,
    SquadFactory,
    SquadMemberFactory,
    StationFactory,
    VisitFactory,
)

pytestmark = pytest.mark.django_db
NINE = datetime(2027, 5, 7, 9, tzinfo=UTC)


def test_a_bay_is_held_once_a_quarter_hour() -> None:
    bay = BayFactory.create()
    Hold.objects.create(bay=bay, quarter_hour=NINE, note="lesson")
    with refused():
        Hold.objects.create(bay=bay, quarter_hour=NINE, note="repair")


def test_a_bay_for_several_squads_is_held_part_by_part() -> None:
    bay = BayFactory.create(capacity=2)
    for part in (1, 2):
        Hold.objects.create(bay=bay, part=part, quarter_hour=NINE, note="talk")
    with refused():
        Hold.objects.create(bay=bay, part=2, quarter_hour=NINE, note="repair")


def test_a_bay_holds_at_least_one_squad() -> None:
    with refused():
        BayFactory.create(capacity=0)


def test_an_instructor_is_held_once_a_quarter_hour() -> None:
    instructor = InstructorFactory.create()
    Hold.objects.create(instructor=instructor, quarter_hour=NINE, note="lesson")
    with refused():
        Hold.objects.create(instructor=instructor, quarter_hour=NINE, note="another")


def test_a_squad_is_held_once_a_quarter_hour() -> None:
    session = SessionFactory.create()
    Hold.objects.create(session=session, squad=session.squad, quarter_hour=NINE)
    with refused():
        Hold.objects.create(session=session, squad=session.squad, quarter_hour=NINE)


def test_a_hold_takes_exactly_one_resource() -> None:
    bay, instructor = BayFactory.create(), InstructorFactory.create()
    with refused():
        Hold.objects.create(bay=bay, instructor=instructor, quarter_hour=NINE, note="both")
    with refused():
        Hold.objects.create(quarter_hour=NINE, note="neither")


def test_a_hold_without_a_session_says_what_for() -> None:
    with refused():
        Hold.objects.create(bay=BayFactory.create(), quarter_hour=NINE)


def test_a_squad_has_no_place_for_a_fifth() -> None:
    squad = SquadFactory.create()
    SquadMemberFactory.create_batch(4, squad=squad)
    with refused():
        SquadMemberFactory.create(squad=squad, place=5)


def test_a_place_in_a_squad_is_taken_once() -> None:
    member = SquadMemberFactory.create(place=2)
    with refused():
        SquadMemberFactory.create(squad=member.squad, place=2)


def test_an_attendee_is_in_one_squad() -> None:
    member = SquadMemberFactory.create()
    with refused():
        SquadMember.objects.create(
            squad=SquadFactory.create(school=member.squad.school),
            enrolment=member.enrolment,
            place=1,
        )


def test_squads_are_numbered_from_one_and_once() -> None:
    school = SchoolFactory.create()
    Squad.objects.create(school=school, number=1)
    for number in (0, 1):
        with refused():
            Squad.objects.create(school=school, number=number)


def test_a_wish_is_kept_once_and_in_order_of_enrolment() -> None:
    one, other = EnrolmentFactory.create_batch(2, school=SchoolFactory.create())
    SquadWish.objects.create(one=one, other=other, kind="together")
    for pair in ((one, other), (other, one), (one, one)):
        with refused():
            SquadWish.objects.create(one=pair[0], other=pair[1], kind="apart")


def test_a_wish_is_for_company_or_against_it() -> None:
    one, other = EnrolmentFactory.create_batch(2, school=SchoolFactory.create())
    with refused():
        SquadWish.objects.create(one=one, other=other, kind="perhaps")


def test_a_trouble_ends_after_it_starts() -> None:
    with refused():
        Trouble.objects.create(kind="rain", starts_at=NINE, ends_at=NINE)


def test_a_trouble_names_whom_it_is_about_and_nobody_else() -> None:
    about = {
        "instructor": InstructorFactory.create(),
        "bay": BayFactory.create(),
        "enrolment": EnrolmentFactory.create(),
    }
    later = NINE + timedelta(hours=1)
    for kind, needs in (("instructor", "instructor"), ("bay", "bay"), ("golfer", "enrolment")):
        with refused():
            Trouble.objects.create(kind=kind, starts_at=NINE, ends_at=later)
        for extra in about.keys() - {needs}:
            with refused():
                Trouble.objects.create(
                    kind=kind,
                    starts_at=NINE,
                    ends_at=later,
                    **{needs: about[needs], extra: about[extra]},
                )
    for who, row in about.items():
        with refused():
            Trouble.objects.create(kind="rain", starts_at=NINE, ends_at=later, **{who: row})
    with refused():
        Trouble.objects.create(kind="flood", starts_at=NINE, ends_at=later)


def test_a_school_has_one_published_plan() -> None:
    plan = PlanFactory.create(published=True)
    with refused():
        PlanFactory.create(published=True, school=plan.school)


def test_a_school_has_one_search_at_a_time() -> None:
    plan = PlanFactory.create(state="queued")
    with refused():
        PlanFactory.create(state="queued", school=plan.school)


def test_only_a_plan_that_is_done_is_published() -> None:
    with refused():
        PlanFactory.create(published=True, state="queued")
    with refused():
        PlanFactory.create(is_published=True, published_at=None)


def test_planning_again_says_from_when() -> None:
    with refused():
        PlanFactory.create(origin=Plan.Origin.REPLAN, kept_before=None)


def test_a_change_by_hand_has_its_own_number() -> None:
    plan = PlanFactory.create()
    PlanEdit.objects.create(plan=plan, number=1, words="First.", before={}, after={})
    with refused():
        PlanEdit.objects.create(plan=plan, number=1, words="Also first.", before={}, after={})


def test_a_squad_begins_one_session_at_a_time() -> None:
    session = SessionFactory.create()
    with refused():
        SessionFactory.create(plan=session.plan, squad=session.squad, starts_at=session.starts_at)


def test_a_session_ends_after_it_starts() -> None:
    with refused():
        SessionFactory.create(starts_at=NINE, ends_at=NINE)


def test_hours_end_after_they_start_and_start_once() -> None:
    instructor = InstructorFactory.create()
    later = NINE + timedelta(hours=1)
    Hours.objects.create(instructor=instructor, starts_at=NINE, ends_at=later)
    for starts_at, ends_at in ((NINE, later), (later, NINE)):
        with refused():
            Hours.objects.create(instructor=instructor, starts_at=starts_at, ends_at=ends_at)


def test_a_qualification_is_given_once() -> None:
    station = StationFactory.create()
    instructor = InstructorFactory.create(teaches=[station])
    with refused():
        Qualification.objects.create(instructor=instructor, station=station)


def test_a_walk_is_kept_once_and_in_slug_order() -> None:
    green, tee = PlaceFactory.create(slug="green"), PlaceFactory.create(slug="tee")
    Walk.objects.create(a=green, b=tee, minutes=4)
    for a, b in ((green, tee), (tee, green), (tee, tee)):
        with refused():
            Walk.objects.create(a=a, b=b, minutes=5)


def test_slugs_tell_bays_and_places_apart() -> None:
    place = PlaceFactory.create(slug="green")
    BayFactory.create(slug="one", place=place)
    with refused():
        Bay.objects.create(slug="one", name="Another", place=place)
    with refused():
        Place.objects.create(slug="green", name="Another")


def test_squads_start_from_one_place() -> None:
    PlaceFactory.create(slug="green", is_base=True)
    with refused():
        PlaceFactory.create(slug="tee", is_base=True)


def test_a_programme_names_each_visit_once() -> None:
    visit = VisitFactory.create(programme=ProgrammeFactory.create(), slug="lesson")
    with refused():
        VisitFactory.create(programme=visit.programme, slug="lesson")


def test_a_station_has_one_intake_but_many_practices() -> None:
    visit = VisitFactory.create(programme=ProgrammeFactory.create(), phase="intake")
    VisitFactory.create_batch(2, programme=visit.programme, phase="practice")
    with refused():
        VisitFactory.create(programme=visit.programme, phase="intake")


@pytest.mark.parametrize(("first", "last"), [(0, 1), (3, 2)])
def test_the_days_of_a_visit_are_in_order(first: int, last: int) -> None:
    programme = ProgrammeFactory.create()
    with refused():
        VisitFactory.create(programme=programme, first_day=first, last_day=last)


@pytest.mark.parametrize(
    "fields",
    [
        {"phase": "intake", "times": 2},
        {"phase": "exit", "times": 2},
        {"phase": "practice", "times": 0},
        {"slots": 2, "bay_slots": 3},
        {"slots": 2, "bay_slots": 0},
        {"group_ratio": 3},
        {"prefers_from": 0, "prefers_to": 2},
        {"prefers_from": 3, "prefers_to": 2},
    ],
)
def test_a_visit_asks_for_what_can_be(fields: dict[str, object]) -> None:
    with refused():
        VisitFactory.create(programme=ProgrammeFactory.create(), **fields)


@pytest.mark.parametrize("given", ["prefers_from", "prefers_to"])
def test_half_a_preference_is_none(given: str) -> None:
    """A comparison with an empty column is unknown, and a check lets the unknown pass."""
    with refused():
        VisitFactory.create(programme=ProgrammeFactory.create(), **{given: 2})


def test_every_named_constraint_is_tried_here() -> None:
    """A new constraint in lessons/models needs a test above and its name in this list."""
    from django.apps import apps

    named = {
        constraint.name
        for model in apps.get_app_config("lessons").get_models()
        for constraint in model._meta.constraints
    }
    of_jobs = {"plan_lease_iff_running", "plan_parked_says_why"}  # tried with the jobs
    assert named - of_jobs == TRIED


TRIED = {
    "bay_holds_a_squad",
    "hold_bay_once",
    "hold_instructor_once",
    "hold_says_what_for",
    "hold_squad_once",
    "hold_takes_one_resource",
    "hours_end_after_they_start",
    "hours_start_once",
    "place_one_base",
    "plan_again_from_a_time",
    "plan_edit_number_once",
    "plan_one_published_a_school",
    "plan_one_search_a_school",
    "plan_published_is_done",
    "qualification_once",
    "session_ends_after_it_starts",
    "session_one_at_a_time",
    "squad_number_from_one",
    "squad_number_once",
    "squad_place_taken_once",
    "squad_places_one_to_four",
    "squad_wish_in_order",
    "squad_wish_kind_known",
    "squad_wish_once_a_pair",
    "trouble_ends_after_it_starts",
    "trouble_names_whom_it_is_about",
    "visit_bay_slots_within",
    "visit_days_in_order",
    "visit_group_holds_a_squad",
    "visit_measured_once_a_phase",
    "visit_one_intake_and_exit_a_station",
    "visit_preferred_slots_in_order",
    "visit_slug_once",
    "walk_in_slug_order",
    "walk_once_a_pair",
}
