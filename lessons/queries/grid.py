"""A plan as the grid it is changed in: a row for each slot, a column for each squad, bay or
instructor, and a cell for every time somebody could be moved to."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal, get_args

from lessons.models import Bay, Instructor, Plan, Session
from lessons.queries.groups import Group, groups_of
from lessons.queries.slots import Stretch, all_slots

When = tuple[int, int]
By = Literal["squad", "bay", "instructor"]
BY: tuple[By, ...] = get_args(By)


@dataclass(frozen=True)
class Column:
    pk: int
    name: str


@dataclass(frozen=True)
class Card:
    """A session as one column shows it: all but what the column says. `pk` is that of the
    session, or of one of a talk's."""

    pk: int
    group: Group
    squads: str
    details: tuple[str, ...]


@dataclass(frozen=True)
class GridCell:
    """What begins here, and what began earlier and goes on."""

    column: Column
    cards: tuple[Card, ...]
    going_on: tuple[Card, ...]


@dataclass(frozen=True)
class GridRow:
    slot: int
    starts_at: datetime
    ends_at: datetime
    after_lunch: bool
    cells: tuple[GridCell, ...]


@dataclass(frozen=True)
class GridDay:
    """`number` counts from 1, the slots of its rows from 0."""

    number: int
    date: date
    rows: tuple[GridRow, ...]

    @property
    def index(self) -> int:
        return self.number - 1

    def by_column(self) -> list[tuple[Column, list[tuple[GridRow, Card]]]]:
        """What begins on the day, column by column in order of time."""
        lines = [
            (cell.column, row, card)
            for row in self.rows
            for cell in row.cells
            for card in cell.cards
        ]
        columns = [cell.column for cell in self.rows[0].cells]
        return [
            (column, [(row, card) for own, row, card in lines if own == column])
            for column in columns
        ]


@dataclass(frozen=True)
class Grid:
    by: By
    columns: tuple[Column, ...]
    days: tuple[GridDay, ...]


def asked_by(text: str) -> By:
    """What the address asks for; by squad if it is none of the three."""
    return text if text in BY else "squad"


def grid_of(plan: Plan, by: By) -> Grid:
    """The plan's grid. Two queries, or one by squad."""
    groups = groups_of(plan)
    columns = _columns(by, groups)
    slots = all_slots(plan.school)
    placed = _placed(slots, by, groups)
    lunch_after = plan.school.morning_slots if plan.school.lunch_min else None
    days: dict[int, list[GridRow]] = defaultdict(list)
    for (day, slot), when in slots.items():
        cells = tuple(_cell((day, slot), column, placed) for column in columns)
        row = GridRow(slot, when.starts_at, when.ends_at, slot == lunch_after, cells)
        days[day].append(row)
    dates = plan.school.dates
    return Grid(
        by, columns, tuple(GridDay(day + 1, dates[day], tuple(rows)) for day, rows in days.items())
    )


@dataclass(frozen=True)
class _Placed:
    """Cards by the slot they begin in and those they go on in, and column."""

    begins: dict[tuple[When, int], list[Card]]
    goes_on: dict[tuple[When, int], list[Card]]


def _placed(slots: Mapping[When, Stretch], by: By, groups: list[Group]) -> _Placed:
    """What does not begin with a slot stands where it is going on, so that nothing is lost."""
    placed = _Placed(defaultdict(list), defaultdict(list))
    for group in groups:
        met = [when for when, slot in slots.items() if slot.meets(group.when)]
        if by == "bay":
            met = met[: group.first.visit.bay_slots]  # then the squad moves on, and the bay is free
        for column, card in _cards(by, group):
            for number, when in enumerate(met or [_nearest(slots, group.first)]):
                (placed.goes_on if number else placed.begins)[when, column].append(card)
    return placed


def slot_of(session: Session) -> When:
    """The day and slot in which the session begins, both from 0."""
    return _nearest(all_slots(session.plan.school), session)


def _nearest(slots: Mapping[When, Stretch], session: Session) -> When:
    """The last slot that begins no later than the session, else the first of all."""
    before = [when for when, slot in slots.items() if slot.starts_at <= session.starts_at]
    return max(before, default=(0, 0))


def _cell(when: When, column: Column, placed: _Placed) -> GridCell:
    key = (when, column.pk)
    return GridCell(column, tuple(placed.begins.get(key, ())), tuple(placed.goes_on.get(key, ())))


def _cards(by: By, group: Group) -> list[tuple[int, Card]]:
    """The columns in which the session stands. A talk stands in those of all its squads, and of
    each instructor with the squads that are theirs."""
    bay, people = group.first.bay, group.instructors
    if by == "bay":
        return [(bay.pk, Card(group.first.pk, group, group.squads, (group.squads, people)))]
    if by == "squad":
        others = (f"all of {group.squads}",) if len(group.sessions) > 1 else ()
        return [
            (each.squad_id, Card(each.pk, group, str(each.squad), (*others, bay.name, people)))
            for each in group.sessions
        ]
    theirs: dict[int, list[Session]] = defaultdict(list)
    for each in group.sessions:
        theirs[each.instructor_id].append(each)
    return [
        (pk, Card(own[0].pk, group, squads, (squads, bay.name)))
        for pk, own in theirs.items()
        for squads in [group.squads_of(own)]
    ]


def _columns(by: By, groups: list[Group]) -> tuple[Column, ...]:
    """Squads that have a session; all that could be used of bays and instructors, and those
    that are used although they no longer could."""
    sessions = [session for group in groups for session in group.sessions]
    if by == "squad":
        squads = {session.squad_id: session.squad for session in sessions}
        in_order = sorted(squads.values(), key=lambda squad: squad.number)
        return tuple(Column(squad.pk, str(squad)) for squad in in_order)
    if by == "bay":
        usable = {bay.pk: bay.name for bay in Bay.objects.filter(is_open=True)}
        used = {session.bay_id: session.bay.name for session in sessions}
    else:
        teaching = Instructor.objects.filter(staff__teaches=True, staff__account__is_active=True)
        usable = {each.pk: str(each) for each in teaching.select_related("staff__account")}
        used = {session.instructor_id: str(session.instructor) for session in sessions}
    named = sorted((usable | used).items(), key=lambda pair: pair[1])
    return tuple(Column(pk, name) for pk, name in named)
