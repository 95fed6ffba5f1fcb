"""Attendees are put into squads."""

from datetime import date
from types import SimpleNamespace
from typing import Any

import pytest
from django.utils import timezone

from lessons.actions import squads
from lessons.actions.squads import make_squads
from lessons.models import Squad, SquadMember
from lessons.planner import squads as planner
from lessons.queries.squads import squads_of, without_squad
from school.models import Enrolment, School
from school.signals import enrolment_cancelled
from tests.factories import EnrolmentFactory, SchoolFactory
from tests.lessons.factories import (
    BayFactory,
    SessionFactory,
    SquadFactory,
    SquadMemberFactory,
    StationFactory,
    VisitFactory,
)

pytestmark = pytest.mark.django_db


def school_of(attendees: int) -> School:
    school: School = SchoolFactory.create()
    for _ in range(attendees):
        EnrolmentFactory.create(school=school)
    return school


def few_left_handed_bays(school: School) -> None:
    """One bay of three suits left-handers, at a station where it matters."""
    station = StationFactory.create(slug="swing", is_handed=True)
    VisitFactory.create(programme=school.programme, station=station)
    BayFactory.create(features=["left-handed"])
    BayFactory.create_batch(2)


def sizes(school: School) -> list[int]:
    return [len(squad.members) for squad in squads_of(school)]


@pytest.mark.parametrize(
    ("attendees", "expected"), [(0, []), (1, [1]), (4, [4]), (5, [2, 3]), (9, [3, 3, 3])]
)
def test_squads_are_as_few_and_as_even_as_can_be(attendees: int, expected: list[int]) -> None:
    school = school_of(attendees)
    make_squads(school=school, actor=None)
    assert sorted(sizes(school)) == expected
    assert without_squad(school) == []


def test_who_waits_or_has_cancelled_is_in_no_squad() -> None:
    school = school_of(1)
    EnrolmentFactory.create(school=school, state=Enrolment.State.WAITING, seat=None)
    make_squads(school=school, actor=None)
    assert sizes(school) == [1]


def test_a_programme_of_smaller_squads_is_heeded() -> None:
    school = school_of(4)
    school.programme.squad_size = 2
    make_squads(school=school, actor=None)
    assert sizes(school) == [2, 2]


def test_making_squads_again_keeps_their_rows() -> None:
    school = school_of(8)
    make_squads(school=school, actor=None)
    before = set(school.squads.values_list("pk", flat=True))
    make_squads(school=school, actor=None)
    assert set(school.squads.values_list("pk", flat=True)) == before


def test_a_squad_left_over_goes() -> None:
    squad = SquadMemberFactory.create(squad__number=3).squad
    make_squads(school=squad.school, actor=None)
    assert [each.number for each in squad.school.squads.all()] == [1]


def test_a_squad_of_a_published_timetable_stays_even_if_empty() -> None:
    """What was recorded in its sessions refers to them."""
    session = SessionFactory.create(squad__number=3)
    make_squads(school=session.plan.school, actor=None)
    assert Squad.objects.filter(pk=session.squad_id).exists()


def test_left_handers_and_minors_keep_company() -> None:
    """Left-handed bays are few, and a minor is better not alone among adults."""
    school = school_of(6)
    few_left_handed_bays(school)
    for born, handedness in ((date(2012, 1, 1), "right"), (None, "left")):
        for _ in range(2):
            EnrolmentFactory.create(
                school=school, golfer__birth_date=born, golfer__handedness=handedness
            )
    make_squads(school=school, actor=None)
    groups = [squad.members for squad in squads_of(school)]
    assert sum(any(golfer.handedness == "left" for golfer in group) for group in groups) == 1
    assert sum(any(golfer.birth_date for golfer in group) for group in groups) == 1


def test_who_comes_and_goes_while_squads_are_thought_about(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    school = school_of(2)

    def divide_while_one_leaves_and_one_comes(*args: Any) -> Any:
        found = planner.make_squads(*args)
        school.enrolments.filter(seat=1).update(
            state="cancelled", seat=None, cancelled_at=timezone.now()
        )
        EnrolmentFactory.create(school=school, seat=3)
        return found

    thinker = SimpleNamespace(make_squads=divide_while_one_leaves_and_one_comes)
    monkeypatch.setattr(squads, "planner", thinker)
    make_squads(school=school, actor=None)
    assert sorted(m.enrolment.seat or 0 for m in SquadMember.objects.all()) == [2, 3]


def test_newcomers_fill_places_and_nobody_else_moves() -> None:
    member = SquadMemberFactory.create()
    school = member.squad.school
    SquadMemberFactory.create_batch(3, squad=member.squad)
    smaller = SquadFactory.create(school=school)
    SquadMemberFactory.create(squad=smaller)
    newcomer = EnrolmentFactory.create(school=school)
    make_squads(school=school, actor=None, remake=False)
    assert newcomer.squad_member.squad == smaller
    member.refresh_from_db()
    assert sizes(school) == [4, 2]


def test_a_left_handed_newcomer_joins_left_handers() -> None:
    left = SquadMemberFactory.create(enrolment__golfer__handedness="left")
    SquadMemberFactory.create(squad=left.squad)
    SquadMemberFactory.create(squad__school=left.squad.school)
    few_left_handed_bays(left.squad.school)
    newcomer = EnrolmentFactory.create(school=left.squad.school, golfer__handedness="left")
    make_squads(school=left.squad.school, actor=None, remake=False)
    assert newcomer.squad_member.squad == left.squad


def test_newcomers_without_room_make_a_squad_of_their_own() -> None:
    squad = SquadFactory.create()
    SquadMemberFactory.create_batch(4, squad=squad)
    EnrolmentFactory.create(school=squad.school)
    make_squads(school=squad.school, actor=None, remake=False)
    assert sizes(squad.school) == [4, 1]


def test_a_freed_place_is_used_again() -> None:
    squad = SquadFactory.create()
    first, *_ = SquadMemberFactory.create_batch(4, squad=squad)
    first.delete()
    newcomer = EnrolmentFactory.create(school=squad.school)
    make_squads(school=squad.school, actor=None, remake=False)
    assert newcomer.squad_member.place == first.place


def test_giving_up_a_seat_frees_the_place() -> None:
    member = SquadMemberFactory.create()
    enrolment_cancelled.send(sender=Enrolment, enrolment=member.enrolment, actor=None)
    assert not member.squad.members.exists()
