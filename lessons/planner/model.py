"""The 0-1 model: one literal for each start, bay pool and instructor of each squad's visit.

1. A start literal says that the squad's visit begins in that slot; of its bay-pool literals
   and its instructor literals exactly one of each is true when it is.
2. A squad, an instructor and each bay of a pool are in one place at a time.
3. Loads, runs without a break, orders and walks are sums of those literals.

Built strict, choices that break a rule are left out, rules let go aside. Built guarded, every
choice is there and each rule is held by a literal of its own, which the solver may assume.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Any, TypeVar

from ortools.sat.python import cp_model

from lessons.planner.plan import Placement
from lessons.planner.problem import Instructor, Problem, SlotOfSchool, Squad, Visit
from lessons.planner.rules import (
    Pool,
    Rule,
    broken_by_bay,
    broken_by_instructor,
    broken_by_time,
    must_have,
    pools,
    walk_rule,
)

Literal = Any  # ortools carries no types that mypy can follow through its compiled half
Key = TypeVar("Key", int, str)
Busy = dict[tuple[str, int, int], list[Literal]]


class Model:
    """A problem as CP-SAT sees it. Goals and explanations add to ``cp`` through its parts."""

    def __init__(
        self, problem: Problem, *, guarded: bool = False, let_go: Collection[Rule] = ()
    ) -> None:
        self.problem = problem
        self.guarded = guarded
        self.let_go = let_go
        self.cp = cp_model.CpModel()
        self.guards: dict[Rule, Literal] = {}
        self.squads = sorted(problem.squads, key=lambda row: row.key)
        self.visits = sorted(problem.visits, key=lambda row: row.key)
        self.instructors = sorted(problem.instructors, key=lambda row: row.key)
        self.pools = pools(problem)
        self.starts: dict[tuple[str, str], dict[SlotOfSchool, Literal]] = {}
        self.in_pool: dict[tuple[str, str], dict[SlotOfSchool, dict[int, Literal]]] = {}
        self.taught: dict[tuple[str, str], dict[SlotOfSchool, dict[str, Literal]]] = {}
        self.squad_busy: Busy = defaultdict(list)
        self.staff_busy: Busy = defaultdict(list)
        for squad in self.squads:
            for visit in self.visits:
                self._add_visit(squad, visit)
        self._one_place_at_a_time()
        self._loads_and_runs()
        self._orders()
        self._walks()
        if not guarded and not let_go:
            self._order_alike()

    # Choices

    def _add_visit(self, squad: Squad, visit: Visit) -> None:
        pair = squad.key, visit.key
        self.starts[pair], self.in_pool[pair], self.taught[pair] = {}, {}, {}
        if must_have(squad, visit) in self.let_go and not self._waited_for(visit):
            return
        grid = self.problem.grid
        for day in range(grid.days):
            for slot in range(grid.slots_per_day - visit.slots + 1):
                self._add_start(squad, visit, day, slot)
        literals = list(self.starts[pair].values())
        self.cp.add_at_most_one(literals)
        self._hold(must_have(squad, visit), lambda: self.cp.add_bool_or(literals))

    def _waited_for(self, visit: Visit) -> bool:
        return any(
            visit.key in other.after and Rule("order", (visit.key, other.key)) not in self.let_go
            for other in self.visits
        )

    def _add_start(self, squad: Squad, visit: Visit, day: int, slot: int) -> None:
        span = frozenset((day, slot + more) for more in range(visit.slots))
        broken = self._held(broken_by_time(self.problem, visit, day, slot))
        by_pool = {
            number: self._held(broken_by_bay(pool, squad, visit, span))
            for number, pool in enumerate(self.pools)
        }
        by_person = {
            person.key: self._held(broken_by_instructor(person, visit, span))
            for person in self.instructors
        }
        if not self.guarded:
            by_pool = {key: rules for key, rules in by_pool.items() if not rules}
            by_person = {key: rules for key, rules in by_person.items() if not rules}
        if (broken and not self.guarded) or not by_pool or not by_person:
            return
        pair, when = (squad.key, visit.key), (day, slot)
        start = self.cp.new_bool_var(f"{squad.key}/{visit.key}@{day}.{slot}")
        self._forbid(start, broken)
        self.starts[pair][when] = start
        self.in_pool[pair][when] = self._choose(start, by_pool)
        self.taught[pair][when] = self._choose(start, by_person)
        for _, busy in span:
            self.squad_busy[squad.key, day, busy].append(start)
            for key, literal in self.taught[pair][when].items():
                self.staff_busy[key, day, busy].append(literal)

    def _choose(self, start: Literal, broken: dict[Key, list[Rule]]) -> dict[Key, Literal]:
        """Exactly one choice when the start is taken; an only choice is the start itself."""
        chosen: dict[Key, Literal]
        if len(broken) == 1:
            chosen = dict.fromkeys(broken, start)
        else:
            chosen = {key: self.cp.new_bool_var(f"{start.name}/{key}") for key in broken}
            self.cp.add_exactly_one([~start, *chosen.values()])
        for key, rules in broken.items():
            self._forbid(chosen[key], rules)
        return chosen

    def _guard(self, rule: Rule) -> Literal:
        if rule not in self.guards:
            self.guards[rule] = self.cp.new_bool_var(f"rule {rule.kind} {'/'.join(rule.keys)}")
        return self.guards[rule]

    def _forbid(self, literal: Literal, rules: Iterable[Rule]) -> None:
        for rule in rules:
            self.cp.add_implication(self._guard(rule), ~literal)

    def _held(self, rules: Iterable[Rule]) -> list[Rule]:
        return [rule for rule in rules if rule not in self.let_go]

    def _hold(self, rule: Rule, add: Callable[[], Any]) -> None:
        """Add the constraint that a rule asks for, unless the rule is let go."""
        if rule in self.let_go:
            return
        constraint = add()
        if self.guarded:
            constraint.only_enforce_if(self._guard(rule))

    def _hold_sum(self, rule: Rule, total: Literal, most: int) -> None:
        self._hold(rule, lambda: self.cp.add(total <= most))

    # Constraints

    def _one_place_at_a_time(self) -> None:
        in_use: dict[tuple[int, int, int], list[Literal]] = defaultdict(list)
        for _, visit, (day, slot), by_pool in self._all(self.in_pool):
            for number, literal in by_pool.items():
                for busy in range(slot, slot + visit.slots):
                    in_use[number, day, busy].append(literal)
        for (number, *_), literals in in_use.items():
            self.cp.add(sum(literals) <= len(self.pools[number].bays))
        for busy_literals in (*self.squad_busy.values(), *self.staff_busy.values()):
            self.cp.add_at_most_one(busy_literals)

    def _loads_and_runs(self) -> None:
        for person in self.instructors:
            for day in range(self.problem.grid.days):
                self._load_and_run(person, day)

    def _load_and_run(self, person: Instructor, day: int) -> None:
        grid = self.problem.grid
        by_slot = [self.staff_busy.get((person.key, day, u), []) for u in range(grid.slots_per_day)]
        if person.max_load < grid.slots_per_day:
            load = sum(sum(literals) for literals in by_slot)
            self._hold_sum(Rule("load", (person.key,)), load, person.max_load)
        for half in grid.halves:
            for first in half[: max(0, len(half) - person.max_run)]:
                run = sum(sum(by_slot[u]) for u in range(first, first + person.max_run + 1))
                self._hold_sum(Rule("run", (person.key,)), run, person.max_run)

    def _orders(self) -> None:
        """By any slot, the later visit has not begun more often than the earlier one has ended."""
        slots = {visit.key: visit.slots for visit in self.visits}
        for squad in self.squads:
            for visit in self.visits:
                for before in sorted(visit.after):
                    self._order(
                        self._by_index(squad.key, before, slots[before]),
                        self._by_index(squad.key, visit.key, 0),
                        Rule("order", (before, visit.key)),
                    )

    def _by_index(self, squad: str, visit: str, later: int) -> list[tuple[int, Literal]]:
        index = self.problem.grid.index
        return [(index(*when) + later, start) for when, start in self.starts[squad, visit].items()]

    def _order(
        self,
        ends: Sequence[tuple[int, Literal]],
        starts: Sequence[tuple[int, Literal]],
        rule: Rule,
    ) -> None:
        for moment, _ in starts:
            begun = sum(start for begin, start in starts if begin <= moment)
            ended = sum(start for end, start in ends if end <= moment)
            self._hold_sum(rule, begun - ended, 0)

    def _walks(self) -> None:
        far = self.problem.too_far()
        if not far:
            return
        leave: dict[tuple[str, str, int, int], list[Literal]] = defaultdict(list)
        arrive: dict[tuple[str, str, int, int], list[Literal]] = defaultdict(list)
        people: set[str] = set()
        for who, place, literal, day, first, last in self._stays({p for p, _ in far}):
            people.add(who)
            arrive[who, place, day, first].append(literal)
            leave[who, place, day, last].append(literal)
        for who in sorted(people):
            for here, there in far:
                rule = walk_rule(here, there)
                for day, slot in self._changes():
                    going = leave.get((who, here, day, slot), [])
                    coming = arrive.get((who, there, day, slot + 1), [])
                    if going and coming:
                        self._hold_sum(rule, sum(going) + sum(coming), 1)

    def _changes(self) -> Iterator[SlotOfSchool]:
        grid = self.problem.grid
        for day in range(grid.days):
            for half in grid.halves:
                yield from ((day, slot) for slot in half[:-1])

    def _stays(self, places: set[str]) -> Iterator[tuple[str, str, Literal, int, int, int]]:
        """Who is at one of the places, from which slot to which, and the literal that says so.

        A squad's and an instructor's key may be the same, so each gets a prefix.
        """
        for squad, visit, (day, slot), by_pool in self._all(self.in_pool):
            span = day, slot, slot + visit.slots - 1
            by_place: dict[str, list[Literal]] = defaultdict(list)
            for number, literal in by_pool.items():
                by_place[self.pools[number].place].append(literal)
            for place in sorted(by_place.keys() & places):
                for literal in by_place[place]:
                    yield f"squad {squad.key}", place, literal, *span
                for key, teaches in self.taught[squad.key, visit.key][day, slot].items():
                    both = teaches
                    if len(by_place) > 1:
                        both = self.cp.new_bool_var(f"{teaches.name}/{place}")
                        self.cp.add(both >= teaches + sum(by_place[place]) - 1)
                    yield f"instructor {key}", place, both, *span

    def _order_alike(self) -> None:
        """Fix the order of what can be swapped without changing the worth of any plan.

        Squads differ only in whether a left-handed bay is needed; visits are alike when no
        rule and no goal tells them apart.
        """
        for left in (False, True):
            alike = [squad.key for squad in self.squads if squad.left_handed is left]
            if alike and self.visits:
                first = min(self.visits, key=lambda v: len(self.starts[alike[0], v.key])).key
                for one, other in pairwise(alike):
                    self.cp.add(self._when(one, first) <= self._when(other, first))
        for one_visit, other_visit in pairwise(sorted(self.visits, key=self._likeness)):
            if self._likeness(one_visit)[:-1] == self._likeness(other_visit)[:-1]:
                for squad in self.squads:
                    self._order(
                        self._by_index(squad.key, one_visit.key, one_visit.slots),
                        self._by_index(squad.key, other_visit.key, 0),
                        Rule("alike", (one_visit.key, other_visit.key)),
                    )

    def _when(self, squad: str, visit: str) -> Literal:
        return sum(index * start for index, start in self._by_index(squad, visit, 0))

    def _likeness(self, visit: Visit) -> tuple[object, ...]:
        followers = sorted(v.key for v in self.visits if visit.key in v.after)
        days = sorted(visit.days) if visit.days is not None else range(self.problem.grid.days)
        named = visit.key if visit.key in (self.problem.same_instructor or ()) else ""
        alike = (visit.station, visit.slots, sorted(visit.features), visit.handed, [*days])
        return (*alike, sorted(visit.after), followers, named, visit.key)

    # Reading

    def with_instructor(self, squad: str, visit: str, person: str) -> Literal:
        """1 when the instructor takes the squad's visit, else 0."""
        taught = self.taught[squad, visit].values()
        return sum(by_person[person] for by_person in taught if person in by_person)

    def _all(
        self, choices: dict[tuple[str, str], dict[SlotOfSchool, dict[Key, Literal]]]
    ) -> Iterator[tuple[Squad, Visit, SlotOfSchool, dict[Key, Literal]]]:
        for squad in self.squads:
            for visit in self.visits:
                for when, chosen in choices[squad.key, visit.key].items():
                    yield squad, visit, when, chosen

    def choices(self) -> list[Literal]:
        """Every literal that decides the plan, for hints."""
        found = {}
        for pair, starts in self.starts.items():
            for when, start in starts.items():
                chosen = (self.in_pool[pair][when], self.taught[pair][when])
                for literal in (start, *chosen[0].values(), *chosen[1].values()):
                    found[literal.index] = literal
        return list(found.values())

    def placements(self, solver: Any) -> tuple[Placement, ...]:
        """Read the plan from a solved model and deal out the bays of each pool."""
        chosen = []
        for squad, visit, when, by_pool in self._all(self.in_pool):
            if solver.boolean_value(self.starts[squad.key, visit.key][when]):
                pool = next(k for k, lit in by_pool.items() if solver.boolean_value(lit))
                taught = self.taught[squad.key, visit.key][when]
                person = next(k for k, lit in taught.items() if solver.boolean_value(lit))
                chosen.append((*when, squad.key, visit, pool, person))
        return _deal(sorted(chosen, key=lambda row: row[:3]), self.pools)


def _deal(
    chosen: Sequence[tuple[int, int, str, Visit, int, str]], dealt: Sequence[Pool]
) -> tuple[Placement, ...]:
    """Give each session, in order of time, the first bay of its pool that is free.

    The model counts at most as many sessions at a time as the pool has bays, so there is one.
    """
    free_from: dict[str, SlotOfSchool] = {}
    placements = []
    for day, slot, squad, visit, number, person in chosen:
        bay = next(b for b in dealt[number].bays if free_from.get(b.key, (-1, 0)) <= (day, slot))
        free_from[bay.key] = (day, slot + visit.slots)
        placements.append(Placement(squad, visit.key, day, slot, bay.key, (person,)))
    return tuple(placements)
