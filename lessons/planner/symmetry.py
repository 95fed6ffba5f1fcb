"""What can be swapped without changing the worth of any plan, put in a fixed order.

Squads are alike when no rule tells them apart: the same hand, the same absences, the same size
where it counts, and none of them named by a session of the past, a pinned or a published one.
Visits are alike when no rule and no goal tells them apart.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from lessons.planner.choices import Choices, Literal
from lessons.planner.plan import Placement
from lessons.planner.problem import Problem, Squad, Visit


def order_alike(model: Choices) -> None:
    """Leave one of each set of plans that differ only in who is who."""
    if not model.visits:
        return
    named = _first_visit(model.problem)
    for alike in alike_squads(model.problem):
        for one, other in pairwise(alike):
            model.cp.add(_when(model, one, named) <= _when(model, other, named))
    for earlier, later in alike_visits(model.problem):
        for squad in model.squads:
            pair = (squad.key, earlier.key), (squad.key, later.key)
            first, second = model.starts[pair[0]], model.starts[pair[1]]
            for moment in second:
                begun = sum(start for when, start in second.items() if when <= moment)
                had = sum(start for when, start in first.items() if when < moment)
                model.cp.add(begun <= had)


def in_order(problem: Problem, placements: Iterable[Placement]) -> tuple[Placement, ...]:
    """The same plan with like squads and like visits named as the model would name them."""
    rows = list(placements)
    index = problem.grid.index
    first = _first_visit(problem) if problem.visits else ""
    begins = {
        (row.squad, row.visit): (index(row.day, row.slot))
        for row in sorted(rows, key=lambda r: (r.day, r.slot), reverse=True)
    }
    named: dict[str, str] = {}
    for alike in alike_squads(problem):
        totals = {
            key: sum(index(r.day, r.slot) for r in rows if (r.squad, r.visit) == (key, first))
            for key in alike
        }
        named |= dict(zip(sorted(alike, key=lambda key: totals[key]), alike, strict=True))
    swaps: dict[tuple[str, str], str] = {}
    for group in _chains(alike_visits(problem)):
        for squad in problem.squads:
            by_time = sorted(group, key=lambda key: begins.get((squad.key, key), 0))
            swaps |= {(squad.key, old): new for old, new in zip(by_time, group, strict=True)}
    return tuple(
        replace(
            row,
            squad=named.get(row.squad, row.squad),
            visit=swaps.get((row.squad, row.visit), row.visit),
        )
        for row in rows
    )


def _first_visit(problem: Problem) -> str:
    """The visit that like squads are ordered by: the one with the fewest days, had once."""
    grid = problem.grid
    return min(
        problem.visits,
        key=lambda v: (v.times, len(v.days) if v.days is not None else grid.days, v.key),
    ).key


def _when(model: Choices, squad: str, visit: str) -> Literal:
    index = model.problem.grid.index
    return sum(index(*when) * start for when, start in model.starts[squad, visit].items())


def _named(problem: Problem) -> list[Placement]:
    return [*problem.past, *problem.pinned, *problem.published]


def alike_squads(problem: Problem) -> list[list[str]]:
    """Keys of squads that no rule tells apart, two or more together."""
    named = {row.squad for row in _named(problem)}
    sizes = any(visit.group for visit in problem.visits)
    ratios = {visit.ratio for visit in problem.visits if not visit.group}
    handed = any(visit.handed for visit in problem.visits)
    everyone = any(visit.everyone for visit in problem.visits)

    def kind(squad: Squad) -> object:
        size = squad.size if sizes else frozenset(r for r in ratios if squad.size > r)
        away = squad.away if everyone else None
        return handed and squad.left_handed, size, away

    found: dict[object, list[str]] = defaultdict(list)
    for squad in sorted(problem.squads, key=lambda squad: squad.key):
        if squad.key not in named:
            found[kind(squad)].append(squad.key)
    return [alike for alike in found.values() if len(alike) > 1]


def alike_visits(problem: Problem) -> list[tuple[Visit, Visit]]:
    """Neighbours among the visits that no rule and no goal tells apart, in order."""
    told_apart = {row.visit for row in _named(problem)}
    told_apart |= {key for pair in (*problem.same_day, *problem.other_day) for key in pair}
    told_apart |= {*(problem.same_instructor or ())}

    def kind(visit: Visit) -> object:
        followers = {v.key: v.after[visit.key] for v in problem.visits if visit.key in v.after}
        own = visit.key if visit.key in told_apart or visit.group or visit.times > 1 else ""
        what = (visit.station, visit.slots, visit.bay_slots, visit.handed, visit.ratio)
        how = (visit.preferred, visit.everyone, visit.features)
        days = visit.days if visit.days is not None else frozenset(range(problem.grid.days))
        rest = (*sorted(visit.after.items()),), (*sorted(followers.items()),)
        return own, what, how, days, rest

    found: dict[object, list[Visit]] = defaultdict(list)
    for visit in sorted(problem.visits, key=lambda visit: visit.key):
        found[kind(visit)].append(visit)
    return [pair for alike in found.values() for pair in pairwise(alike)]


def _chains(pairs: Sequence[tuple[Visit, Visit]]) -> list[list[str]]:
    chains: list[list[str]] = []
    for one, other in pairs:
        if chains and chains[-1][-1] == one.key:
            chains[-1].append(other.key)
        else:
            chains.append([one.key, other.key])
    return chains
