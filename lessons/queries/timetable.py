"""A plan as a grid to be read: a row for each slot, a column for each squad."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from operator import itemgetter

from lessons.models import Plan, Session
from lessons.queries.groups import Group, groups_of
from lessons.queries.slots import span
from school.models import School


@dataclass(frozen=True)
class Cell:
    """One squad's session as the grid and the day sheets show it.

    `rows` is how many slots it lasts. Of a talk that squads have together, `squads` names all of
    them and `instructor` everybody who gives it.
    """

    starts_at: datetime
    ends_at: datetime
    visit: str
    squad: str
    squads: str
    bay: str
    instructor: str
    is_pinned: bool
    rows: int

    @property
    def is_talk(self) -> bool:
        return self.squad != self.squads


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
        """A talk stands here once, for all its squads."""
        once = {(cell.bay, cell.starts_at, cell.visit, cell.squads): cell for cell in self.cells}
        return sorted(_grouped(tuple(once.values()), lambda cell: cell.bay), key=itemgetter(0))


@dataclass(frozen=True)
class Timetable:
    squads: tuple[str, ...]
    days: tuple[Day, ...]


def timetable_of(plan: Plan) -> Timetable:
    """The plan's sessions day by day. One query."""
    groups = groups_of(plan)
    numbered = {each.squad.number: str(each.squad) for group in groups for each in group.sessions}
    squads = tuple(numbered[number] for number in sorted(numbered))
    by_date: dict[date, list[Group]] = defaultdict(list)
    for group in groups:
        by_date[group.first.starts_at.astimezone(plan.school.zone).date()].append(group)
    days = [
        _day(plan.school, number, by_date[day], squads)
        for number, day in enumerate(plan.school.dates)
    ]
    return Timetable(squads, tuple(days))


def _day(school: School, day: int, groups: list[Group], squads: tuple[str, ...]) -> Day:
    """A session off the grid gets a row of its own, should the grid have changed since."""
    slots = [span(school, day, slot).starts_at for slot in range(school.slots_per_day)]
    times = sorted({*slots, *(group.when.starts_at for group in groups)})
    cells = [_cell(group, session, times) for group in groups for session in group.sessions]
    cells.sort(key=lambda cell: (squads.index(cell.squad), cell.starts_at))
    lunch_ends = slots[school.morning_slots] if school.lunch_min else None
    rows = [_row(at, at == lunch_ends, tuple(cells), squads) for at in times]
    return Day(day + 1, school.dates[day], tuple(rows), tuple(cells))


def _row(at: datetime, after_lunch: bool, cells: tuple[Cell, ...], squads: tuple[str, ...]) -> Row:
    starting = {cell.squad: cell for cell in cells if cell.starts_at == at}
    inside = {cell.squad for cell in cells if cell.starts_at < at < cell.ends_at}
    shown = tuple(starting.get(squad) for squad in squads if squad not in inside)
    return Row(at, after_lunch, shown)


def _cell(group: Group, session: Session, times: list[datetime]) -> Cell:
    return Cell(
        starts_at=session.starts_at,
        ends_at=session.ends_at,
        visit=session.visit.name,
        squad=str(session.squad),
        squads=group.squads,
        bay=session.bay.name,
        instructor=group.instructors,
        is_pinned=group.is_pinned,
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
