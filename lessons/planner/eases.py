"""What could give: for each rule the smallest changes of a problem that ease it, in words.

A change is of the problem, so that it can be planned like any other, apart from a visit that one
squad goes without. The smaller its ``size``, the sooner it is tried.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from lessons.planner.plan import Conflict
from lessons.planner.problem import COVERED, LEFT_HANDED, LIT, Bay, Problem, SlotOfSchool, Visit
from lessons.planner.rules import Rule
from lessons.planner.words import slots_named

MOST = 3
"""The most slots, sessions or golfers that are asked for in addition."""


@dataclass(frozen=True)
class Ease:
    """One thing to give; ``without`` names visits that squads go without."""

    size: int
    kind: str
    words: str
    keys: tuple[str, ...]
    problem: Problem
    amount: int = 1
    without: frozenset[Rule] = frozenset()


def eases(problem: Problem, conflict: Conflict) -> Iterator[Ease]:
    """The changes that ease one rule of a clash."""
    yield from _EASES.get(conflict.rule, _nothing)(problem, conflict.keys)


Keys = tuple[str, ...]


def _nothing(_problem: Problem, _keys: Keys) -> Iterator[Ease]:
    yield from ()


def _with(problem: Problem, rows: str, key: str, **changes: Any) -> Problem:
    """The problem with one of its visits, bays, instructors or squads changed."""
    changed = (replace(r, **changes) if r.key == key else r for r in getattr(problem, rows))
    rest: dict[str, Any] = {rows: tuple(changed)}
    return replace(problem, **rest)


def _row(problem: Problem, rows: str, key: str) -> Any:
    return next(row for row in getattr(problem, rows) if row.key == key)


# The programme


def _left_out(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """A squad goes without a visit that nothing else waits for."""
    visit = _row(problem, "visits", keys[0])
    waited = any(visit.key in other.after for other in problem.visits)
    together = any(visit.key in pair for pair in problem.same_day)
    pinned = {row.squad for row in problem.pinned if row.visit == visit.key}
    for squad in problem.squads:
        if squad.key in set(keys[1:]) - pinned and not waited and not together:
            words = f"Leave {visit.name} out for {squad.name}."
            rule = Rule("visit", (visit.key, squad.key))
            yield Ease(60, "visit", words, rule.keys, problem, without=frozenset({rule}))
    if visit.times > 1:
        words = f"Have {visit.name} {visit.times - 1} times instead of {visit.times}."
        eased = _with(problem, "visits", visit.key, times=visit.times - 1)
        if all(other.after.get(visit.key, 0) < visit.times for other in problem.visits):
            yield Ease(65, "visit", words, (visit.key,), eased)
    yield from _more_bays(problem, visit)
    yield from _more_staff(problem, visit)


def _more_bays(problem: Problem, visit: Visit) -> Iterator[Ease]:
    suited = [bay for bay in problem.bays if visit.features <= bay.features]
    for bay in suited:
        left = LEFT_HANDED in bay.features
        if left or not any(LEFT_HANDED in other.features for other in suited):
            new = replace(bay, key=f"{bay.key}/one more", name=f"one more {bay.name}")
            words = f"Find one more bay like {bay.name}."
            eased = replace(problem, bays=(*problem.bays, new))
            yield Ease(70, "features", words, (bay.key,), eased)


def _more_staff(problem: Problem, visit: Visit) -> Iterator[Ease]:
    for person in problem.instructors:
        if visit.station in person.skills:
            new = replace(person, key=f"{person.key}/one more", name=f"one more {person.name}")
            words = f"Find one more instructor like {person.name}."
            eased = replace(problem, instructors=(*problem.instructors, new))
            yield Ease(75, "qualification", words, (person.key,), eased)


def _too_much(problem: Problem, keys: Keys) -> Iterator[Ease]:
    for key in keys:
        yield from _one_more_day(problem, (key,))
        yield from _shorter(problem, (key,))
        if not any(key in other.after for other in problem.visits):
            without = frozenset(Rule("visit", (key, squad.key)) for squad in problem.squads)
            words = f"Leave {_row(problem, 'visits', key).name} out for every squad."
            yield Ease(66, "visit", words, (key,), problem, without=without)


def _too_late(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """The visit that others wait for comes sooner, or there is more of what they are short of."""
    gate = _row(problem, "visits", keys[0])
    for bay in problem.bays:
        if gate.features <= bay.features or bay.key in keys[1:]:
            yield from _closed(problem, (bay.key,))
    for person in problem.instructors:
        if person.key in keys[1:]:
            yield from _hours(problem, (person.key,))
    yield from _more_bays(problem, gate)
    yield from _more_staff(problem, gate)
    for visit in problem.visits:
        if gate.key in visit.after:
            yield from _order(problem, (gate.key, visit.key))
            yield from _left_out(problem, (visit.key, *(row.key for row in problem.squads)))


def _shorter(problem: Problem, keys: Keys) -> Iterator[Ease]:
    visit = _row(problem, "visits", keys[0])
    for less in range(1, min(MOST, visit.slots - 1) + 1):
        slots = visit.slots - less
        words = f"Make {visit.name} shorter by {problem.grid.hours(less)}."
        in_bay = None if visit.bay_slots is None else min(visit.bay_slots, slots)
        eased = _with(problem, "visits", visit.key, slots=slots, bay_slots=in_bay)
        yield Ease(50 + less, "lunch", words, (visit.key,), eased, less)


def _lunch(problem: Problem, keys: Keys) -> Iterator[Ease]:
    for key in keys or tuple(visit.key for visit in problem.visits):
        yield from _shorter(problem, (key,))


def _one_more_day(problem: Problem, keys: Keys) -> Iterator[Ease]:
    visit = _row(problem, "visits", keys[0])
    for day in range(problem.opens[0], problem.grid.days):
        if not visit.allows(day):
            words = f"Allow {visit.name} on day {day + 1} as well."
            eased = _with(problem, "visits", visit.key, days=visit.days | {day})
            yield Ease(30, "days", words, (visit.key, str(day)), eased)


def _daily(problem: Problem, keys: Keys) -> Iterator[Ease]:
    visit = _row(problem, "visits", keys[0])
    for most in range(visit.most_a_day + 1, min(visit.times, visit.most_a_day + MOST) + 1):
        words = f"Allow {visit.name} {most} times a day instead of {visit.most_a_day}."
        eased = _with(problem, "visits", visit.key, most_a_day=most)
        yield Ease(30 + most, "daily", words, keys, eased, most - visit.most_a_day)


def _order(problem: Problem, keys: Keys) -> Iterator[Ease]:
    before, visit = _row(problem, "visits", keys[0]), _row(problem, "visits", keys[1])
    after = {key: count for key, count in visit.after.items() if key != before.key}
    words = f"Let {visit.name} start before {before.name} is finished."
    yield Ease(40, "order", words, keys, _with(problem, "visits", visit.key, after=after))


def _pair(problem: Problem, kind: str, field: str, keys: Keys) -> Iterator[Ease]:
    one, other = (_row(problem, "visits", key).name for key in keys)
    how = "different days" if kind == "same-day" else "the same day"
    rest: dict[str, Any] = {field: tuple(p for p in getattr(problem, field) if p != keys)}
    words = f"Let {one} and {other} fall on {how}."
    yield Ease(40, kind, words, keys, replace(problem, **rest))


def _away(problem: Problem, keys: Keys) -> Iterator[Ease]:
    name = _row(problem, "squads", keys[0]).name
    words = f"Let {name} go on without those who are away."
    yield Ease(40, "away", words, keys, _with(problem, "squads", keys[0], away=frozenset()))


def _pinned(problem: Problem, keys: Keys) -> Iterator[Ease]:
    squad, visit, day, slot = keys
    kept = tuple(
        row for row in problem.pinned if (row.squad, row.visit, str(row.day), str(row.slot)) != keys
    )
    when = slots_named(problem.grid, [(int(day), int(slot))])
    names = _row(problem, "squads", squad).name, _row(problem, "visits", visit).name
    words = f"Lift the pin from {names[0]}'s {names[1]} on {when}."
    yield Ease(10, "pinned", words, keys, replace(problem, pinned=kept))


# Bays


def _fit_out(problem: Problem, bays: list[Bay], lacking: frozenset[str]) -> Iterator[Ease]:
    verb = {COVERED: "Cover", LIT: "Light"}
    for bay in bays:
        missing = lacking - bay.features
        words = f"Fit out {bay.name} with {' and '.join(sorted(missing))}."
        if missing == {LEFT_HANDED}:
            words = f"Fit out {bay.name} for left-handers."
        elif len(missing) == 1 and {*missing} <= verb.keys():
            words = f"{verb[min(missing)]} {bay.name}."
        eased = _with(problem, "bays", bay.key, features=bay.features | missing)
        yield Ease(45 + len(missing), "features", words, (bay.key, *sorted(missing)), eased)


def _features(problem: Problem, keys: Keys) -> Iterator[Ease]:
    visit = _row(problem, "visits", keys[0])
    left = any(squad.left_handed for squad in problem.squads)
    needs = visit.features | ({LEFT_HANDED} if visit.handed and left else frozenset())
    lacking = [bay for bay in problem.bays if needs - bay.features]
    fewest = min((len(needs - bay.features) for bay in lacking), default=0)
    nearest = [bay for bay in lacking if len(needs - bay.features) == fewest]
    yield from _fit_out(problem, nearest, needs)
    yield from _more_bays(problem, visit)


def _rain(problem: Problem, _keys: Keys) -> Iterator[Ease]:
    bays = [bay for bay in problem.bays if COVERED not in bay.features]
    yield from _fit_out(problem, bays, frozenset({COVERED}))


def _dark(problem: Problem, _keys: Keys) -> Iterator[Ease]:
    bays = [bay for bay in problem.bays if LIT not in bay.features]
    yield from _fit_out(problem, bays, frozenset({LIT}))


def _closed(problem: Problem, keys: Keys) -> Iterator[Ease]:
    for bay in (_row(problem, "bays", key) for key in keys):
        for opened in _half_days(problem, bay.closed):
            hours = problem.grid.hours(len(opened))
            words = f"Open {bay.name} on {slots_named(problem.grid, opened)}, {hours}."
            about = bay.key, *(f"{day}:{slot}" for day, slot in sorted(opened))
            eased = _with(problem, "bays", bay.key, closed=bay.closed - opened)
            yield Ease(20 + len(opened), "closed", words, about, eased, len(opened))
    yield from _open_all_day(problem, keys)
    for visit in problem.visits:
        suited = {bay.key for bay in problem.bays if visit.features <= bay.features}
        if suited & {*keys}:
            yield from _more_bays(problem, visit)


def _open_all_day(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """All the bays together, for one day, unless that is one bay for half of it."""
    grid = problem.grid
    names = " and ".join(_row(problem, "bays", key).name for key in keys)
    for day in range(problem.opens[0], grid.days):
        whole = {(day, u) for u in range(grid.slots_per_day) if (day, u) >= problem.opens}
        eased, amount, parts = problem, 0, 0
        for key in keys:
            closed = _row(problem, "bays", key).closed
            amount += len(closed & whole)
            parts += len(list(_half_days(problem, closed & whole)))
            eased = _with(eased, "bays", key, closed=closed - whole)
        if parts > 1:
            words = f"Open {names} all of day {day + 1}."
            yield Ease(20 + amount, "closed", words, (*keys, str(day)), eased, amount)


def _half_days(
    problem: Problem, slots: frozenset[SlotOfSchool]
) -> Iterator[frozenset[SlotOfSchool]]:
    """Those of the slots still to come, by half day."""
    for day, half in product(range(problem.grid.days), problem.grid.halves):
        found = frozenset((day, u) for u in half if (day, u) in slots and (day, u) >= problem.opens)
        if found:
            yield found


def _capacity(problem: Problem, keys: Keys) -> Iterator[Ease]:
    bay = _row(problem, "bays", keys[0])
    for more in range(1, MOST + 1):
        words = f"Make room in {bay.name} for {bay.squads + more} squads instead of {bay.squads}."
        eased = _with(problem, "bays", bay.key, squads=bay.squads + more)
        yield Ease(35 + more, "capacity", words, keys, eased, more)


def _walk(problem: Problem, keys: Keys) -> Iterator[Ease]:
    here, there = keys
    allowed = problem.changeover_min
    driven = {pair: min(minutes, allowed) if {*pair} == {*keys} else minutes
              for pair, minutes in problem.walk_min.items()}  # fmt: skip
    words = f"Drive people between {here} and {there}, so that the change takes {allowed} min."
    yield Ease(50, "walk", words, keys, replace(problem, walk_min=driven))


# Instructors


def _qualification(problem: Problem, keys: Keys) -> Iterator[Ease]:
    taught = " and ".join(v.name for v in problem.visits if v.station == keys[0])
    for person in problem.instructors:
        if keys[0] not in person.skills:
            skills = person.skills | {keys[0]}
            words = f"Have {person.name} qualified for {taught}."
            eased = _with(problem, "instructors", person.key, skills=skills)
            yield Ease(48, "qualification", words, (*keys, person.key), eased)
    for visit in (visit for visit in problem.visits if visit.station == keys[0]):
        yield from _more_staff(problem, visit)


def _hours(problem: Problem, keys: Keys) -> Iterator[Ease]:
    """A few slots next to each other, or a whole half day."""
    grid = problem.grid
    for person in (_row(problem, "instructors", key) for key in keys):
        every = {(d, u) for d in range(grid.days) for u in range(grid.slots_per_day)}
        for half in _half_days(problem, frozenset(every - person.available)):
            rows = sorted(half)
            for length in sorted({*range(1, min(MOST, len(rows)) + 1), len(rows)}):
                for first in range(len(rows) - length + 1):
                    more = frozenset(rows[first : first + length])
                    words = (
                        f"Have {person.name} for {grid.hours(length)} more, on"
                        f" {slots_named(grid, more)}."
                    )
                    about = person.key, *(f"{day}:{slot}" for day, slot in sorted(more))
                    free = person.available | more
                    eased = _with(problem, "instructors", person.key, available=free)
                    yield Ease(14 + 6 * length, "hours", words, about, eased, length)
        for kind in ("load", "run"):
            yield from _EASES[kind](problem, (person.key,))
        for station in sorted(person.skills):
            yield from _qualification(problem, (station,))


def _load(problem: Problem, keys: Keys) -> Iterator[Ease]:
    person = _row(problem, "instructors", keys[0])
    for more in range(1, min(MOST, problem.grid.slots_per_day - person.max_load) + 1):
        words = f"Let {person.name} teach {problem.grid.hours(more)} more a day."
        eased = _with(problem, "instructors", person.key, max_load=person.max_load + more)
        yield Ease(20 + 6 * more, "load", words, keys, eased, more)


def _run(problem: Problem, keys: Keys) -> Iterator[Ease]:
    person = _row(problem, "instructors", keys[0])
    longest = max(len(half) for half in problem.grid.halves)
    for more in range(1, min(MOST, longest - person.max_run) + 1):
        words = f"Let {person.name} teach {problem.grid.hours(more)} more without a break."
        eased = _with(problem, "instructors", person.key, max_run=person.max_run + more)
        yield Ease(21 + 6 * more, "run", words, keys, eased, more)


def _ratio(problem: Problem, keys: Keys) -> Iterator[Ease]:
    visit = _row(problem, "visits", keys[0])
    for more in range(1, MOST + 1):
        words = (
            f"Let an instructor take {visit.ratio + more} golfers instead of {visit.ratio} at"
            f" {visit.name}."
        )
        eased = _with(problem, "visits", visit.key, ratio=visit.ratio + more)
        yield Ease(38 + more, "ratio", words, keys, eased, more)


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
    "features": _features,
    "left-handed": _features,
    "rain": _rain,
    "dark": _dark,
    "closed": _closed,
    "capacity": _capacity,
    "walk": _walk,
    "qualification": _qualification,
    "hours": _hours,
    "load": _load,
    "run": _run,
    "ratio": _ratio,
}
