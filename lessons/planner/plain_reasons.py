"""Reasons for no plan that need no search, each enough by itself, in exact words and numbers.

They are looked for in order, what concerns one visit before what concerns many, and the first
kind found is told alone: a lack of bays would only repeat that there is none at all.
"""

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from lessons.planner.plan import Conflict
from lessons.planner.problem import COVERED, LIT, Bay, Instructor, Problem, Squad, Visit
from lessons.planner.words import days_named, in_words, listed, squads_named


def plain_reasons(problem: Problem) -> list[Conflict]:
    """Find reasons that rule out any plan without solving; none found proves nothing."""
    due = _due(problem)
    if not due:
        return []
    for look in (_too_long, _no_bay, _no_instructor, _too_often, _too_many_visits, _short_of):
        found = list(look(problem, due))
        if found:
            return found
    return []


@dataclass(frozen=True)
class _Due:
    """A visit that a squad is still to have so many times."""

    squad: Squad
    visit: Visit
    times: int


def _due(problem: Problem) -> list[_Due]:
    had = Counter((row.squad, row.visit) for row in problem.past)
    return [
        _Due(squad, visit, times)
        for squad in problem.squads
        for visit in problem.visits
        if (times := visit.times - had[squad.key, visit.key]) > 0
    ]


def _visits(due: Sequence[_Due]) -> list[Visit]:
    return list({row.visit.key: row.visit for row in due}.values())


def _too_long(problem: Problem, due: Sequence[_Due]) -> Iterator[Conflict]:
    longest = max(len(half) for half in problem.grid.halves)
    hours = problem.grid.hours
    for visit in _visits(due):
        if visit.slots > longest:
            yield Conflict(
                "lunch",
                f"{visit.name} takes {hours(visit.slots)}, and the longest stretch without"
                f" lunch is {hours(longest)}.",
                (visit.key,),
            )


def _no_bay(problem: Problem, due: Sequence[_Due]) -> Iterator[Conflict]:
    for visit in _visits(due):
        if not any(visit.features <= bay.features for bay in problem.bays):
            yield Conflict("features", in_words(problem, "features", (visit.key,)), (visit.key,))
            continue
        squads = (row.squad for row in due if row.visit is visit)
        if not all(_suited(problem, squad, visit) for squad in squads):
            words = in_words(problem, "left-handed", (visit.key,))
            yield Conflict("left-handed", words, (visit.key,))


def _no_instructor(problem: Problem, due: Sequence[_Due]) -> Iterator[Conflict]:
    for station in sorted({visit.station for visit in _visits(due)}):
        if not any(station in person.skills for person in problem.instructors):
            words = in_words(problem, "qualification", (station,))
            yield Conflict("qualification", words, (station,))


def _too_often(problem: Problem, due: Sequence[_Due]) -> Iterator[Conflict]:
    """More sessions of a visit than its days allow, or more golfers than its instructor takes."""
    for visit in _visits(due):
        days = len([day for day in _days(problem, visit) if day >= problem.opens[0]])
        most = max(row.times for row in due if row.visit is visit)
        if most > days * visit.most_a_day:
            yield Conflict(
                "daily",
                f"{visit.name} is still to be had {most} times, at most {visit.most_a_day} a day,"
                f" and {days} of its days {'is' if days == 1 else 'are'} left.",
                (visit.key,),
            )
        if not visit.group and any(
            row.squad.size > visit.ratio for row in due if row.visit is visit
        ):
            yield Conflict("ratio", in_words(problem, "ratio", (visit.key,)), (visit.key,))


def _too_many_visits(problem: Problem, due: Sequence[_Due]) -> Iterator[Conflict]:
    """The first squad for which it holds is told, by name when others are better off."""
    grid = problem.grid
    for days in _day_sets(problem):
        there = sum(
            (day, slot) >= problem.opens for day in days for slot in range(grid.slots_per_day)
        )
        for squad in problem.squads:
            mine = [r for r in due if r.squad is squad and _days(problem, r.visit) <= days]
            needed = sum(row.times * row.visit.slots for row in mine)
            if needed > there:
                who = f"{squad.name}'s" if problem.past else "A squad's"
                yield Conflict(
                    "too much",
                    f"{who} visits {_on(problem, days)} ({listed(map(_often, mine))}) take"
                    f" {grid.hours(needed)}, and there are {grid.hours(there)}.",
                    tuple(row.visit.key for row in mine),
                )
                break


def _often(row: _Due) -> str:
    return row.visit.name if row.times == 1 else f"{row.visit.name} {row.times} times"


@dataclass(frozen=True)
class _Need:
    """One squad's visit, the slots it takes, and the bays or instructors that may serve it.

    Squads that share instructors need a part of one each.
    """

    squad: Squad
    visit: Visit
    slots: Fraction
    days: frozenset[int]
    served_by: frozenset[str]


def _short_of(problem: Problem, due: Sequence[_Due]) -> Iterator[Conflict]:
    bays, people = problem.bays, problem.instructors
    yield from _short(problem, "closed", bays, _bay_needs(problem, due), _bay_slots)
    if problem.rain:
        yield from _short(problem, "rain", _dry(problem), _bay_needs(problem, due), _bay_slots)
    if problem.dark:
        yield from _short(problem, "dark", _light(problem), _bay_needs(problem, due), _bay_slots)
    yield from _short(problem, "hours", people, _people_needs(problem, due), _person_slots)


def _dry(problem: Problem) -> list[Bay]:
    return [
        bay if COVERED in bay.features else replace(bay, closed=bay.closed | problem.rain)
        for bay in problem.bays
    ]


def _light(problem: Problem) -> list[Bay]:
    return [
        bay if LIT in bay.features else replace(bay, closed=bay.closed | problem.dark)
        for bay in problem.bays
    ]


def _bay_needs(problem: Problem, due: Sequence[_Due]) -> list[_Need]:
    return [
        _Need(
            row.squad,
            row.visit,
            Fraction(row.times * row.visit.in_bay),
            _days(problem, row.visit),
            _suited(problem, row.squad, row.visit),
        )
        for row in due
    ]


def _people_needs(problem: Problem, due: Sequence[_Due]) -> list[_Need]:
    return [
        _Need(
            row.squad,
            row.visit,
            Fraction(row.times * row.visit.slots)
            * (Fraction(row.squad.size, row.visit.ratio) if row.visit.group else 1),
            _days(problem, row.visit),
            frozenset(p.key for p in problem.instructors if row.visit.station in p.skills),
        )
        for row in due
    ]


_IN = {
    "rain": " while it is dry or there is a cover",
    "dark": " in daylight or with a lamp",
}


def _short(
    problem: Problem,
    rule: str,
    rows: Sequence[Bay] | Sequence[Instructor],
    needs: Sequence[_Need],
    slots: Callable[[Problem, Bay | Instructor, int], int],
) -> Iterator[Conflict]:
    """The fewest visits that need more slots than all that may serve them have."""
    short = []
    by_key = {row.key: row for row in rows}
    for served_by in {need.served_by for need in needs}:
        for days in _day_sets(problem):
            inside = [n for n in needs if n.served_by <= served_by and n.days <= days]
            needed = ceil(sum(need.slots for need in inside))
            there = sum(slots(problem, by_key[key], day) for key in served_by for day in days)
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
            f" {_on(problem, on_days)}, and {names} can give {given}{_IN.get(rule, '')}.",
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


def _bay_slots(problem: Problem, bay: Bay | Instructor, day: int) -> int:
    """The squads' slots that are open from now on."""
    assert isinstance(bay, Bay)
    slots = range(problem.grid.slots_per_day)
    open_ = [u for u in slots if (day, u) >= problem.opens and (day, u) not in bay.closed]
    return len(open_) * bay.squads


def _person_slots(problem: Problem, person: Bay | Instructor, day: int) -> int:
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
