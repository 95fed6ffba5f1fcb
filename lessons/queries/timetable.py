"""A plan as a grid to be read: a row for each slot, a column for each squad."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from lessons.models import Plan, Session
from lessons.queries.slots import span
from school.models import School


@dataclass(frozen=True)
class Cell:
    """One session as the grid and the day sheets show it; `rows` is how many slots it lasts."""

    starts_at: datetime
    ends_at: datetime
    visit: str
    squad: str
    bay: str
    instructor: str
    rows: int


@dataclass(frozen=True)
class Row:
    """One slot: what begins in it, squad by squad, None where a squad is idle.

    A squad in the middle of a longer session has no cell, as in an HTML table.
    """

    starts_at: datetime
    after_lunch: bool
    cells: tuple[Cell | None, ...]


@dataclass(frozen=True)
class Day:
    number: int
    date: date
    rows: tuple[Row, ...]
    cells: tuple[Cell, ...]

    def by_squad(self) -> list[tuple[str, list[Cell]]]:
        return _grouped(self.cells, lambda cell: cell.squad)

    def by_bay(self) -> list[tuple[str, list[Cell]]]:
        return sorted(_grouped(self.cells, lambda cell: cell.bay))


@dataclass(frozen=True)
class Timetable:
    squads: tuple[str, ...]
    days: tuple[Day, ...]


def timetable_of(plan: Plan) -> Timetable:
    """The plan's sessions day by day. One query."""
    sessions = list(
        plan.sessions.select_related(
            "visit", "squad", "bay", "instructor__staff__account"
        ).order_by("squad__number", "starts_at")
    )
    squads = tuple(dict.fromkeys(str(session.squad) for session in sessions))
    by_date: dict[date, list[Session]] = defaultdict(list)
    for session in sessions:
        by_date[session.starts_at.astimezone(plan.school.zone).date()].append(session)
    days = [
        _day(plan.school, number, by_date[day], squads)
        for number, day in enumerate(plan.school.dates)
    ]
    return Timetable(squads, tuple(days))


def _day(school: School, day: int, sessions: list[Session], squads: tuple[str, ...]) -> Day:
    """A session off the grid gets a row of its own, should the grid have changed since."""
    slots = [span(school, day, slot).starts_at for slot in range(school.slots_per_day)]
    times = sorted({*slots, *(session.starts_at for session in sessions)})
    cells = tuple(_cell(session, times) for session in sessions)
    lunch_ends = slots[school.morning_slots] if school.lunch_min else None
    rows = [_row(at, at == lunch_ends, cells, squads) for at in times]
    return Day(day + 1, school.dates[day], tuple(rows), cells)


def _row(at: datetime, after_lunch: bool, cells: tuple[Cell, ...], squads: tuple[str, ...]) -> Row:
    starting = {cell.squad: cell for cell in cells if cell.starts_at == at}
    inside = {cell.squad for cell in cells if cell.starts_at < at < cell.ends_at}
    shown = tuple(starting.get(squad) for squad in squads if squad not in inside)
    return Row(at, after_lunch, shown)


def _cell(session: Session, times: list[datetime]) -> Cell:
    return Cell(
        starts_at=session.starts_at,
        ends_at=session.ends_at,
        visit=session.visit.name,
        squad=str(session.squad),
        bay=session.bay.name,
        instructor=str(session.instructor),
        rows=sum(session.starts_at <= at < session.ends_at for at in times),
    )


def _grouped(cells: tuple[Cell, ...], key: Callable[[Cell], str]) -> list[tuple[str, list[Cell]]]:
    """In the order in which the groups first appear, each by time."""
    groups: dict[str, list[Cell]] = defaultdict(list)
    for cell in cells:
        groups[key(cell)].append(cell)
    return [
        (name, sorted(found, key=lambda each: each.starts_at)) for name, found in groups.items()
    ]


GOAL_WORDS = {
    "idle": "Idle slots between a squad's sessions",
    "lead": "Squads that miss the lead instructor, counted by visit",
    "same_instructor": "Squads with another instructor at exit than at intake",
    "fairness": "Slots between the busiest instructor and the least busy",
}


@dataclass(frozen=True)
class GoalInWords:
    name: str
    value: int
    worth: str


def goals_in_words(goals: list[dict[str, Any]]) -> list[GoalInWords]:
    """What a plan reached in each respect, most important first, and what that is worth."""
    return [
        GoalInWords(
            name=GOAL_WORDS.get(goal["name"], goal["name"]),
            value=goal["value"],
            worth="proven the best"
            if goal["proven"]
            else f"perhaps not the best; below {goal['bound']} is impossible",
        )
        for goal in goals
    ]
