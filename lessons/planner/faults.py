"""What makes a problem contradict itself, in words; the solver trusts a problem without faults."""

from collections import Counter
from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter
from itertools import permutations, product
from typing import TYPE_CHECKING

from lessons.planner.plan import Placement

if TYPE_CHECKING:
    from lessons.planner.problem import Grid, Problem, Visit


def find_faults(problem: "Problem", largest_squad: int) -> list[str]:
    """Every fault, one sentence each; those of the grid alone, as all else is counted on it."""
    faults = [*_grid_faults(problem.grid)]
    if faults:
        return faults
    faults += [*_squad_faults(problem, largest_squad)]
    for look in (
        _key_faults,
        _size_faults,
        _time_faults,
        _reference_faults,
        _pair_faults,
        _session_faults,
        _walk_faults,
    ):
        faults += look(problem)
    return faults


def _grid_faults(grid: "Grid") -> Iterator[str]:
    if grid.days < 1 or grid.slots_per_day < 1 or grid.slot_min < 1:
        yield "A school needs at least one day of one slot of one minute."
    elif not 0 <= grid.lunch_after <= grid.slots_per_day:
        yield f"Lunch after slot {grid.lunch_after} lies outside a day of {grid.slots_per_day}."
    elif grid.slot_times and len(grid.slot_times) != grid.slots_per_day:
        yield f"{len(grid.slot_times)} slots have a time and a day has {grid.slots_per_day}."


def _key_faults(problem: "Problem") -> Iterator[str]:
    for word, rows in (
        ("squad", problem.squads),
        ("visit", problem.visits),
        ("bay", problem.bays),
        ("instructor", problem.instructors),
    ):
        for key, count in Counter(row.key for row in rows).items():
            if count > 1:
                yield f"The {word} key {key!r} is used {count} times."


def _squad_faults(problem: "Problem", largest: int) -> Iterator[str]:
    for squad in problem.squads:
        if not 1 <= squad.size <= largest:
            yield f"Squad {squad.name} has {squad.size} attendees; 1 to {largest} are allowed."


def _size_faults(problem: "Problem") -> Iterator[str]:
    for visit in problem.visits:
        yield from _visit_size_faults(visit)
    for bay in problem.bays:
        if bay.squads < 1:
            yield f"{bay.name} must hold at least one squad."
    for person in problem.instructors:
        if person.max_load < 0 or person.max_run < 1:
            yield f"{person.name} needs a load of 0 or more and a run of 1 or more slots."
        if person.load_factor < 1:
            yield f"A slot of {person.name} must count 1 or more when loads are compared."
    if problem.lead_visits < 0 or problem.changeover_min < 0:
        yield "Visits with the lead instructor and the changeover cannot be negative."


def _visit_size_faults(visit: "Visit") -> Iterator[str]:
    if visit.slots < 1:
        yield f"Visit {visit.name} takes {visit.slots} slots; at least 1 is needed."
    elif not 1 <= visit.in_bay <= visit.slots:
        yield (
            f"Visit {visit.name} takes a bay for {visit.in_bay} slots; 1 to {visit.slots} are"
            " allowed."
        )
    if visit.times < 1 or visit.most_a_day < 1:
        yield f"Visit {visit.name} must be had at least once, and at least once a day allowed."
    if visit.ratio < 1:
        yield f"In visit {visit.name} an instructor must take at least one golfer."


def _time_faults(problem: "Problem") -> Iterator[str]:
    grid = problem.grid
    for name, slots in (
        *((bay.name, bay.closed) for bay in problem.bays),
        *((person.name, person.available) for person in problem.instructors),
        *((squad.name, squad.away) for squad in problem.squads),
        ("Rain", problem.rain),
        ("Dark", problem.dark),
        ("Now", {problem.now} if problem.now else ()),
    ):
        for day, slot in sorted(slots):
            if not (0 <= day < grid.days and 0 <= slot < grid.slots_per_day):
                yield f"{name}: day {day}, slot {slot} lies outside the school."
    for visit in problem.visits:
        if visit.days is not None and not (visit.days and visit.days <= set(range(grid.days))):
            yield (
                f"Visit {visit.name} must be allowed on at least one day, and only on days of"
                " the school."
            )
        if not (visit.preferred or set()) <= set(range(grid.slots_per_day)):
            yield f"Visit {visit.name} prefers to begin in a slot that a day does not have."


def _reference_faults(problem: "Problem") -> Iterator[str]:
    visits = {visit.key: visit for visit in problem.visits}
    for visit in problem.visits:
        for key in sorted(visit.after):
            count = visit.after[key]
            if key not in visits:
                yield f"Visit {visit.name} waits for the unknown visit {key!r}."
            elif not 1 <= count <= visits[key].times:
                yield (
                    f"Visit {visit.name} waits for {count} sessions of {visits[key].name}, which"
                    f" has {visits[key].times}."
                )
    for key in problem.same_instructor or ():
        if key not in visits:
            yield f"The same instructor is asked for the unknown visit {key!r}."
    if problem.lead is not None and problem.lead not in {i.key for i in problem.instructors}:
        yield f"The lead instructor {problem.lead!r} is not one of the instructors."
    try:
        TopologicalSorter({visit.key: visit.after for visit in problem.visits}).prepare()
    except CycleError as error:
        circle = [visits[key].name for key in error.args[1]]
        yield f"These visits wait for each other in a circle: {', then '.join(circle)}."


def _pair_faults(problem: "Problem") -> Iterator[str]:
    visits = {visit.key: visit for visit in problem.visits}
    for word, pairs in (("the same day", problem.same_day), ("another day", problem.other_day)):
        for one, other in pairs:
            if not {one, other} <= visits.keys():
                yield f"One of {one!r} and {other!r}, asked for on {word}, is unknown."
            elif one == other:
                yield f"{visits[one].name} is asked for on {word} as itself."
            elif word == "the same day" and visits[one].times != visits[other].times:
                yield (
                    f"{visits[one].name} and {visits[other].name} cannot be on the same days: one"
                    f" is had {visits[one].times} times, the other {visits[other].times}."
                )


def _session_faults(problem: "Problem") -> Iterator[str]:
    """Faults of sessions that the plan must hold; what was published is only compared."""
    for word, rows in (("past", problem.past), ("pinned", problem.pinned)):
        for key, count in Counter((r.squad, r.visit, r.day, r.slot) for r in rows).items():
            if count > 1:
                yield f"The {word} session of squad {key[0]!r}, visit {key[1]!r} is given twice."
        for row in sorted(rows):
            yield from _one_session(problem, word, row)
    yield from _past_at_once(problem)
    for row in sorted(problem.past):
        if problem.now is not None and (row.day, row.slot) >= problem.now:
            yield f"The past session of squad {row.squad!r} on day {row.day} is yet to come."


def _past_at_once(problem: "Problem") -> Iterator[str]:
    slots = {visit.key: visit.slots for visit in problem.visits}
    groups = {visit.key for visit in problem.visits if visit.group}
    busy: dict[tuple[str, str, int, int], Placement] = {}
    for row in sorted(problem.past):
        whose = [("squad", row.squad), *(("instructor", key) for key in row.instructors)]
        for who, at in product(whose, range(row.slot, row.slot + slots.get(row.visit, 0))):
            other = busy.setdefault((*who, row.day, at), row)
            same = (other.visit, other.slot, other.bay) == (row.visit, row.slot, row.bay)
            together = same and row.visit in groups and who[0] == "instructor"
            if other is not row and not together:
                yield f"The {who[0]} {who[1]!r} has two past sessions at once on day {row.day}."


def _one_session(problem: "Problem", word: str, row: Placement) -> Iterator[str]:
    where = f"The {word} session of squad {row.squad!r}, visit {row.visit!r}"
    known = (
        row.squad in {squad.key for squad in problem.squads}
        and row.visit in {visit.key for visit in problem.visits}
        and row.bay in {bay.key for bay in problem.bays}
        and {*row.instructors} <= {person.key for person in problem.instructors}
    )
    if not known:
        yield f"{where} names a squad, visit, bay or instructor that is unknown."
        return
    slots = next(visit.slots for visit in problem.visits if visit.key == row.visit)
    grid = problem.grid
    if not (0 <= row.day < grid.days and 0 <= row.slot <= grid.slots_per_day - slots):
        yield f"{where} lies outside the school."
    if not row.instructors or len({*row.instructors}) < len(row.instructors):
        yield f"{where} must name at least one instructor, and nobody twice."


def _walk_faults(problem: "Problem") -> Iterator[str]:
    base = set() if problem.base is None else {problem.base}
    for start, end in permutations(sorted({bay.place for bay in problem.bays} | base), 2):
        try:
            minutes = problem.walk(start, end)
        except KeyError:
            if start < end:
                yield f"The walk between {start} and {end} is not given."
            continue
        if minutes < 0:
            yield f"The walk from {start} to {end} is negative."
