"""Reasons for no plan that need no search, each enough by itself, in exact words and numbers.

They are looked for in order, what concerns one visit before what concerns many, and the first
kind found is told alone: a lack of bays would only repeat that there is none at all.
"""

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass

from lessons.planner.plan import Conflict
from lessons.planner.problem import Bay, Instructor, Problem, Squad, Visit
from lessons.planner.words import days_named, in_words, listed, squads_named


def plain_reasons(problem: Problem) -> list[Conflict]:
    """Find reasons that rule out any plan without solving; none found proves nothing."""
    if not problem.squads:
        return []
    for look in (_too_long, _no_bay, _no_instructor, _too_many_visits, _short_of):
        found = list(look(problem))
        if found:
            return found
    return []


def _too_long(problem: Problem) -> Iterator[Conflict]:
    longest = max(len(half) for half in problem.grid.halves)
    hours = problem.grid.hours
    for visit in problem.visits:
        if visit.slots > longest:
            yield Conflict(
                "lunch",
                f"{visit.name} takes {hours(visit.slots)}, and the longest stretch without"
                f" lunch is {hours(longest)}.",
                (visit.key,),
            )


def _no_bay(problem: Problem) -> Iterator[Conflict]:
    for visit in problem.visits:
        if not any(visit.features <= bay.features for bay in problem.bays):
            yield Conflict("features", in_words(problem, "features", (visit.key,)), (visit.key,))
            continue
        for squad in problem.squads:
            if not _suited(problem, squad, visit):
                words = in_words(problem, "left-handed", (visit.key,))
                yield Conflict("left-handed", words, (visit.key,))
                break


def _no_instructor(problem: Problem) -> Iterator[Conflict]:
    for station in sorted({visit.station for visit in problem.visits}):
        if not any(station in person.skills for person in problem.instructors):
            words = in_words(problem, "qualification", (station,))
            yield Conflict("qualification", words, (station,))


def _too_many_visits(problem: Problem) -> Iterator[Conflict]:
    grid = problem.grid
    for days in _day_sets(problem):
        visits = [visit for visit in problem.visits if _days(problem, visit) <= days]
        needed, there = sum(visit.slots for visit in visits), len(days) * grid.slots_per_day
        if needed > there:
            yield Conflict(
                "visit",
                f"A squad's visits {_on(problem, days)} ({listed(v.name for v in visits)}) take"
                f" {grid.hours(needed)}, and there are {grid.hours(there)}.",
                tuple(visit.key for visit in visits),
            )


@dataclass(frozen=True)
class _Need:
    """One squad's visit and the bays or instructors that may serve it."""

    squad: Squad
    visit: Visit
    days: frozenset[int]
    served_by: frozenset[str]


def _short_of(problem: Problem) -> Iterator[Conflict]:
    yield from _short(problem, "closed", problem.bays, _bay_slots, _suited)
    yield from _short(problem, "hours", problem.instructors, _person_slots, _qualified)


def _short(
    problem: Problem,
    rule: str,
    rows: Sequence[Bay] | Sequence[Instructor],
    slots: Callable[[Problem, str, int], int],
    serving: Callable[[Problem, Squad, Visit], frozenset[str]],
) -> Iterator[Conflict]:
    """The fewest visits that need more slots than all that may serve them have."""
    needs = [
        _Need(squad, visit, _days(problem, visit), serving(problem, squad, visit))
        for squad in problem.squads
        for visit in problem.visits
    ]
    short = []
    for served_by in {need.served_by for need in needs}:
        for days in _day_sets(problem):
            inside = [n for n in needs if n.served_by <= served_by and n.days <= days]
            needed = sum(need.visit.slots for need in inside)
            there = sum(slots(problem, key, day) for key in served_by for day in days)
            if needed > there:
                short.append((len(inside), sorted(served_by), sorted(days), needed, there, inside))
    if short:
        _, keys, on_days, needed, there, inside = min(short, key=lambda row: row[:3])
        squads = {need.squad.key for need in inside}
        who = squads_named(problem, squads, "All squads together")
        verb = "needs" if len(squads) == 1 else "need"
        given = problem.grid.hours(there) if there else "none"
        visits = {need.visit.key: need.visit.name for need in inside}
        names = listed(row.name for row in rows if row.key in keys)
        yield Conflict(
            rule,
            f"{who} {verb} {problem.grid.hours(needed)} for {listed(visits.values())}"
            f" {_on(problem, on_days)}, and {names} can give {given}.",
            tuple(keys),
        )


def _days(problem: Problem, visit: Visit) -> frozenset[int]:
    return frozenset(range(problem.grid.days)) if visit.days is None else visit.days


def _on(problem: Problem, days: Collection[int]) -> str:
    return "in all" if len(days) == problem.grid.days > 1 else f"on {days_named(days)}"


def _day_sets(problem: Problem) -> list[frozenset[int]]:
    """The sets of days that some visit is bound to, and all days, in a fixed order."""
    every = frozenset(range(problem.grid.days))
    return sorted({every, *(_days(problem, visit) for visit in problem.visits)}, key=sorted)


def _suited(problem: Problem, squad: Squad, visit: Visit) -> frozenset[str]:
    return frozenset(bay.key for bay in problem.bays if not visit.missing(squad, bay))


def _qualified(problem: Problem, _squad: Squad, visit: Visit) -> frozenset[str]:
    return frozenset(p.key for p in problem.instructors if visit.station in p.skills)


def _bay_slots(problem: Problem, key: str, day: int) -> int:
    bay = next(bay for bay in problem.bays if bay.key == key)
    return problem.grid.slots_per_day - sum(closed_day == day for closed_day, _ in bay.closed)


def _person_slots(problem: Problem, key: str, day: int) -> int:
    """What load, hours and breaks leave an instructor: each free stretch loses its breaks."""
    person = next(person for person in problem.instructors if person.key == key)
    slots = 0
    for half in problem.grid.halves:
        run = 0
        for slot in half:
            run = run + 1 if (day, slot) in person.available and run < person.max_run else 0
            slots += run > 0
    return min(person.max_load, slots)
