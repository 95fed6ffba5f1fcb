"""What could give of instructors: more hours, more qualified, more of them."""

from collections.abc import Iterator
from dataclasses import replace

from lessons.planner.problem import Problem, Visit
from lessons.planner.reasons.ease import MOST, Ease, Keys, altered, half_days, row_of
from lessons.planner.words import listed, slots_named


def qualify(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """Somebody more is qualified for a station."""
    taught = listed(v.name for v in problem.visits if v.station == keys[0])
    for person in problem.instructors:
        if keys[0] not in person.skills:
            skills = person.skills | {keys[0]}
            eased = altered(problem, "instructors", person.key, skills=skills)
            frame, about = f"Have {{}} qualified for {taught}.", (*keys, person.key)
            yield Ease(48, "qualification", frame, person.name, about, eased)
    for visit in (visit for visit in problem.visits if visit.station == keys[0]):
        yield from more_staff(problem, visit)


def more_hours(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """A few slots next to each other, or a whole half day."""
    grid = problem.grid
    for person in (row_of(problem, "instructors", key) for key in keys):
        every = {(d, u) for d in range(grid.days) for u in range(grid.slots_per_day)}
        for half in half_days(problem, frozenset(every - person.available)):
            rows = sorted(half)
            for length in sorted({*range(1, min(MOST, len(rows)) + 1), len(rows)}):
                for first in range(len(rows) - length + 1):
                    more = frozenset(rows[first : first + length])
                    frame = (
                        f"Have {{}} for {grid.hours(length)} more, on {slots_named(grid, more)}."
                    )
                    about = person.key, *(f"{day}:{slot}" for day, slot in sorted(more))
                    free = person.available | more
                    eased = altered(problem, "instructors", person.key, available=free)
                    yield Ease(14 + 6 * length, "hours", frame, person.name, about, eased, length)
        yield from more_load(problem, (person.key,))
        yield from longer_run(problem, (person.key,))
        for station in sorted(person.skills):
            yield from qualify(problem, (station,))


def more_load(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """More slots a day for somebody."""
    person = row_of(problem, "instructors", keys[0])
    for more in range(1, min(MOST, problem.grid.slots_per_day - person.max_load) + 1):
        frame = f"Let {{}} teach {problem.grid.hours(more)} more a day."
        eased = altered(problem, "instructors", person.key, max_load=person.max_load + more)
        yield Ease(20 + 6 * more, "load", frame, person.name, keys, eased, more)


def longer_run(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """More slots without a break for somebody."""
    person = row_of(problem, "instructors", keys[0])
    longest = max(len(half) for half in problem.grid.halves)
    for more in range(1, min(MOST, longest - person.max_run) + 1):
        frame = f"Let {{}} teach {problem.grid.hours(more)} more without a break."
        eased = altered(problem, "instructors", person.key, max_run=person.max_run + more)
        yield Ease(21 + 6 * more, "run", frame, person.name, keys, eased, more)


def more_staff(problem: Problem, visit: Visit) -> Iterator[Ease]:
    """One more of somebody who is qualified."""
    for person in problem.instructors:
        if visit.station in person.skills:
            new = replace(person, key=f"{person.key}/one more", name=f"one more {person.name}")
            frame = "Find one more instructor like {}."
            eased = replace(problem, instructors=(*problem.instructors, new))
            yield Ease(75, "qualification", frame, person.name, (person.key,), eased)
