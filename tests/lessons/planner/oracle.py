"""A second answer for tiny schools: try every placement, one after the other.

Rules can be let go by kind and keys as ``Conflict`` names them. A squad's visit that need not
be had may be left out, but one that waits for it then cannot be had either.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from graphlib import TopologicalSorter

from lessons.planner.plan import Conflict, Placement
from lessons.planner.problem import Problem, Visit
from tests.lessons.planner.schools import every_slot

F = frozenset


@dataclass(frozen=True)
class Asked:
    """A problem with some of its rules let go."""

    problem: Problem
    must: frozenset[tuple[str, str]]
    over_lunch: bool = False


def everything(problem: Problem) -> Asked:
    return Asked(problem, F((s.key, v.key) for s in problem.squads for v in problem.visits))


def holding_only(problem: Problem, conflicts: Iterable[Conflict]) -> Asked:
    """Let go of every rule but these."""
    kept = {(c.rule, c.keys) for c in conflicts if c.rule != "visit"}
    must = F((s, c.keys[0]) for c in conflicts if c.rule == "visit" for s in c.keys[1:])
    grid = problem.grid
    visits = tuple(
        replace(
            visit,
            features=visit.features if ("features", (visit.key,)) in kept else F(),
            handed=visit.handed and ("left-handed", (visit.key,)) in kept,
            days=visit.days if ("days", (visit.key,)) in kept else None,
            after=F(a for a in visit.after if ("order", (a, visit.key)) in kept),
        )
        for visit in problem.visits
    )
    stations = {v.station for v in visits if ("qualification", (v.station,)) not in kept}
    staff = tuple(
        replace(
            person,
            skills=person.skills | stations,
            available=person.available if ("hours", (person.key,)) in kept else every_slot(grid),
            max_load=person.max_load if ("load", (person.key,)) in kept else grid.slots_per_day,
            max_run=person.max_run if ("run", (person.key,)) in kept else grid.slots_per_day,
        )
        for person in problem.instructors
    )
    shut = {key for rule, keys in kept if rule == "closed" for key in keys}
    bays = tuple(b if b.key in shut else replace(b, closed=F()) for b in problem.bays)
    far = {frozenset(keys) for rule, keys in kept if rule == "walk"}
    walks = {pair: m if frozenset(pair) in far else 0 for pair, m in problem.walk_min.items()}
    eased = replace(problem, visits=visits, instructors=staff, bays=bays, walk_min=walks)
    return Asked(eased, must, over_lunch=("lunch", ()) not in kept)


def possible(asked: Asked) -> bool:
    return next(plans(asked), None) is not None


def plans(asked: Asked) -> Iterator[tuple[Placement, ...]]:
    """Every plan, squad by squad and each squad's visits in an order that they allow."""
    visits = {visit.key: visit for visit in asked.problem.visits}
    order = TopologicalSorter({visit.key: visit.after for visit in visits.values()})
    todo = [(s.key, key) for key in order.static_order() for s in asked.problem.squads]
    yield from _place(asked, visits, todo, [])


def _place(
    asked: Asked, visits: dict[str, Visit], todo: list[tuple[str, str]], done: list[Placement]
) -> Iterator[tuple[Placement, ...]]:
    if not todo:
        yield tuple(done)
        return
    squad, visit = todo[0]
    for day, slot in sorted(every_slot(asked.problem.grid)):
        for bay in asked.problem.bays:
            for person in asked.problem.instructors:
                new = Placement(squad, visit, day, slot, bay.key, person.key)
                if _fits(asked, visits, [*done, new]):
                    yield from _place(asked, visits, todo[1:], [*done, new])
    if (squad, visit) not in asked.must:
        yield from _place(asked, visits, todo[1:], done)


def _fits(asked: Asked, visits: dict[str, Visit], rows: list[Placement]) -> bool:
    """Whether the last of the rows is allowed beside the others."""
    problem, grid, new = asked.problem, asked.problem.grid, rows[-1]
    visit = visits[new.visit]
    squad = next(s for s in problem.squads if s.key == new.squad)
    bay = next(b for b in problem.bays if b.key == new.bay)
    person = next(i for i in problem.instructors if i.key == new.instructor)
    span = {(new.day, new.slot + more) for more in range(visit.slots)}
    needs = visit.features | ({"left-handed"} if visit.handed and squad.left_handed else set())
    if (
        not span <= every_slot(grid) & person.available
        or span & bay.closed
        or not needs <= bay.features
        or visit.station not in person.skills
        or (visit.days is not None and new.day not in visit.days)
        or (not asked.over_lunch and new.slot < grid.lunch_after < new.slot + visit.slots)
    ):
        return False
    ends = {r.visit: (r.day, r.slot + visits[r.visit].slots) for r in rows if r.squad == squad.key}
    if any(ends.get(before, (grid.days, 0)) > (new.day, new.slot) for before in visit.after):
        return False
    mine = [row for row in rows if row.squad == new.squad]
    taught = [row for row in rows if row.instructor == new.instructor]
    return (
        _one_at_a_time(asked, visits, mine)
        and _one_at_a_time(asked, visits, taught)
        and _bay_free(visits, rows)
        and _rested(asked, visits, taught)
    )


def _span(visits: dict[str, Visit], row: Placement) -> range:
    return range(row.slot, row.slot + visits[row.visit].slots)


def _bay_free(visits: dict[str, Visit], rows: list[Placement]) -> bool:
    *others, new = rows
    return not any(
        (r.bay, r.day) == (new.bay, new.day) and set(_span(visits, r)) & set(_span(visits, new))
        for r in others
    )


def _one_at_a_time(asked: Asked, visits: dict[str, Visit], rows: list[Placement]) -> bool:
    """No overlap, and no walk too far between neighbours, for one squad or instructor."""
    problem = asked.problem
    place = {bay.key: bay.place for bay in problem.bays}
    *others, new = rows
    for row in (r for r in others if r.day == new.day):
        one, two = sorted((_span(visits, row), _span(visits, new)), key=lambda s: s.start)
        if one.stop > two.start:
            return False
        if one.stop == two.start != problem.grid.lunch_after:
            here, there = place[row.bay], place[new.bay]
            minutes = problem.walk_min.get((here, there), problem.walk_min.get((there, here), 0))
            if here != there and minutes > problem.changeover_min:
                return False
    return True


def _rested(asked: Asked, visits: dict[str, Visit], taught: list[Placement]) -> bool:
    """Whether one instructor's day keeps to the load and the breaks."""
    problem, new = asked.problem, taught[-1]
    person = next(i for i in problem.instructors if i.key == new.instructor)
    busy = {slot for r in taught if r.day == new.day for slot in _span(visits, r)}
    line = "".join(".X"[slot in busy] for slot in range(problem.grid.slots_per_day))
    lunch = problem.grid.lunch_after
    longest = max(map(len, f"{line[:lunch]}.{line[lunch:]}".split(".")))
    return len(busy) <= person.max_load and longest <= person.max_run
