"""Where a session could go, cell by cell of the grid."""

import pytest

from lessons.models import Plan, Session
from lessons.queries.grid import Column, grid_of
from lessons.queries.places import GIVES_IT, Place, cells_for, names
from tests.house_by_hand import movable
from tests.lessons.factories import (
    BayFactory,
    InstructorFactory,
    SquadMemberFactory,
    offer_hours,
    talk,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def session() -> Session:
    return movable()


def cells(session: Session, by: str) -> dict[tuple[int, int, int], Place]:
    columns = grid_of(session.plan, by).columns  # type: ignore[arg-type]
    found = cells_for(session, by, columns)  # type: ignore[arg-type]
    return {(place.day, place.slot, place.column): place for place in found}


def another(session: Session, *, free: bool = True) -> int:
    """A second instructor of the same station."""
    made = InstructorFactory.create(teaches=[session.visit.station])
    if free:
        offer_hours(made, session.plan.school)
    return int(made.pk)


def test_a_session_keeps_its_bay_and_its_instructor_where_it_can(session: Session) -> None:
    BayFactory.create(name="A bay before it")
    another(session)
    place = cells(session, "squad")[1, 3, session.squad_id]
    assert (place.bay, place.instructor) == (session.bay_id, session.instructor_id)


def test_else_it_gets_another_bay_and_then_another_instructor(session: Session) -> None:
    other, person = BayFactory.create(), another(session)
    session.instructor.hours.all().delete()
    type(session.bay).objects.filter(pk=session.bay_id).update(is_open=False)
    place = cells(session, "squad")[1, 3, session.squad_id]
    assert (place.bay, place.instructor) == (other.pk, person)


def test_by_bay_every_bay_stands_for_itself(session: Session) -> None:
    other = BayFactory.create()
    found = cells(session, "bay")
    assert found[0, 2, other.pk].bay == other.pk
    assert found[0, 2, session.bay_id].bay == session.bay_id


def test_by_instructor_it_is_said_what_keeps_each_from_it(session: Session) -> None:
    free, away = another(session), another(session, free=False)
    found = cells(session, "instructor")
    assert found[0, 2, free].instructor == free
    assert not found[0, 2, away].fits
    assert names().instructors[away] in found[0, 2, away].words[0]


def test_where_nobody_can_all_columns_say_why(session: Session) -> None:
    session.instructor.hours.all().delete()
    found = cells(session, "instructor")
    assert all(place.words for place in found.values())


def test_a_talk_goes_with_all_its_squads_and_nobody_gives_it_twice() -> None:
    first, second = talk(squads=2, instructors=2, visit__group_ratio=4)
    Plan.objects.update(is_published=False, published_at=None)
    for each in (first, second):
        each.instructor.stations.add(each.visit.station)
        offer_hours(each.instructor, each.plan.school)
        SquadMemberFactory.create_batch(3, squad=each.squad)
    type(first.bay).objects.update(capacity=2)
    by_squad = cells(first, "squad")
    assert {column for _, _, column in by_squad} == {first.squad_id, second.squad_id}
    assert cells(first, "instructor")[0, 3, second.instructor_id].words == (GIVES_IT,)


def test_what_a_session_gets_is_said_by_name(session: Session) -> None:
    place = cells(session, "squad")[0, 2, session.squad_id]
    assert names().of(place) == f"{session.bay.name} with {session.instructor}"
    assert names().of(Place(0, 0, 1, words=("No.",))) == ""


def test_columns_of_a_grid_are_all_that_can_be_used(session: Session) -> None:
    other, person = BayFactory.create(), another(session)
    BayFactory.create(is_open=False)
    bays = {column.pk for column in grid_of(session.plan, "bay").columns}
    assert bays == {session.bay_id, other.pk}
    people = {column.pk for column in grid_of(session.plan, "instructor").columns}
    assert people == {session.instructor_id, person}
    assert grid_of(session.plan, "squad").columns == (Column(session.squad_id, str(session.squad)),)


def test_a_session_off_the_slots_still_stands_in_the_grid(session: Session) -> None:
    begins, ends = (session.plan.school.slot_instant(0, slot) for slot in (4, 5))
    lunch = begins - (ends - begins)
    Session.objects.update(starts_at=lunch, ends_at=begins)
    rows = grid_of(session.plan, "squad").days[0].rows
    assert [row.slot for row in rows if row.cells[0].cards] == [3]


def test_a_bay_is_free_again_once_the_squad_has_moved_on(session: Session) -> None:
    session.ends_at = session.plan.school.slot_instant(0, 3)
    session.save(update_fields=["ends_at"])
    type(session.visit).objects.update(slots=3, bay_slots=1)
    rows = grid_of(Plan.objects.get(), "bay").days[0].rows
    assert [bool(row.cells[0].going_on) for row in rows[:3]] == [False, False, False]
    rows = grid_of(Plan.objects.get(), "squad").days[0].rows
    assert [bool(row.cells[0].going_on) for row in rows[:3]] == [False, True, True]
