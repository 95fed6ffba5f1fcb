"""What is still to be had, and what bays and instructors can give: the two sides of a count."""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction

from lessons.planner.problem import Bay, Instructor, Problem, Squad, Visit
from lessons.planner.words import days_named


@dataclass(frozen=True)
class Due:
    """A visit that a squad is still to have so many times."""

    squad: Squad
    visit: Visit
    times: int


def still_due(problem: Problem) -> list[Due]:
    """What the past has left to be had."""
    had = Counter((row.squad, row.visit) for row in problem.past)
    return [
        Due(squad, visit, times)
        for squad in problem.squads
        for visit in problem.visits
        if (times := visit.times - had[squad.key, visit.key]) > 0
    ]


@dataclass(frozen=True)
class Need:
    """One squad's visit, the slots it takes, and the bays or instructors that may serve it.

    Squads that share instructors need a part of one each.
    """

    squad: Squad
    visit: Visit
    slots: Fraction
    days: frozenset[int]
    served_by: frozenset[str]


def bay_needs(problem: Problem, due: Sequence[Due]) -> list[Need]:
    """The bay slots that squads are still to have."""
    return [
        Need(
            row.squad,
            row.visit,
            Fraction(row.times * row.visit.in_bay),
            days_of(problem, row.visit),
            suited(problem, row.squad, row.visit),
        )
        for row in due
    ]


def people_needs(problem: Problem, due: Sequence[Due]) -> list[Need]:
    """The instructor slots that squads are still to have."""
    return [
        Need(
            row.squad,
            row.visit,
            Fraction(row.times * row.visit.slots)
            * (Fraction(row.squad.size, row.visit.ratio) if row.visit.group else 1),
            days_of(problem, row.visit),
            frozenset(p.key for p in problem.instructors if row.visit.station in p.skills),
        )
        for row in due
    ]


def days_of(problem: Problem, visit: Visit) -> frozenset[int]:
    """The days that the visit may fall on."""
    return frozenset(range(problem.grid.days)) if visit.days is None else visit.days


def on_days(problem: Problem, days: Collection[int]) -> str:
    """``on day 1 and day 2``, or ``in all`` when it is all of several."""
    return "in all" if len(days) == problem.grid.days > 1 else f"on {days_named(days)}"


def day_sets(problem: Problem) -> list[frozenset[int]]:
    """The sets of days that some visit is bound to, and all days, in a fixed order."""
    every = frozenset(range(problem.grid.days))
    return sorted({every, *(days_of(problem, visit) for visit in problem.visits)}, key=sorted)


def suited(problem: Problem, squad: Squad, visit: Visit) -> frozenset[str]:
    """Keys of the bays that the squad may have the visit in."""
    return frozenset(bay.key for bay in problem.bays if not visit.missing(squad, bay))


def bay_slots(problem: Problem, bay: Bay | Instructor, day: int) -> int:
    """The squads' slots that are open from now on."""
    assert isinstance(bay, Bay)
    slots = range(problem.grid.slots_per_day)
    open_ = [u for u in slots if (day, u) >= problem.opens and (day, u) not in bay.closed]
    return len(open_) * bay.squads


def person_slots(problem: Problem, person: Bay | Instructor, day: int) -> int:
    """What load, hours and breaks leave an instructor: each free stretch loses its breaks."""
    assert isinstance(person, Instructor)
    slots = 0
    for half in problem.grid.halves:
        run = 0
        for slot in half:
            free = (day, slot) in person.available and (day, slot) >= problem.opens
            run = run + 1 if free and run < person.max_run else 0
            slots += run > 0
    return min(person.max_load, slots)
