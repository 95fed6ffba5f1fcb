"""The page of squads: who is where, what it is worth, and what is not as it should be."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lessons.actions.squads import move_attendee, wish
from lessons.models import Squad
from lessons.queries.squads import squads_page
from school.models import Account, Enrolment, School
from tests.factories import EnrolmentFactory
from tests.lessons.factories import (
    BayFactory,
    SessionFactory,
    SquadFactory,
    SquadMemberFactory,
    StationFactory,
    VisitFactory,
)

pytestmark = pytest.mark.django_db
TWELVE = date(2015, 1, 1)


@pytest.fixture
def squad() -> Squad:
    """Two golfers of 12 and 20.5, the first of two squads."""
    made: Squad = SquadFactory.create()
    for index in ("12", "20.5"):
        SquadMemberFactory.create(squad=made, enrolment__golfer__handicap_index=index)
    SquadMemberFactory.create(squad=SquadFactory.create(school=made.school))
    return made


def members(school: School) -> list[Enrolment]:
    return list(school.enrolments.order_by("seat"))


def test_a_card_has_the_mean_and_the_room_of_its_squad(squad: Squad) -> None:
    first, second = squads_page(squad.school).sheets
    assert (first.name, first.mean, first.free) == ("Squad 1", Decimal("16.2"), 2)
    assert (second.mean, second.free) == (Decimal("18.0"), 3)


def test_before_and_after_the_last_change_stand_side_by_side(
    squad: Squad, front_desk: Account
) -> None:
    assert squads_page(squad.school).last is None
    mover = members(squad.school)[0]
    move_attendee(enrolment=mover, squad=squad.school.squads.get(number=2), actor=front_desk)
    page = squads_page(squad.school)
    assert page.last is not None
    assert (page.last.who, page.last.words.partition(" to ")[2]) == (
        "Dana Desk",
        f"Squad 2 in {squad.school}",
    )
    assert [(each.was, each.now) for each in page.figures[:2]] == [
        ("1.8", "5.5"),
        ("2 and 1", "2 and 1"),
    ]


def test_what_is_not_as_it_should_be_is_named(squad: Squad) -> None:
    one, other, third = members(squad.school)
    wish(one=one, other=other, kind="apart", actor=None)
    wish(one=one, other=third, kind="together", actor=None)
    third.golfer.birth_date = TWELVE
    third.golfer.save(update_fields=["birth_date"])
    squad.school.programme.squad_size = 1
    assert squads_page(squad.school).troubles == (
        "Squad 1 has 2 golfers; 1 are the most.",
        f"{one.golfer} and {third.golfer} are not together.",
        f"{one.golfer} and {other.golfer} are not apart.",
        f"{third.golfer} is under 18 and alone among adults.",
    )


def test_left_handers_of_more_squads_than_the_bays_serve(squad: Squad) -> None:
    station = StationFactory.create(slug="impact", is_handed=True)
    VisitFactory.create(programme=squad.school.programme, station=station)
    BayFactory.create(features=["left-handed"])
    BayFactory.create()
    for each in members(squad.school)[1:]:
        each.golfer.handedness = "left"
        each.golfer.save(update_fields=["handedness"])
    page = squads_page(squad.school)
    assert page.troubles == (
        "Left-handers are in 2 squads, and the bays that suit them at Impact serve 1.",
    )
    assert page.bays == (
        "At Impact, 1 of 2 open bays suits left-handers: room for 1 squad with a left-hander."
    )


def test_a_minor_whose_guardian_may_be_here_is_a_suggestion_until_it_is_a_wish(
    squad: Squad,
) -> None:
    adult = EnrolmentFactory.create(school=squad.school, golfer__full_name="Ann Reed")
    minor = EnrolmentFactory.create(
        school=squad.school,
        golfer__full_name="Tim Reed",
        golfer__birth_date=TWELVE,
        golfer__guardian_name="Per Reed",
        keep_together="my aunt",
    )
    page = squads_page(squad.school)
    assert page.perhaps == (
        "Tim Reed is under 18, and Ann Reed may be who looks after them. If so, keep them"
        " together.",
    )
    assert page.asked == (("Tim Reed", "my aunt"),)
    assert [each.golfer.full_name for each in page.without] == ["Ann Reed", "Tim Reed"]
    wish(one=minor, other=adult, kind="together", actor=None)
    assert squads_page(squad.school).perhaps == ()


def test_a_squad_kept_for_its_sessions_is_shown_empty() -> None:
    session = SessionFactory.create()
    session.squad.members.all().delete()
    (sheet,) = squads_page(session.plan.school).sheets
    assert (sheet.members, sheet.mean, sheet.free) == ((), None, 4)


def test_it_takes_nine_queries_for_any_number_of_golfers(squad: Squad) -> None:
    station = StationFactory.create(slug="impact", is_handed=True)
    VisitFactory.create(programme=squad.school.programme, station=station)
    for _twice in range(2):
        BayFactory.create_batch(2, features=["left-handed"])
        SquadMemberFactory.create_batch(3, squad=SquadFactory.create(school=squad.school))
        one, other = members(squad.school)[-2:]
        wish(one=one, other=other, kind="apart", actor=None)
        school = School.objects.select_related("programme").get(pk=squad.school_id)
        with CaptureQueriesContext(connection) as queries:
            squads_page(school)
        assert len(queries) == 9
