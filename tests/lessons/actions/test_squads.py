"""Attendees are put into squads."""

from datetime import date
from typing import Any

import pytest
from django.utils import timezone

from lessons.actions.squads import drop_wish, make_squads, move_attendee, swap, wish
from lessons.errors import SquadMoveRefused, SquadsRefused, WishRefused
from lessons.models import Squad, SquadMember, SquadWish
from lessons.planner.company import squads as planner
from lessons.queries.division import division_of
from lessons.queries.squads import figures, squads_of, without_squad
from school.errors import WrongState
from school.models import Account, AuditEntry, Enrolment, School
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
        found = think(*args)
        school.enrolments.filter(seat=1).update(
            state="cancelled", seat=None, cancelled_at=timezone.now()
        )
        EnrolmentFactory.create(school=school, seat=3)
        return found

    think = planner.make_squads
    monkeypatch.setattr(planner, "make_squads", divide_while_one_leaves_and_one_comes)
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


def pair_of(school: School, *places: int) -> list[Enrolment]:
    members = list(SquadMember.objects.filter(squad__school=school).select_related("enrolment"))
    return [members[place].enrolment for place in places]


def two_squads() -> School:
    """Three in the first squad, two in the second."""
    first = SquadFactory.create()
    SquadMemberFactory.create_batch(3, squad=first)
    second = SquadFactory.create(school=first.school)
    SquadMemberFactory.create_batch(2, squad=second)
    return first.school


def test_wishes_are_kept_when_squads_are_made() -> None:
    school = school_of(8)
    first, second, *_rest, last = school.enrolments.all()
    wish(one=last, other=first, kind="together", actor=None)
    wish(one=first, other=second, kind="apart", actor=None)
    make_squads(school=school, actor=None)
    squad = {each.pk: each.squad_member.squad_id for each in school.enrolments.all()}
    assert squad[first.pk] == squad[last.pk] != squad[second.pk]


def test_wishes_that_cannot_be_kept_leave_the_squads_as_they_were() -> None:
    """The wishes were noted when squads were larger."""
    school = school_of(3)
    make_squads(school=school, actor=None)
    first, second, third = school.enrolments.all()
    for other in (second, third):
        wish(one=first, other=other, kind="together", actor=None)
    school.programme.squad_size = 2
    with pytest.raises(SquadsRefused, match="to be together, and a squad has 2 places"):
        make_squads(school=school, actor=None)
    assert sizes(school) == [3]


def test_a_minor_is_put_with_who_looks_after_them() -> None:
    school = school_of(6)
    carer = EnrolmentFactory.create(school=school, golfer__full_name="Ann Reed")
    minor = EnrolmentFactory.create(
        school=school, golfer__birth_date=date(2015, 1, 1), golfer__guardian_name="Ann Reed"
    )
    make_squads(school=school, actor=None)
    assert minor.squad_member.squad == carer.squad_member.squad


def test_left_handers_are_not_put_together_where_bays_are_plentiful() -> None:
    """The best four of eight are left-handed; together they would be far from the others."""
    school = SchoolFactory.create()
    for index in range(8):
        EnrolmentFactory.create(
            school=school,
            golfer__handicap_index=4 * index,
            golfer__handedness="left" if index < 4 else "right",
        )
    few_left_handed_bays(school)
    make_squads(school=school, actor=None)
    assert figures(division_of(school))["left"] == "1"
    BayFactory.create(features=["left-handed"])
    make_squads(school=school, actor=None)
    found = figures(division_of(school))
    assert (found["left"], found["spread"]) == ("2", "0.0")


def test_a_closed_school_keeps_its_squads() -> None:
    school = two_squads()
    School.objects.filter(pk=school.pk).update(state="closed", closed_at=timezone.now())
    (member,) = pair_of(school, 0)
    for act in (
        lambda: make_squads(school=school, actor=None),
        lambda: move_attendee(enrolment=member, squad=None, actor=None),
    ):
        with pytest.raises(WrongState, match="squads stay as they were"):
            act()
    assert sizes(school) == [3, 2]


def test_a_move_takes_the_first_free_place_and_is_noted(front_desk: Account) -> None:
    school = two_squads()
    (mover,) = pair_of(school, 0)
    second = school.squads.get(number=2)
    move_attendee(enrolment=mover, squad=second, actor=front_desk)
    assert sizes(school) == [2, 3]
    assert SquadMember.objects.get(enrolment=mover).place == 3
    entry = AuditEntry.objects.get(verb="move_attendee")
    assert (entry.detail["before"]["sizes"], entry.detail["after"]["sizes"]) == ("3 and 2",) * 2


def test_a_move_that_would_be_the_fifth_is_refused() -> None:
    school = two_squads()
    SquadMemberFactory.create(squad=school.squads.get(number=1))
    (mover,) = pair_of(school, 4)
    with pytest.raises(SquadMoveRefused, match="would have 5 golfers"):
        move_attendee(enrolment=mover, squad=school.squads.get(number=1), actor=None)
    assert sizes(school) == [4, 2]


def test_the_last_who_leaves_a_squad_takes_it_away() -> None:
    school = two_squads()
    for mover in pair_of(school, 3, 4):
        move_attendee(enrolment=mover, squad=None, actor=None)
    assert [squad.number for squad in school.squads.all()] == [1, 3, 4]


def test_two_are_exchanged() -> None:
    school = two_squads()
    one, other = pair_of(school, 0, 4)
    before = [SquadMember.objects.get(enrolment=each).squad_id for each in (one, other)]
    swap(one=one, other=other, actor=None)
    after = [SquadMember.objects.get(enrolment=each).squad_id for each in (other, one)]
    assert (after, sizes(school)) == (before, [3, 2])


def test_an_exchange_within_a_squad_is_refused() -> None:
    school = two_squads()
    one, other = pair_of(school, 0, 1)
    with pytest.raises(SquadMoveRefused, match="are in one squad"):
        swap(one=one, other=other, actor=None)


def test_a_wish_is_noted_once_whoever_is_named_first() -> None:
    one, other = pair_of(two_squads(), 0, 1)
    made = wish(one=other, other=one, kind="apart", actor=None)
    assert (made.one, made.other) == (one, other)
    with pytest.raises(WishRefused, match="is a wish about"):
        wish(one=one, other=other, kind="apart", actor=None)
    drop_wish(wish=made, actor=None)
    assert not SquadWish.objects.exists()


def test_a_wish_is_about_two_attendees_of_one_school() -> None:
    (one,) = pair_of(two_squads(), 0)
    waiting = EnrolmentFactory.create(school=one.school, state="waiting", seat=None)
    for other in (one, waiting, EnrolmentFactory.create()):
        with pytest.raises(WishRefused, match="two attendees who have a seat"):
            wish(one=one, other=other, kind="together", actor=None)


def test_wishes_that_contradict_others_are_refused() -> None:
    one, other, third = pair_of(two_squads(), 0, 1, 2)
    wish(one=one, other=other, kind="together", actor=None)
    wish(one=one, other=third, kind="apart", actor=None)
    with pytest.raises(WishRefused, match="both together and apart"):
        wish(one=other, other=third, kind="together", actor=None)


def test_a_fifth_is_not_wished_into_a_group() -> None:
    one, *others = pair_of(two_squads(), 0, 1, 2, 3, 4)
    for other in others[:3]:
        wish(one=one, other=other, kind="together", actor=None)
    with pytest.raises(WishRefused, match="would be kept together, and a squad has 4 places"):
        wish(one=one, other=others[3], kind="together", actor=None)


def test_giving_up_a_seat_drops_the_wishes() -> None:
    one, other, third = pair_of(two_squads(), 0, 1, 2)
    wish(one=one, other=other, kind="together", actor=None)
    kept = wish(one=other, other=third, kind="apart", actor=None)
    enrolment_cancelled.send(sender=Enrolment, enrolment=one, actor=None)
    assert list(SquadWish.objects.all()) == [kept]
