"""A plan as a grid to be read."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from lessons.planner.goals import GOALS
from lessons.queries.timetable import GOAL_WORDS, goals_in_words, timetable_of
from tests.lessons.factories import SessionFactory, VisitFactory

pytestmark = pytest.mark.django_db


def test_every_goal_of_the_planner_has_words() -> None:
    assert set(GOAL_WORDS) == {goal.name for goal in GOALS}


def test_a_goal_says_whether_anything_better_is_possible() -> None:
    proven = {"name": "idle", "value": 0, "bound": 0, "proven": True}
    unproven = {"name": "fairness", "value": 3, "bound": 1, "proven": False}
    worths = [goal.worth for goal in goals_in_words([proven, unproven])]
    assert worths == ["proven the best", "perhaps not the best; below 1 is impossible"]


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


def test_a_timetable_is_one_query() -> None:
    session = SessionFactory.create()
    SessionFactory.create_batch(3, plan=session.plan)
    with CaptureQueriesContext(connection) as queries:
        timetable_of(session.plan)
    assert len(queries) == 1
