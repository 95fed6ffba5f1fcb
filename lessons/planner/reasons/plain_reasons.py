"""Reasons for no plan that need no search, each enough by itself, in exact words and numbers.

They are looked for in order, what concerns one visit before what concerns many, and the first
kind found is told alone: a lack of bays would only repeat that there is none at all.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from math import ceil

from lessons.planner.plan import Conflict
from lessons.planner.problem import COVERED, LIT, Bay, Instructor, Problem, Visit
from lessons.planner.reasons.needs import (
    Due,
    Need,
    bay_needs,
    bay_slots,
    day_sets,
    days_of,
    on_days,
    people_needs,
    person_slots,
    still_due,
    suited,
)
from lessons.planner.reasons.waits import too_late
from lessons.planner.words import in_words, listed, squads_named


def plain_reasons(problem: Problem) -> list[Conflict]:
    """Find reasons that rule out any plan without solving; none found proves nothing."""
    due = still_due(problem)
    if not due:
        return []
    for look in _LOOKS:
        found = list(look(problem, due))
        if found:
            return found
    return []


def _visits(due: Sequence[Due]) -> list[Visit]:
    return list({row.visit.key: row.visit for row in due}.values())


def _too_long(problem: Problem, due: Sequence[Due]) -> Iterator[Conflict]:
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


def _no_bay(problem: Problem, due: Sequence[Due]) -> Iterator[Conflict]:
    for visit in _visits(due):
        if not any(visit.features <= bay.features for bay in problem.bays):
            yield Conflict("features", in_words(problem, "features", (visit.key,)), (visit.key,))
            continue
        squads = (row.squad for row in due if row.visit is visit)
        if not all(suited(problem, squad, visit) for squad in squads):
            words = in_words(problem, "left-handed", (visit.key,))
            yield Conflict("left-handed", words, (visit.key,))


def _no_instructor(problem: Problem, due: Sequence[Due]) -> Iterator[Conflict]:
    for station in sorted({visit.station for visit in _visits(due)}):
        if not any(station in person.skills for person in problem.instructors):
            words = in_words(problem, "qualification", (station,))
            yield Conflict("qualification", words, (station,))


def _too_often(problem: Problem, due: Sequence[Due]) -> Iterator[Conflict]:
    """More sessions of a visit than its days allow, or more golfers than its instructor takes."""
    for visit in _visits(due):
        days = len([day for day in days_of(problem, visit) if day >= problem.opens[0]])
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


def _too_many_visits(problem: Problem, due: Sequence[Due]) -> Iterator[Conflict]:
    """The first squad for which it holds is told, by name when others are better off."""
    grid = problem.grid
    for days in day_sets(problem):
        there = sum(
            (day, slot) >= problem.opens for day in days for slot in range(grid.slots_per_day)
        )
        for squad in problem.squads:
            mine = [r for r in due if r.squad is squad and days_of(problem, r.visit) <= days]
            needed = sum(row.times * row.visit.slots for row in mine)
            if needed > there:
                who = f"{squad.name}'s" if problem.past else "A squad's"
                yield Conflict(
                    "too much",
                    f"{who} visits {on_days(problem, days)} ({listed(map(_often, mine))}) take"
                    f" {grid.hours(needed)}, and there are {grid.hours(there)}.",
                    tuple(row.visit.key for row in mine),
                )
                break


def _often(row: Due) -> str:
    return row.visit.name if row.times == 1 else f"{row.visit.name} {row.times} times"


def _short_of(problem: Problem, due: Sequence[Due]) -> Iterator[Conflict]:
    bays, people = problem.bays, problem.instructors
    yield from _short(problem, "closed", bays, bay_needs(problem, due), bay_slots)
    if problem.rain:
        yield from _short(problem, "rain", _dry(problem), bay_needs(problem, due), bay_slots)
    if problem.dark:
        yield from _short(problem, "dark", _light(problem), bay_needs(problem, due), bay_slots)
    yield from _short(problem, "hours", people, people_needs(problem, due), person_slots)


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


_IN = {
    "rain": " while it is dry or there is a cover",
    "dark": " in daylight or with a lamp",
}


def _short(
    problem: Problem,
    rule: str,
    rows: Sequence[Bay] | Sequence[Instructor],
    needs: Sequence[Need],
    slots: Callable[[Problem, Bay | Instructor, int], int],
) -> Iterator[Conflict]:
    """The fewest visits that need more slots than all that may serve them have."""
    short = []
    by_key = {row.key: row for row in rows}
    for served_by in {need.served_by for need in needs}:
        for days in day_sets(problem):
            inside = [n for n in needs if n.served_by <= served_by and n.days <= days]
            needed = ceil(sum(need.slots for need in inside))
            there = sum(slots(problem, by_key[key], day) for key in served_by for day in days)
            if needed > there:
                short.append((len(inside), sorted(served_by), sorted(days), needed, there, inside))
    if short:
        _, keys, on, needed, there, inside = min(short, key=lambda row: row[:3])
        squads = {need.squad.key for need in inside}
        who = squads_named(problem, squads, "All squads together")
        verb = "needs" if len(squads) == 1 else "need"
        given = problem.grid.hours(there) if there else "none"
        visits = {need.visit.key: need.visit.name for need in inside}
        names = listed(row.name for row in rows if row.key in keys)
        yield Conflict(
            rule,
            f"{who} {verb} {problem.grid.hours(needed)} for {listed(visits.values())}"
            f" {on_days(problem, on)}, and {names} can give {given}{_IN.get(rule, '')}.",
            tuple(keys),
        )


_LOOKS = (
    _too_long,
    _no_bay,
    _no_instructor,
    _too_often,
    _too_many_visits,
    _short_of,
    too_late,
)
