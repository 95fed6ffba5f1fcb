"""A second answer for tiny schools: try every placement, one after the other.

Rules can be let go by kind and keys as ``Conflict`` names them. A squad's visit that need not
be had may be left out, but one that waits for it then cannot be had either.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from graphlib import TopologicalSorter
from itertools import combinations, islice

from lessons.planner.plan import Conflict, Placement
from lessons.planner.problem import Instructor, Problem, Squad, Visit
from tests.lessons.planner.independent_checker import Checker
from tests.lessons.planner.schools import every_slot

F = frozenset
Rows = tuple[Placement, ...]


@dataclass(frozen=True)
class Asked:
    """A problem with some of its rules let go."""

    problem: Problem
    must: frozenset[tuple[str, str]]
    over_lunch: bool = False
    any_number: frozenset[str] = F()
    """Groups with as many instructors as one likes."""


def everything(problem: Problem) -> Asked:
    return Asked(problem, F((s.key, v.key) for s in problem.squads for v in problem.visits))


def holding_only(problem: Problem, conflicts: Iterable[Conflict]) -> Asked:
    """Let go of every rule but these."""
    conflicts = list(conflicts)
    kept = {(c.rule, c.keys) for c in conflicts if c.rule != "visit"}
    must = F((s, c.keys[0]) for c in conflicts if c.rule == "visit" for s in c.keys[1:])
    visits = tuple(_eased_visit(problem, visit, kept) for visit in problem.visits)
    stations = {v.station for v in visits if ("qualification", (v.station,)) not in kept}
    shut = {key for rule, keys in kept if rule == "closed" for key in keys}
    far = {F(keys) for rule, keys in kept if rule == "walk"}
    eased = replace(
        problem,
        squads=tuple(
            s if ("away", (s.key,)) in kept else replace(s, away=F()) for s in problem.squads
        ),
        visits=visits,
        instructors=tuple(_eased(problem, p, stations, kept) for p in problem.instructors),
        bays=tuple(
            replace(
                bay,
                closed=bay.closed if bay.key in shut else F(),
                squads=bay.squads
                if bay.squads == 1 or ("capacity", (bay.key,)) in kept
                else len(problem.squads),
            )
            for bay in problem.bays
        ),
        walk_min={pair: m if F(pair) in far else 0 for pair, m in problem.walk_min.items()},
        rain=problem.rain if ("rain", ()) in kept else F(),
        dark=problem.dark if ("dark", ()) in kept else F(),
        same_day=tuple(p for p in problem.same_day if ("same-day", p) in kept),
        other_day=tuple(p for p in problem.other_day if ("other-day", p) in kept),
        pinned=tuple(
            r
            for r in problem.pinned
            if ("pinned", (r.squad, r.visit, str(r.day), str(r.slot))) in kept
        ),
    )
    groups = F(v.key for v in visits if v.group and ("ratio", (v.key,)) not in kept)
    return Asked(eased, must, ("lunch", ()) not in kept, groups)


def _eased_visit(problem: Problem, visit: Visit, kept: set[tuple[str, tuple[str, ...]]]) -> Visit:
    held = {rule for rule, keys in kept if keys == (visit.key,)}
    return replace(
        visit,
        features=visit.features if "features" in held else F(),
        handed=visit.handed and "left-handed" in held,
        days=visit.days if "days" in held else None,
        most_a_day=visit.most_a_day if "daily" in held else visit.times,
        ratio=visit.ratio if "ratio" in held or visit.group else 4,
        after={a: n for a, n in visit.after.items() if ("order", (a, visit.key)) in kept},
    )


def _eased(
    problem: Problem,
    person: Instructor,
    stations: set[str],
    kept: set[tuple[str, tuple[str, ...]]],
) -> Instructor:
    held = {rule for rule, keys in kept if keys == (person.key,)}
    grid = problem.grid
    return replace(
        person,
        skills=person.skills | stations,
        available=person.available if "hours" in held else every_slot(grid),
        max_load=person.max_load if "load" in held else grid.slots_per_day,
        max_run=person.max_run if "run" in held else grid.slots_per_day,
    )


def possible(asked: Asked) -> bool:
    return next(plans(asked), None) is not None


def beaten(problem: Problem, values: Sequence[int], most: int = 2000) -> str:
    """Why the values of the goals are not the best there are; nothing when they are.

    Of so many plans that going through all of them would take minutes, the first are tried.
    """
    tried = islice(plans(everything(problem)), most)
    found = [[*Checker.of(problem, rows).goals().values()] for rows in tried]
    best = min(found, default=[])
    if best < [*values] or (len(found) < most and best != [*values]):
        return f"{best} of {len(found)} plans"
    return ""


def plans(asked: Asked) -> Iterator[Rows]:
    """Every plan, each squad's visits in an order that they allow."""
    problem = asked.problem
    visits = {visit.key: visit for visit in problem.visits}
    squads = {squad.key: squad for squad in problem.squads}
    order = TopologicalSorter({visit.key: visit.after for visit in visits.values()})
    todo = []
    for key in order.static_order():
        for squad in squads:
            over = sum((row.squad, row.visit) == (squad, key) for row in problem.past)
            todo += [(squad, key)] * max(0, visits[key].times - over)
    choices = {
        (squad, key): [*_choices(asked, squads[squad], visits[key])] for squad, key in set(todo)
    }
    yield from _place(asked, choices, todo, tuple(sorted(problem.past)))


def _choices(asked: Asked, squad: Squad, visit: Visit) -> Iterator[Placement]:
    """Every session of the squad's visit that breaks no rule by itself, in order of time."""
    problem = asked.problem
    keys = [person.key for person in problem.instructors]
    teams = [team for size in range(1, len(keys) + 1) for team in combinations(sorted(keys), size)]
    if not visit.group:
        teams = [team for team in teams if len(team) == 1]
    for day, slot in sorted(every_slot(problem.grid)):
        for bay in problem.bays:
            for team in teams:
                row = Placement(squad.key, visit.key, day, slot, bay.key, team)
                alone = Checker.of(problem, [*problem.past, row])
                faults = [f for f in alone.times() if not (asked.over_lunch and "lunch" in f)]
                free = day * 1000 + slot >= alone.first_free()
                if free and not faults and not any((*alone.places(), *alone.people())):
                    yield row


def _place(
    asked: Asked,
    choices: dict[tuple[str, str], list[Placement]],
    todo: list[tuple[str, str]],
    done: Rows,
) -> Iterator[Rows]:
    if not todo:
        if _whole(asked, done):
            yield done
        return
    pair, rest = todo[0], todo[1:]
    last = [row for row in done if (row.squad, row.visit) == pair and row not in asked.problem.past]
    for new in choices[pair]:
        if last and (new.day, new.slot) <= (last[-1].day, last[-1].slot):
            continue
        if _fits(asked.problem, new, done):
            yield from _place(asked, choices, rest, (*done, new))
    if pair not in asked.must:
        yield from _place(asked, choices, [other for other in rest if other != pair], done)


def _fits(problem: Problem, new: Placement, done: Rows) -> bool:
    """Whether a session is allowed beside the others, as far as that can be told already."""
    near = tuple(row for row in done if row.day == new.day)
    slots = {visit.key: visit.slots for visit in problem.visits}
    busy = [row for row in near if row.slot < new.slot + slots[new.visit]]
    busy = [row for row in busy if new.slot < row.slot + slots[row.visit]]
    if any(row.squad == new.squad for row in busy):
        return False
    checker = Checker.of(problem, (*near, new))
    looks = (checker.people, checker.crowds, checker.walks, checker.work, checker.days)
    if any(fault for look in looks for fault in look()):
        return False
    whole = Checker.of(problem, (*done, new))
    pairs = (f for f in whole.pairs_of_days() if "different" not in f)
    return not any((*whole.orders(), *pairs))


def _whole(asked: Asked, done: Rows) -> bool:
    checker = Checker.of(asked.problem, done)
    groups = (f for f in checker.groups() if f.split("'")[1] not in asked.any_number)
    instructors = (f for f in checker.groups() if "different" in f)
    return not any((*groups, *instructors, *checker.pairs_of_days(), *checker.standing()))
