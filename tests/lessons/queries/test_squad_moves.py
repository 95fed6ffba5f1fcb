"""What a change of squads by hand is said to break or worsen."""

from datetime import date

import pytest

from lessons.actions.squads import wish
from lessons.models import Squad
from lessons.queries.squad_moves import Change, move_considered, swap_considered
from school.models import Enrolment, School
from tests.factories import EnrolmentFactory, SchoolFactory
from tests.lessons.factories import (
    BayFactory,
    PlanFactory,
    SessionFactory,
    SquadFactory,
    SquadMemberFactory,
    StationFactory,
    VisitFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def school() -> School:
    """Three squads: Ann 10, Bo 20, Cy 30; Di 20, Ed 20, Flo 20, Gus 20; Hal 20, Ida 20."""
    made: School = SchoolFactory.create()
    for names in ("Ann Bo Cy", "Di Ed Flo Gus", "Hal Ida"):
        squad = SquadFactory.create(school=made)
        for name in names.split():
            index = {"Ann": 10, "Cy": 30}.get(name, 20)
            SquadMemberFactory.create(
                squad=squad,
                enrolment__golfer__full_name=name,
                enrolment__golfer__handicap_index=index,
            )
    return made


def who(name: str) -> Enrolment:
    return Enrolment.objects.select_related("golfer").get(golfer__full_name=name)


def moved(school: School, name: str, number: int | None) -> Change:
    squad = None if number is None else Squad.objects.get(school=school, number=number).pk
    return move_considered(school, who(name), squad)


def swapped(school: School, one: str, other: str) -> Change:
    return swap_considered(school, who(one), who(other))


def change(name: str, **fields: object) -> None:
    golfer = who(name).golfer
    for key, value in fields.items():
        setattr(golfer, key, value)
    golfer.save(update_fields=list(fields))


def test_a_full_squad_takes_nobody(school: School) -> None:
    assert moved(school, "Bo", 2).refusals == ("Squad 2 would have 5 golfers; 4 are the most.",)


def test_a_spread_that_grows_is_a_warning(school: School) -> None:
    found = moved(school, "Ann", 3)
    assert found.warnings == ("The spread of the mean handicaps grows from 0.0 to 8.3.",)
    assert found.refusals == ()


def test_a_spread_that_shrinks_is_no_warning(school: School) -> None:
    change("Hal", handicap_index=50)
    found = moved(school, "Ann", 3)
    assert not found.warnings
    assert found.notes[0] == "The spread of the mean handicaps shrinks from 15.0 to 6.7."


def test_a_pair_kept_together_goes_together(school: School) -> None:
    wish(one=who("Hal"), other=who("Ida"), kind="together", actor=None)
    found = moved(school, "Hal", 1)
    assert found.refusals == ("Squad 1 would have 5 golfers; 4 are the most.",)
    found = moved(school, "Ida", None)
    assert found.golfers == ["Ida", "Hal"]
    assert "Hal goes with Ida: they are kept together." in found.notes
    assert "Nobody would be left in Squad 3." in found.notes


def test_an_exchange_that_splits_a_pair_is_refused(school: School) -> None:
    wish(one=who("Ann"), other=who("Bo"), kind="together", actor=None)
    assert swapped(school, "Ann", "Di").refusals == (
        "Ann and Bo are kept together and would be split.",
    )


def test_a_minor_is_not_split_from_who_looks_after_them(school: School) -> None:
    change("Bo", birth_date=date(2015, 1, 1), guardian_name="Ann", guardian_email="")
    assert swapped(school, "Bo", "Di").refusals == (
        "Bo and Ann would be split: the one looks after the other.",
    )


def test_a_pair_kept_apart_is_a_warning(school: School) -> None:
    wish(one=who("Ida"), other=who("Bo"), kind="apart", actor=None)
    assert moved(school, "Bo", 3).warnings == ("Bo and Ida are to be kept apart.",)


def test_a_minor_who_would_be_alone_is_a_warning(school: School) -> None:
    for name in ("Hal", "Ida"):
        change(name, birth_date=date(2015, 1, 1))
    assert moved(school, "Hal", 1).warnings == (
        "Hal would be the only one under 18 in Squad 1.",
        "Ida would be the only one under 18 in Squad 3.",
    )


def test_left_handers_in_more_squads_than_the_bays_serve(school: School) -> None:
    station = StationFactory.create(slug="impact", is_handed=True)
    VisitFactory.create(programme=school.programme, station=station)
    BayFactory.create(features=["left-handed"])
    BayFactory.create_batch(5)
    for name in ("Hal", "Ida"):
        change(name, handedness="left")
    assert moved(school, "Hal", 1).warnings == (
        "Left-handers would be in 2 squads. At Impact 1 of 6 bays suits them, which serves"
        " 1 such squad.",
    )


def test_a_published_session_in_a_bay_that_does_not_suit(school: School) -> None:
    change("Hal", handedness="left")
    BayFactory.create_batch(3, features=["left-handed"])
    session = SessionFactory.create(
        plan__school=school,
        squad=school.squads.get(number=1),
        visit__station__slug="impact",
        visit__station__is_handed=True,
        visit__name="Intake",
    )
    found = moved(school, "Hal", 1)
    assert found.warnings == (
        f"Hal is left-handed, and Squad 1 has Intake in {session.bay}, which is not, on Friday at"
        " 09:00.",
    )
    assert found.notes[-1] == (
        "A timetable is published: the sessions of Hal are then those of Squad 1."
    )


def test_a_new_squad_has_no_sessions(school: School) -> None:
    PlanFactory.create(school=school, published=True)
    assert "plan again" in moved(school, "Ann", None).notes[-1]


def test_a_move_that_means_nothing_is_refused(school: School) -> None:
    assert moved(school, "Ann", 1).refusals == ("Ann is in Squad 1 already.",)
    stranger = EnrolmentFactory.create(golfer__full_name="Zoe")
    assert move_considered(school, stranger, None).refusals == ("Zoe has no seat in this school.",)
    assert move_considered(school, who("Ann"), 999).refusals == (
        "That squad is not there any more.",
    )
    assert swapped(school, "Ann", "Ann").refusals == ("Choose two attendees who have a squad.",)
