"""Walking: minutes that squads walk, from the base through their visits and back each half day.

A squad stays where its last visit was until the next one begins, and walks nowhere in a half day
without a visit. The model follows each squad from slot to slot: one arc is true of those from
each place to each place, and one leads somewhere else only where a visit begins or goes on.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from lessons.planner.plan import Placement
from lessons.planner.problem import Problem

if TYPE_CHECKING:  # the model brings the solver, which counting a plan does without
    from lessons.planner.model import Literal, Model


def most(problem: Problem) -> int:
    """As if every squad walked the longest way before each slot and home."""
    grid = problem.grid
    ways = [problem.walk(one, two) for one in _places(problem) for two in _places(problem)]
    legs = sum(len(half) + 1 for half in grid.halves if half) * grid.days
    return max(ways, default=0) * legs * len(problem.squads)


def _places(problem: Problem) -> list[str]:
    return sorted({str(problem.base), *(bay.place for bay in problem.bays)})


def count(problem: Problem, plan: Sequence[Placement]) -> int:
    """The minutes in a finished plan."""
    place = {bay.key: bay.place for bay in problem.bays}
    slots = {visit.key: visit.slots for visit in problem.visits}
    base, lunch = str(problem.base), problem.grid.lunch_after
    halves: dict[tuple[str, int, bool], list[tuple[int, str]]] = defaultdict(list)
    for row in plan:
        for at in range(row.slot, row.slot + slots[row.visit]):
            halves[row.squad, row.day, at >= lunch].append((at, place[row.bay]))
    return sum(
        problem.walk(here, there)
        for stops in halves.values()
        for here, there in pairwise([base, *(where for _, where in sorted(stops)), base])
    )


def term(model: Model) -> Literal:
    """The minutes as the model sees them."""
    busy = _busy(model)
    return sum(
        _half_day(model, [busy.get((squad.key, day, slot), {}) for slot in half])
        for squad in model.squads
        for day in range(model.problem.grid.days)
        for half in model.problem.grid.halves
    )


def _busy(model: Model) -> dict[tuple[str, int, int], dict[str, list[Literal]]]:
    """By squad, day and slot: for each place the literals that put the squad there."""
    busy: dict[tuple[str, int, int], dict[str, list[Literal]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for squad, visit, (day, slot), by_pool in model.all(model.in_pool):
        for number, literal in by_pool.items():
            for at in range(slot, slot + visit.slots):
                busy[squad.key, day, at][model.pools[number].place].append(literal)
    return busy


def _half_day(model: Model, slots: Sequence[dict[str, list[Literal]]]) -> Literal:
    """A way of the squad through one half of a day, from the base and back to it."""
    base, walk = str(model.problem.base), model.problem.walk
    minutes, coming = 0, {base: 1}
    for busy in slots:
        leaving = coming
        coming = {}
        out: dict[str, list[Literal]] = {here: [] for here in leaving}
        for there in sorted({*leaving, *busy}):
            arcs = []
            for here in out if there in busy else [there]:
                arc = model.cp.new_bool_var("")
                minutes += walk(here, there) * arc
                out[here].append(arc)
                arcs.append((here, arc))
            coming[there] = sum(arc for _, arc in arcs)
            here_now = sum(busy.get(there, []))
            model.cp.add(coming[there] >= here_now)
            if there in busy:
                model.cp.add(sum(arc for here, arc in arcs if here != there) <= here_now)
        for here, arcs_out in out.items():
            model.cp.add(sum(arcs_out) == leaving[here])
    return minutes + sum(walk(here, base) * there for here, there in coming.items())
