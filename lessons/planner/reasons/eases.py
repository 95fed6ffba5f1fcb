"""What could give: for each rule the smallest changes of a problem that ease it, in words.

A change is of the problem, so that it can be planned like any other, apart from a visit that one
squad goes without. The smaller its ``size``, the sooner it is tried.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from lessons.planner.plan import Conflict
from lessons.planner.problem import Problem
from lessons.planner.reasons.ease import MOST, Ease, Keys, altered, row_of
from lessons.planner.reasons.more_bays import cover, fit_out, light, more_bays, more_room, open_bays
from lessons.planner.reasons.more_hands import (
    longer_run,
    more_hours,
    more_load,
    more_staff,
    qualify,
)
from lessons.planner.reasons.needs import still_due
from lessons.planner.rules import Rule
from lessons.planner.words import slots_named


def eases(problem: Problem, conflict: Conflict) -> Iterator[Ease]:
    """The changes that ease one rule of a clash."""
    yield from _EASES.get(conflict.rule, _nothing)(problem, conflict.keys)


def _nothing(_problem: Problem, _keys: Keys) -> Iterator[Ease]:
    yield from ()


# The programme


def _left_out(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """A squad goes without a visit that nothing else waits for."""
    visit = row_of(problem, "visits", keys[0])
    pinned = {row.squad for row in problem.pinned if row.visit == visit.key}
    for squad in problem.squads:
        due = squad.key in set(keys[1:]) & _still_to_have(problem, visit.key)
        if due and squad.key not in pinned and not _asked_for(problem, visit.key):
            frame = f"Leave {visit.name} out for {{}}."
            rule = Rule("visit", (visit.key, squad.key))
            without = frozenset({rule})
            yield Ease(60, "visit", frame, squad.name, rule.keys, problem, without=without)
    if visit.times > 1:
        frame = f"Have {{}} {visit.times - 1} times instead of {visit.times}."
        eased = altered(problem, "visits", visit.key, times=visit.times - 1)
        if all(other.after.get(visit.key, 0) < visit.times for other in problem.visits):
            yield Ease(65, "visit", frame, visit.name, (visit.key,), eased)
    yield from more_bays(problem, visit)
    yield from more_staff(problem, visit)


def _still_to_have(problem: Problem, key: str) -> set[str]:
    """The squads that have not had all of a visit."""
    return {row.squad.key for row in still_due(problem) if row.visit.key == key}


def _asked_for(problem: Problem, key: str) -> bool:
    """Whether another visit cannot be had without this one."""
    together = any(key in pair for pair in problem.same_day)
    return together or any(key in other.after for other in problem.visits)


def _too_much(problem: Problem, keys: Keys) -> Iterator[Ease]:
    for key in keys:
        yield from _one_more_day(problem, (key,))
        yield from _shorter(problem, (key,))
        pinned = any(row.visit == key for row in problem.pinned)
        if not pinned and not _asked_for(problem, key):
            due = _still_to_have(problem, key)
            without = frozenset(Rule("visit", (key, squad)) for squad in due)
            name = row_of(problem, "visits", key).name
            late = " still to have it" if problem.past else ""
            frame = f"Leave {{}} out for every squad{late}."
            yield Ease(66, "visit", frame, name, (key,), problem, without=without)


def _too_late(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """The visit that others wait for comes sooner, or there is more of what they are short of."""
    gate = row_of(problem, "visits", keys[0])
    for bay in problem.bays:
        if gate.features <= bay.features or bay.key in keys[1:]:
            yield from open_bays(problem, (bay.key,))
    for person in problem.instructors:
        if person.key in keys[1:]:
            yield from more_hours(problem, (person.key,))
    yield from more_bays(problem, gate)
    yield from more_staff(problem, gate)
    for visit in problem.visits:
        if gate.key in visit.after:
            yield from _order(problem, (gate.key, visit.key))
            yield from _left_out(problem, (visit.key, *(row.key for row in problem.squads)))


def _shorter(problem: Problem, keys: Keys) -> Iterator[Ease]:
    visit = row_of(problem, "visits", keys[0])
    for less in range(1, min(MOST, visit.slots - 1) + 1):
        slots = visit.slots - less
        frame = f"Make {{}} shorter by {problem.grid.hours(less)}."
        in_bay = None if visit.bay_slots is None else min(visit.bay_slots, slots)
        eased = altered(problem, "visits", visit.key, slots=slots, bay_slots=in_bay)
        yield Ease(50 + less, "lunch", frame, visit.name, (visit.key,), eased, less)


def _lunch(problem: Problem, keys: Keys) -> Iterator[Ease]:
    for key in keys or tuple(visit.key for visit in problem.visits):
        yield from _shorter(problem, (key,))


def _one_more_day(problem: Problem, keys: Keys) -> Iterator[Ease]:
    visit = row_of(problem, "visits", keys[0])
    for day in range(problem.opens[0], problem.grid.days):
        if not visit.allows(day):
            frame = f"Allow {{}} on day {day + 1} as well."
            eased = altered(problem, "visits", visit.key, days=visit.days | {day})
            about = visit.key, str(day)
            yield Ease(30, "days", frame, visit.name, about, eased)


def _daily(problem: Problem, keys: Keys) -> Iterator[Ease]:
    visit = row_of(problem, "visits", keys[0])
    for most in range(visit.most_a_day + 1, min(visit.times, visit.most_a_day + MOST) + 1):
        frame = f"Allow {{}} {most} times a day instead of {visit.most_a_day}."
        eased = altered(problem, "visits", visit.key, most_a_day=most)
        yield Ease(30 + most, "daily", frame, visit.name, keys, eased, most - visit.most_a_day)


def _order(problem: Problem, keys: Keys) -> Iterator[Ease]:
    before, visit = row_of(problem, "visits", keys[0]), row_of(problem, "visits", keys[1])
    after = {key: count for key, count in visit.after.items() if key != before.key}
    frame = f"Let {{}} start before {before.name} is finished."
    eased = altered(problem, "visits", visit.key, after=after)
    yield Ease(40, "order", frame, visit.name, keys, eased)


def _pair(problem: Problem, kind: str, field: str, keys: Keys) -> Iterator[Ease]:
    one, other = (row_of(problem, "visits", key).name for key in keys)
    how = "different days" if kind == "same-day" else "the same day"
    rest: dict[str, Any] = {field: tuple(p for p in getattr(problem, field) if p != keys)}
    frame = f"Let {{}} fall on {how}."
    yield Ease(40, kind, frame, f"{one} and {other}", keys, replace(problem, **rest))


def _away(problem: Problem, keys: Keys) -> Iterator[Ease]:
    name = row_of(problem, "squads", keys[0]).name
    frame = "Let {} go on without those who are away."
    yield Ease(40, "away", frame, name, keys, altered(problem, "squads", keys[0], away=frozenset()))


def _pinned(problem: Problem, keys: Keys) -> Iterator[Ease]:
    squad, visit, day, slot = keys
    kept = tuple(
        row for row in problem.pinned if (row.squad, row.visit, str(row.day), str(row.slot)) != keys
    )
    when = slots_named(problem.grid, [(int(day), int(slot))])
    names = row_of(problem, "squads", squad).name, row_of(problem, "visits", visit).name
    name = f"{names[0]}'s {names[1]} on {when}"
    yield Ease(10, "pinned", "Lift the pin from {}.", name, keys, replace(problem, pinned=kept))


def _walk(problem: Problem, keys: Keys) -> Iterator[Ease]:
    here, there = keys
    allowed = problem.changeover_min
    driven = {pair: min(minutes, allowed) if {*pair} == {*keys} else minutes
              for pair, minutes in problem.walk_min.items()}  # fmt: skip
    frame = f"Drive people between {{}}, so that the change takes {allowed} min."
    yield Ease(50, "walk", frame, f"{here} and {there}", keys, replace(problem, walk_min=driven))


def _ratio(problem: Problem, keys: Keys) -> Iterator[Ease]:
    visit = row_of(problem, "visits", keys[0])
    for more in range(1, MOST + 1):
        frame = (
            f"Let an instructor take {visit.ratio + more} golfers instead of {visit.ratio} at {{}}."
        )
        eased = altered(problem, "visits", visit.key, ratio=visit.ratio + more)
        yield Ease(38 + more, "ratio", frame, visit.name, keys, eased, more)


_EASES: dict[str, Callable[[Problem, Keys], Iterator[Ease]]] = {
    "visit": _left_out,
    "too much": _too_much,
    "too late": _too_late,
    "lunch": _lunch,
    "days": _one_more_day,
    "daily": _daily,
    "order": _order,
    "same-day": lambda problem, keys: _pair(problem, "same-day", "same_day", keys),
    "other-day": lambda problem, keys: _pair(problem, "other-day", "other_day", keys),
    "away": _away,
    "pinned": _pinned,
    "features": fit_out,
    "left-handed": fit_out,
    "rain": cover,
    "dark": light,
    "closed": open_bays,
    "capacity": more_room,
    "walk": _walk,
    "qualification": qualify,
    "hours": more_hours,
    "load": more_load,
    "run": longer_run,
    "ratio": _ratio,
}
