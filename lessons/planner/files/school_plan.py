"""A school and its plan as plain JSON, the format ``school-plan/1``.

A school is one object:

- ``format`` is ``"school-plan/1"``; ``days``, ``slots_per_day``, ``slot_minutes``; ``lunch_after``
  slots comes lunch. Days and slots are numbered from 0; a range ``[from, to]`` leaves ``to`` out.
- ``daylight``: a range for each day. A visit in a bay without light stays within it.
  ``rain``: ``[day, from, to]`` each; a visit in a bay without cover stays clear of it.
- ``places``, the minutes of ``walk`` from each (row) to each (column), the ``base`` that squads
  start from and come back to, and ``changeover``, the longest walk between adjacent slots.
- ``attendees`` with ``id`` and ``hand`` (L or R); ``squads`` with ``id`` and ``members``.
- ``bays`` with ``id``, ``place``, ``kinds``, ``attrs`` (``left`` is for left-handers), ``covered``,
  ``lit``, ``squads`` at once, ``closed`` as ``[day, from, to]`` each.
- ``instructors`` with ``id``, ``skills``, ``available`` as ``[day, from, to]`` each, ``max_load``
  slots a day, ``max_run`` slots without a break, ``load_factor``.
- ``activities``, the visits every squad has ``count`` times and ``max_per_day`` on one day, with
  ``bay_kind``, ``needs`` (attrs), ``handed``, ``skill``, ``slots``, ``bay_slots`` (the first few,
  for which the bay is taken), ``days`` (null for all), ``prefer`` (the slots it best begins in),
  ``group`` and ``ratio`` golfers to an instructor.
- ``rules``: ``after`` (``count`` sessions of ``needs`` are over before ``activity`` starts),
  ``same_day`` and ``not_same_day`` (two ``activities`` each).
- ``lead``, who should have each squad twice; ``continuity``, two visits for one instructor.

Kinds and attrs are both features of a bay here. ``together``, ``apart`` and a golfer's ``hcp`` made
the squads and play no part any more. ``weights`` are not read: goals have an order, and no amount
of a later one buys any of an earlier one.

A plan is ``{"plan": [{"squad", "activity", "day", "slot", "bay", "instructors": [...]}, ...]}``.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from typing import Any

from lessons.planner.files.reading import Row, SchoolPlanError
from lessons.planner.plan import Placement
from lessons.planner.problem import (
    COVERED,
    LEFT_HANDED,
    LIT,
    MAX_SQUAD,
    Bay,
    Grid,
    Instructor,
    Problem,
    ProblemError,
    SlotOfSchool,
    Squad,
    Visit,
    validate,
)

FORMAT = "school-plan/1"
LEAD_VISITS = 2
RESERVED = frozenset({LEFT_HANDED, COVERED, LIT})
RULES = ("after", "same_day", "not_same_day")


def read_instance(data: object) -> Problem:
    """The school of a parsed file.

    Raises
    ------
    SchoolPlanError
        With the place in the file and what should be there, or with what contradicts itself.
    """
    file = Row(data)
    if file.data.get("format") != FORMAT:
        raise file.wrong("format", f"must be {FORMAT!r}")
    grid = _grid(file)
    places = file.texts("places")
    features = _Features(file)
    visits = _with_order(file, _visits(file, grid, features))
    keys = [visit.key for visit in visits]
    instructors = file.some_rows("instructors", lambda row: _instructor(row, grid))
    problem = Problem(
        grid=grid,
        squads=_squads(file),
        visits=visits,
        bays=file.some_rows("bays", lambda row: _bay(row, grid, places, features)),
        instructors=instructors,
        walk_min=_walks(file, places),
        changeover_min=file.whole("changeover"),
        lead=file.text("lead", [i.key for i in instructors]) if file.has("lead") else None,
        same_instructor=file.pair("continuity", keys) if file.has("continuity") else None,
        lead_visits=LEAD_VISITS if file.has("lead") else 0,
        base=file.text("base", places) if file.has("base") else None,
        same_day=_pairs(file, "same_day", keys),
        other_day=_pairs(file, "not_same_day", keys),
        rain=_spans(file, "rain", grid),
        dark=_dark(file, grid),
    )
    try:
        validate(problem)
    except ProblemError as error:
        raise SchoolPlanError(str(error)) from error
    return problem


def read_plan(data: object, problem: Problem) -> tuple[Placement, ...]:
    """The sessions of a parsed plan file, which need not keep the school's rules.

    Raises
    ------
    SchoolPlanError
        If it names what the school does not have.
    """
    keys = {
        "squad": {row.key for row in problem.squads},
        "activity": {row.key for row in problem.visits},
        "bay": {row.key for row in problem.bays},
        "instructors": {row.key for row in problem.instructors},
    }

    def placement(row: Row) -> Placement:
        names = row.texts("instructors", keys["instructors"])
        day, slot = row.whole("day"), row.whole("slot")
        if not names or len({*names}) < len(names):
            raise row.wrong("instructors", "must name at least one, and nobody twice")
        if day >= problem.grid.days or slot >= problem.grid.slots_per_day:
            raise SchoolPlanError(f"{row.where}: day {day}, slot {slot} lies outside the school.")
        squad, visit, bay = (row.text(key, keys[key]) for key in ("squad", "activity", "bay"))
        return Placement(squad, visit, day, slot, bay, tuple(sorted(names)))

    return tuple(sorted(Row(data).rows("plan", placement)))


def write_plan(placements: Iterable[Placement]) -> dict[str, Any]:
    """The sessions as a plan file, in order of time."""
    ordered = sorted(placements, key=lambda row: (row.day, row.slot, row.squad, row.visit))
    return {
        "plan": [
            {
                "squad": row.squad,
                "activity": row.visit,
                "day": row.day,
                "slot": row.slot,
                "bay": row.bay,
                "instructors": list(row.instructors),
            }
            for row in ordered
        ]
    }


def again_from(problem: Problem, plan: Iterable[Placement], start: SlotOfSchool) -> Problem:
    """The problem of planning again: all of ``plan`` is published, what begins earlier is past."""
    published = tuple(sorted(plan))
    past = tuple(row for row in published if (row.day, row.slot) < start)
    return replace(problem, published=published, past=past, now=start)


class _Features:
    """Kinds and attrs of bays under names that mean one thing each."""

    def __init__(self, file: Row) -> None:
        attrs = {name for row in file.rows("bays", lambda row: row.texts("attrs")) for name in row}
        needs = {n for row in file.rows("activities", lambda row: row.texts("needs")) for n in row}
        self._taken = RESERVED | attrs | needs

    def of_kinds(self, kinds: Iterable[str]) -> frozenset[str]:
        return frozenset(f"{name} (kind)" if name in self._taken else name for name in kinds)

    def of_attrs(self, attrs: Iterable[str]) -> frozenset[str]:
        return frozenset(
            LEFT_HANDED if name == "left" else f"{name} (attr)" if name in RESERVED else name
            for name in attrs
        )


def _grid(file: Row) -> Grid:
    return Grid(
        days=file.whole("days", 1),
        slots_per_day=file.whole("slots_per_day", 1),
        lunch_after=file.whole("lunch_after"),
        slot_min=file.whole("slot_minutes", 1, default=45),
    )


def _squads(file: Row) -> tuple[Squad, ...]:
    hands = dict(file.some_rows("attendees", _attendee))
    if len(hands) < len(file.items("attendees")):
        raise file.wrong("attendees", "holds an id twice")
    members = [
        (row.text("id"), row.texts("members", hands))
        for row in file.some_rows("squads", lambda row: row)
    ]
    had = Counter(name for _, names in members for name in names)
    for name in hands:
        if had[name] != 1:
            raise file.wrong("squads", f"must hold attendee {name!r} once, not {had[name]} times")
    return tuple(
        Squad(key, key, len(names), any(hands[name] == "L" for name in names))
        for key, names in members
    )


def _attendee(row: Row) -> tuple[str, str]:
    if row.data.get("hand") not in ("L", "R"):
        raise row.wrong("hand", "must be L or R")
    return row.text("id"), row.text("hand")


def _visits(file: Row, grid: Grid, features: _Features) -> tuple[Visit, ...]:
    def visit(row: Row) -> Visit:
        key, slots = row.text("id"), row.whole("slots", 1)
        bay_slots = row.whole("bay_slots", 1, default=slots)
        if bay_slots > slots:
            raise row.wrong("bay_slots", f"must not be more than its slots, {slots}")
        return Visit(
            key=key,
            name=key,
            station=row.text("skill"),
            slots=slots,
            features=features.of_kinds([row.text("bay_kind")])
            | features.of_attrs(row.texts("needs")),
            handed=row.flag("handed"),
            days=_numbers(row, "days", grid.days),
            times=row.whole("count", 1, default=1),
            most_a_day=row.whole("max_per_day", 1, default=1),
            bay_slots=bay_slots,
            preferred=_numbers(row, "prefer", grid.slots_per_day),
            group=row.flag("group"),
            ratio=row.whole("ratio", 1, default=MAX_SQUAD),
        )

    return file.some_rows("activities", visit)


def _numbers(row: Row, key: str, below: int) -> frozenset[int] | None:
    """Days or slots; null allows any, and an empty ``prefer`` prefers none to another."""
    if not row.has(key) or (key == "prefer" and not row.items(key)):
        return None
    found = row.items(key)
    if not all(type(n) is int and 0 <= n < below for n in found):
        raise row.wrong(key, f"must hold whole numbers from 0 to {below - 1}")
    return frozenset(found)


def _with_order(file: Row, visits: tuple[Visit, ...]) -> tuple[Visit, ...]:
    """The visits with what they wait for; of two rules for the same pair the stricter counts."""
    keys = [visit.key for visit in visits]
    after: dict[str, Counter[str]] = {key: Counter() for key in keys}
    for row in file.rows("rules", lambda row: row):
        if row.text("rule") not in RULES:
            raise row.wrong("rule", f"must be one of {', '.join(RULES)}")
        if row.text("rule") == "after":
            needs = row.text("needs", keys)
            after[row.text("activity", keys)] |= Counter({needs: row.whole("count", 1, default=1)})
    return tuple(replace(visit, after=dict(after[visit.key])) for visit in visits)


def _pairs(file: Row, rule: str, keys: Collection[str]) -> tuple[tuple[str, str], ...]:
    rows = [row for row in file.rows("rules", lambda row: row) if row.text("rule") == rule]
    return tuple(row.pair("activities", keys) for row in rows)


def _bay(row: Row, grid: Grid, places: Collection[str], features: _Features) -> Bay:
    key = row.text("id")
    found = features.of_kinds(row.texts("kinds")) | features.of_attrs(row.texts("attrs"))
    found |= {COVERED} if row.flag("covered") else set()
    found |= {LIT} if row.flag("lit") else set()
    closed = _spans(row, "closed", grid)
    return Bay(key, key, row.text("place", places), found, closed, row.whole("squads", 1, 1))


def _instructor(row: Row, grid: Grid) -> Instructor:
    key = row.text("id")
    return Instructor(
        key=key,
        name=key,
        skills=frozenset(row.texts("skills")),
        available=_spans(row, "available", grid),
        max_load=row.whole("max_load"),
        max_run=row.whole("max_run", 1),
        load_factor=row.whole("load_factor", 1, default=1),
    )


def _spans(row: Row, key: str, grid: Grid) -> frozenset[SlotOfSchool]:
    """The slots of ``[day, from, to]`` each."""
    found: set[SlotOfSchool] = set()
    for day, start, end in row.wholes(key, 3):
        if day >= grid.days or not start <= end <= grid.slots_per_day:
            raise row.wrong(key, f"has [{day}, {start}, {end}], which lies outside the school")
        found |= {(day, slot) for slot in range(start, end)}
    return frozenset(found)


def _dark(file: Row, grid: Grid) -> frozenset[SlotOfSchool]:
    if not file.has("daylight"):
        return frozenset()
    light = list(file.wholes("daylight", 2))
    if len(light) != grid.days:
        raise file.wrong("daylight", f"must be a range for each of the {grid.days} days")
    return frozenset(_outside(light, grid))


def _outside(light: list[tuple[int, ...]], grid: Grid) -> Iterator[SlotOfSchool]:
    for day, (start, end) in enumerate(light):
        yield from ((day, u) for u in range(grid.slots_per_day) if not start <= u < end)


def _walks(file: Row, places: tuple[str, ...]) -> dict[tuple[str, str], int]:
    table = list(file.wholes("walk", len(places)))
    if len(table) != len(places) or len({*places}) < len(places):
        raise file.wrong("walk", "must have a row and a column for each place, each named once")
    return {
        (start, end): minutes
        for start, row in zip(places, table, strict=True)
        for end, minutes in zip(places, row, strict=True)
        if start != end
    }
