"""Fairness: slots between the most and the least loaded of the instructors who could teach.

A slot of an instructor counts ``load_factor`` times. A group counts once for each of its
instructors, however many squads it has.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count as count_from
from math import ceil
from typing import TYPE_CHECKING

from lessons.planner.plan import Placement
from lessons.planner.problem import Problem, Visit

if TYPE_CHECKING:  # the model brings the solver, which counting a plan does without
    from lessons.planner.model import Literal, Model


def teaching(problem: Problem) -> dict[str, int]:
    """The instructors who could teach something, with what a slot counts."""
    stations = {visit.station for visit in problem.visits}
    return {
        person.key: person.load_factor
        for person in problem.instructors
        if person.available and person.skills & stations and person.max_load
    }


def most(problem: Problem) -> int:
    """As if one had every slot and another none."""
    return problem.grid.slots * max(teaching(problem).values(), default=1)


def term(model: Model) -> Literal:
    """The difference as the model sees it."""
    top = most(model.problem)
    highest, lowest = model.cp.new_int_var(0, top, ""), model.cp.new_int_var(0, top, "")
    loads: dict[str, list[Literal]] = {key: [] for key in teaching(model.problem)}
    for (key, *_), literals in model.staff_busy.items():
        if key in loads:
            loads[key] += literals
    for key, factor in teaching(model.problem).items():
        model.cp.add(highest >= factor * sum(loads[key]))
        model.cp.add(lowest <= factor * sum(loads[key]))
    return highest - lowest


def count(problem: Problem, plan: Sequence[Placement]) -> int:
    """The difference in a finished plan."""
    slots = {visit.key: visit.slots for visit in problem.visits}
    busy = {
        (key, row.day, row.slot + more)
        for row in plan
        for key in row.instructors
        for more in range(slots[row.visit])
    }
    loads = dict.fromkeys(teaching(problem), 0)
    for key, *_ in busy:
        if key in loads:
            loads[key] += 1
    counted = [factor * loads[key] for key, factor in teaching(problem).items()]
    return max(counted) - min(counted)


def floor(problem: Problem) -> int:
    """The least difference that shares out the slots to be taught, asking nothing but the sum."""
    if problem.past:
        return 0
    least, largest = _slots_taught(problem)
    factors = [*teaching(problem).values()]
    for difference in count_from():
        for lowest in range(largest * max(factors) + 1):
            fewest = sum(ceil(lowest / factor) for factor in factors)
            if fewest > largest:
                break
            if sum((lowest + difference) // factor for factor in factors) < least:
                continue
            if all(ceil(lowest / f) <= (lowest + difference) // f for f in factors):
                return difference
    raise AssertionError("a difference of all slots always does")


def _slots_taught(problem: Problem) -> tuple[int, int]:
    """The fewest and the most instructor slots that the visits can take."""
    golfers = [squad.size for squad in problem.squads]

    def sessions(visit: Visit) -> tuple[int, int]:
        if not visit.group:
            return len(golfers), len(golfers)
        return ceil(sum(golfers) / visit.ratio), sum(ceil(n / visit.ratio) for n in golfers)

    taught = [(v.slots * v.times, sessions(v)) for v in problem.visits]
    return sum(n * low for n, (low, _) in taught), sum(n * high for n, (_, high) in taught)
