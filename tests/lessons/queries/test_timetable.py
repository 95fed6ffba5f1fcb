"""A plan as a grid to be read."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lessons.queries.timetable import timetable_of
from tests.lessons.factories import SessionFactory, VisitFactory, talk

pytestmark = pytest.mark.django_db


def test_a_day_has_a_row_a_slot_and_lunch_before_the_afternoon() -> None:
    day, *_ = timetable_of(SessionFactory.create().plan).days
    assert [row.after_lunch for row in day.rows] == [False] * 4 + [True] + [False] * 3


def test_an_idle_squad_has_an_empty_cell_and_a_busy_one_none_twice() -> None:
    session = SessionFactory.create()
    school = session.plan.school
    SessionFactory.create(
        plan=session.plan,
        visit=VisitFactory.create(programme=school.programme, slots=2),
        starts_at=school.slot_instant(0, 0),
        ends_at=school.slot_instant(0, 2),
    )
    first, second, third, *_ = timetable_of(session.plan).days[0].rows
    assert [cell and cell.rows for cell in first.cells] == [1, 2]
    assert second.cells == (None,)  # the second squad is in the middle of its visit
    assert third.cells == (None, None)


def test_a_session_off_the_grid_gets_a_row_of_its_own() -> None:
    session = SessionFactory.create()
    school = session.plan.school
    school.day_opens = school.day_opens.replace(hour=10)
    day = timetable_of(session.plan).days[0]
    assert len(day.rows) == 9
    assert day.rows[0].cells[0] is not None


def test_a_talk_names_everybody_and_stands_once_in_its_bay() -> None:
    plan = talk(squads=3, instructors=2)[0].plan
    day = timetable_of(plan).days[0]
    assert {(cell.squads, cell.is_talk) for cell in day.cells} == {("Squads 1, 2, 3", True)}
    assert len({cell.instructor for cell in day.cells}) == 1
    ((_, cells),) = day.by_bay()
    assert len(cells) == 1


def test_squads_that_only_share_a_bay_stand_there_each() -> None:
    sessions = talk(squads=2, instructors=2, visit__group_ratio=None)
    ((_, cells),) = timetable_of(sessions[0].plan).days[0].by_bay()
    assert [cell.squads for cell in cells] == ["Squad 1", "Squad 2"]


def test_a_timetable_is_one_query() -> None:
    session = SessionFactory.create()
    SessionFactory.create_batch(3, plan=session.plan)
    with CaptureQueriesContext(connection) as queries:
        timetable_of(session.plan)
    assert len(queries) == 1
