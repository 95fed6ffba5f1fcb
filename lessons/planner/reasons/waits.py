"""Lack of time once an earlier visit is over, counted rather than searched for.

1. How many squads can have a visit over by each slot follows from its open bays and from those
   qualified for it; no more squads than that can then have what waits for it.
2. So many slots are left for the visits that wait, by day: no more than squads that may have
   them, than bays open or instructors free at a time, and than these can give in a day.
3. Visits that wait, and others that cannot be had on the days held up, rule out any plan when they
   need more than that, all of them from the same bays or instructors and on the same days.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from lessons.planner.plan import Conflict
from lessons.planner.problem import Bay, Instructor, Problem, SlotOfSchool, Visit
from lessons.planner.reasons.needs import (
    Due,
    Need,
    bay_needs,
    bay_slots,
    day_sets,
    days_of,
    people_needs,
    person_slots,
)
from lessons.planner.words import listed, slots_named, squads_named


def too_late(problem: Problem, due: Sequence[Due]) -> Iterator[Conflict]:
    """The fewest visits for which too little time is left once an earlier one is over.

    What a squad cannot have even by itself is better told rule by rule.
    """
    short = _short(problem, due)
    alone = ([row for row in due if row.squad is squad] for squad in problem.squads)
    if short and not any(
        _short(replace(problem, squads=(mine[0].squad,)), mine) for mine in alone if mine
    ):
        yield _told(problem, min(short, key=lambda lack: lack.size))


def _short(problem: Problem, due: Sequence[Due]) -> list["_Lack"]:
    gates = [
        _Gate(visit, waiting, _through(problem, visit, waiting))
        for visit in problem.visits
        if (waiting := _waiting(problem, visit.key))
    ]
    found: list[_Lack] = []
    for rows, needs, slots in (
        (problem.bays, bay_needs(problem, due), bay_slots),
        (problem.instructors, people_needs(problem, due), person_slots),
    ):
        given = {
            row.key: _Given(row, [slots(problem, row, day) for day in range(problem.grid.days)])
            for row in rows
        }
        for gate in gates:
            found += _lacks(problem, gate, given, needs)
    return found


@dataclass(frozen=True)
class _Gate:
    """A visit, those that wait for it, and how many squads may have them in each slot."""

    visit: Visit
    waiting: dict[str, int]
    through: dict[SlotOfSchool, int]


@dataclass(frozen=True)
class _Given:
    """A bay or an instructor, and the slots given by day."""

    row: Bay | Instructor
    by_day: list[int]

    def room(self, when: SlotOfSchool) -> int:
        """How many squads may be served in a slot."""
        if isinstance(self.row, Bay):
            return 0 if when in self.row.closed else self.row.squads
        return int(when in self.row.available)


@dataclass(frozen=True)
class _Lack:
    """Needs for which the rows give too little on some days."""

    gate: _Gate
    needs: list[Need]
    needed: int
    rows: list[Bay | Instructor]
    by_day: dict[int, int]

    @property
    def size(self) -> tuple[int, int, int, str, list[str]]:
        """Few visits on few days by few hands are told sooner."""
        keys = [row.key for row in self.rows]
        return len(self.needs), len(self.by_day), len(keys), self.gate.visit.key, keys


def _slots(problem: Problem) -> list[SlotOfSchool]:
    grid = problem.grid
    every = ((day, slot) for day in range(grid.days) for slot in range(grid.slots_per_day))
    return [when for when in every if when >= problem.opens]


def _waiting(problem: Problem, key: str) -> dict[str, int]:
    """Visits that wait for one, by themselves or through others, and for how many of it."""
    found: dict[str, int] = {}
    for visit in problem.visits:
        if key in visit.after:
            for later in {visit.key, *_waiting(problem, visit.key)}:
                found[later] = max(found.get(later, 0), visit.after[key])
    return found


def _through(problem: Problem, visit: Visit, waiting: Mapping[str, int]) -> dict[SlotOfSchool, int]:
    """How many squads at most have had enough of a visit before each slot."""
    had = sum(row.visit == visit.key for row in problem.past)
    days = days_of(problem, visit)
    bays = [bay for bay in problem.bays if visit.features <= bay.features]
    staff = [person for person in problem.instructors if visit.station in person.skills]
    open_, free, found = Counter[str](), Counter[str](), {}
    for when in _slots(problem):
        over = sum(bay.squads * (open_[bay.key] // visit.in_bay) for bay in bays)
        if not visit.group:
            over = min(over, sum(free[person.key] // visit.slots for person in staff))
        found[when] = min(len(problem.squads), (had + over) // min(waiting.values()))
        if when[0] in days:
            open_.update(bay.key for bay in bays if when not in bay.closed)
            free.update(person.key for person in staff if when in person.available)
    return found


def _lacks(
    problem: Problem, gate: _Gate, given: Mapping[str, _Given], needs: Sequence[Need]
) -> Iterator[_Lack]:
    for served_by in {need.served_by for need in needs if need.visit.key in gate.waiting}:
        serving = [given[key] for key in sorted(served_by)]
        served = [need for need in needs if need.served_by <= served_by]
        after = _after(gate, serving, served)
        for days in day_sets(problem):
            inside = [need for need in served if need.days <= days]
            whole = {day: sum(row.by_day[day] for row in serving) for day in sorted(days)}
            held_up = {day for day in days if after[day] < whole[day]}
            by_day = {day: min(slots, after[day]) for day, slots in whole.items()}
            counted = [n for n in inside if n.visit.key in gate.waiting or not n.days & held_up]
            needed = ceil(sum(need.slots for need in counted))
            if needed > sum(by_day.values()):
                yield _Lack(gate, counted, needed, [row.row for row in serving], by_day)


def _after(gate: _Gate, serving: Sequence[_Given], needs: Sequence[Need]) -> Counter[int]:
    """The most slots of each day for what waits; a group may need several hands."""
    groups = [Fraction(n.squad.size, n.visit.ratio) for n in needs if n.visit.group]
    most = max([Fraction(1), *groups])
    found = Counter[int]()
    for when, squads in gate.through.items():
        found[when[0]] += min(ceil(most * squads), sum(row.room(when) for row in serving))
    return found


def _told(problem: Problem, lack: _Lack) -> Conflict:
    grid, gate = problem.grid, lack.gate
    squads = {need.squad.key for need in lack.needs}
    who = squads_named(problem, squads, "All squads together")
    visits = {need.visit.key: need.visit.name for need in lack.needs}
    waiting = [name for key, name in visits.items() if key in gate.waiting]
    others = [name for key, name in visits.items() if key not in gate.waiting]
    besides = f", and for {listed(others)}" if others else ""
    given = (
        f"{grid.hours(slots) if slots else 'none'} on day {day + 1}"
        for day, slots in lack.by_day.items()
    )
    return Conflict(
        "too late",
        f"{who} need{'s' if len(squads) == 1 else ''} {grid.hours(lack.needed)} for"
        f" {listed(waiting)}, which wait{'s' if len(waiting) == 1 else ''} for"
        f" {gate.visit.name}{besides}. {gate.visit.name} {_when_over(problem, gate)}, and then"
        f" {listed(row.name for row in lack.rows)} can give {listed(given)}.",
        (gate.visit.key, *(row.key for row in lack.rows)),
    )


def _when_over(problem: Problem, gate: _Gate) -> str:
    """``can be over for 3 squads before day 1 slot 7 and for all before day 1 slot 8``."""
    first: dict[int, SlotOfSchool] = {}
    for when, through in gate.through.items():
        first.setdefault(through, when)
    first.pop(0, None)
    told = [
        f"for {'all' if through == len(problem.squads) else _squads(through)} before"
        f" {slots_named(problem.grid, [first[through]])}"
        for through in sorted({*list(first)[:1], *list(first)[-1:]})
    ]
    return f"can be over {listed(told)}" if told else "cannot be over before the school ends"


def _squads(number: int) -> str:
    return f"{number} squad{'' if number == 1 else 's'}"
