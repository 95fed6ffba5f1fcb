"""The choices of the 0-1 model, and how a rule is held.

1. A start literal says that the squad's visit begins in that slot; as many are true as the visit
   is had. Of its bay-pool literals exactly one is true when it is.
2. Of the instructor literals of a visit for one squad exactly one is true when its start is. A
   group, which is a visit, a slot and a bay, has instructor literals of its own.
3. What is over is the number 1 in the place of a literal.

Built strict, choices that break a rule are left out, rules let go aside. Built guarded, every
choice is there and each rule is held by a literal of its own, which the solver may assume.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from typing import Any, NamedTuple, TypeVar

from ortools.sat.python import cp_model

from lessons.planner.plan import Placement
from lessons.planner.problem import Problem, SlotOfSchool, Squad, Visit
from lessons.planner.rules import (
    Rule,
    broken_by_bay,
    broken_by_instructor,
    broken_by_time,
    must_have,
    pools,
    single,
    stays,
)

Literal = Any  # ortools carries no types that mypy can follow through its compiled half
Key = TypeVar("Key", int, str)
Pair = tuple[str, str]
Busy = dict[tuple[str, int, int], list[Literal]]


class GroupKey(NamedTuple):
    """Where and when squads have a visit together."""

    visit: str
    when: SlotOfSchool
    pool: int


def is_over(literal: Literal) -> bool:
    """Whether the choice was made in the past."""
    return isinstance(literal, int)


def parted(literals: Iterable[Literal]) -> tuple[list[Literal], int]:
    """The open ones, and how many are over."""
    literals = list(literals)
    free = [literal for literal in literals if not is_over(literal)]
    return free, len(literals) - len(free)


class Choices:
    """What is to be chosen for a problem, with nothing that ties one choice to another's."""

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
        crowded = any(v.group for v in self.visits) or any(b.squads > 1 for b in problem.bays)
        if crowded and (guarded or let_go):
            self.pools = single(self.pools)
        self.starts: dict[Pair, dict[SlotOfSchool, Literal]] = {}
        self.in_pool: dict[Pair, dict[SlotOfSchool, dict[int, Literal]]] = {}
        self.taught: dict[Pair, dict[SlotOfSchool, dict[str, Literal]]] = {}
        self.groups: dict[GroupKey, dict[str, Literal]] = {}
        self.squad_busy: Busy = defaultdict(list)
        self.staff_busy: Busy = defaultdict(list)
        self._pools_for: dict[object, dict[int, list[Rule]]] = {}
        self._people_for: dict[object, dict[str, list[Rule]]] = {}
        for squad in self.squads:
            for visit in self.visits:
                self._add_visit(squad, visit)
        self._note_who_is_busy()

    # One squad's visit

    def _add_visit(self, squad: Squad, visit: Visit) -> None:
        pair = squad.key, visit.key
        self.starts[pair], self.in_pool[pair], self.taught[pair] = {}, {}, {}
        for row in self.problem.past:
            if (row.squad, row.visit) == pair:
                self._add_past(visit, row)
        rule = must_have(squad, visit)
        due = max(0, visit.times - len(self.starts[pair]))
        if not due or (rule in self.let_go and not self._waited_for(squad, visit)):
            return
        grid = self.problem.grid
        for day in range(grid.days):
            for slot in range(grid.slots_per_day - visit.slots + 1):
                if (day, slot) >= self.problem.opens:
                    self._add_start(squad, visit, day, slot)
        literals, _ = parted(self.starts[pair].values())
        if rule in self.let_go or self.guarded:
            self.cp.add(sum(literals) <= due)
            self.hold(rule, lambda: self.cp.add(sum(literals) >= due))
        elif due == 1:
            self.cp.add_exactly_one(literals)
        else:
            self.cp.add(sum(literals) == due)

    def _add_past(self, visit: Visit, row: Placement) -> None:
        pair, when = (row.squad, row.visit), (row.day, row.slot)
        pool = self.pool_of(row.bay)
        self.starts[pair][when] = 1
        self.in_pool[pair][when] = {pool: 1}
        self.taught[pair][when] = {} if visit.group else dict.fromkeys(row.instructors, 1)
        if visit.group:
            group = self.groups.setdefault(GroupKey(visit.key, when, pool), {})
            group |= dict.fromkeys(row.instructors, 1)

    def pool_of(self, bay: str) -> int:
        """The number of the pool that has the bay."""
        return next(n for n, pool in enumerate(self.pools) if bay in {b.key for b in pool.bays})

    def _waited_for(self, squad: Squad, visit: Visit) -> bool:
        """Whether a rule that is held asks for the visit although nobody must have it."""
        orders = (Rule("order", (visit.key, v.key)) for v in self.visits if visit.key in v.after)
        same_days = (Rule("same-day", p) for p in self.problem.same_day if visit.key in p)
        pinned = (
            stays(row)
            for row in self.problem.pinned
            if (row.squad, row.visit) == (squad.key, visit.key)
        )
        return any(rule not in self.let_go for rule in (*orders, *same_days, *pinned))

    def _add_start(self, squad: Squad, visit: Visit, day: int, slot: int) -> None:
        when = day, slot
        broken = self._held(broken_by_time(self.problem, squad, visit, day, slot))
        by_pool, by_person = self._pools(squad, visit, when), self._people(visit, when)
        if (broken and not self.guarded) or not by_pool or not by_person:
            return
        pair = squad.key, visit.key
        start = self.cp.new_bool_var("")
        self._forbid(start, broken)
        self.starts[pair][when] = start
        self.in_pool[pair][when] = self._choose(start, by_pool)
        self.taught[pair][when] = {} if visit.group else self._choose(start, by_person)
        for number in by_pool if visit.group else ():
            self._add_group(GroupKey(visit.key, when, number), by_person)

    def _add_group(self, key: GroupKey, by_person: dict[str, list[Rule]]) -> None:
        if key not in self.groups:
            self.groups[key] = {person: self.cp.new_bool_var("") for person in by_person}
            for person, rules in by_person.items():
                self._forbid(self.groups[key][person], rules)

    def _pools(self, squad: Squad, visit: Visit, when: SlotOfSchool) -> dict[int, list[Rule]]:
        """Pools for a start and the rules they break; strict, those that break none."""
        like = visit.key, when, squad.left_handed
        if like not in self._pools_for:
            self._pools_for[like] = self._kept(
                {
                    number: self._held(broken_by_bay(self.problem, pool, squad, visit, when))
                    for number, pool in enumerate(self.pools)
                }
            )
        return self._pools_for[like]

    def _people(self, visit: Visit, when: SlotOfSchool) -> dict[str, list[Rule]]:
        like = visit.key, when
        if like not in self._people_for:
            self._people_for[like] = self._kept(
                {
                    person.key: self._held(broken_by_instructor(person, visit, when))
                    for person in self.instructors
                }
            )
        return self._people_for[like]

    def _kept(self, broken: dict[Key, list[Rule]]) -> dict[Key, list[Rule]]:
        if self.guarded:
            return broken
        return {key: rules for key, rules in broken.items() if not rules}

    def _choose(self, start: Literal, broken: dict[Key, list[Rule]]) -> dict[Key, Literal]:
        """Exactly one choice when the start is taken; an only choice is the start itself."""
        chosen: dict[Key, Literal]
        if len(broken) == 1:
            chosen = dict.fromkeys(broken, start)
        else:
            chosen = {key: self.cp.new_bool_var("") for key in broken}
            self.cp.add_exactly_one([~start, *chosen.values()])
        for key, rules in broken.items():
            self._forbid(chosen[key], rules)
        return chosen

    def _note_who_is_busy(self) -> None:
        slots = {visit.key: visit.slots for visit in self.visits}
        for squad, visit, when, _ in self.all(self.in_pool):
            pair = squad.key, visit.key
            for busy in range(when[1], when[1] + visit.slots):
                self.squad_busy[squad.key, when[0], busy].append(self.starts[pair][when])
                for key, literal in self.taught[pair][when].items():
                    self.staff_busy[key, when[0], busy].append(literal)
        for (visit_key, (day, slot), _), staff in self.groups.items():
            for busy in range(slot, slot + slots[visit_key]):
                for key, literal in staff.items():
                    self.staff_busy[key, day, busy].append(literal)

    # Rules

    def _guard(self, rule: Rule) -> Literal:
        if rule not in self.guards:
            self.guards[rule] = self.cp.new_bool_var(f"rule {rule.kind} {'/'.join(rule.keys)}")
        return self.guards[rule]

    def _forbid(self, literal: Literal, rules: Iterable[Rule]) -> None:
        for rule in rules:
            self.cp.add_implication(self._guard(rule), ~literal)

    def _held(self, rules: Iterable[Rule]) -> list[Rule]:
        return [rule for rule in rules if rule not in self.let_go]

    def hold(self, rule: Rule, add: Callable[[], Any]) -> None:
        """Add the constraint that a rule asks for, unless the rule is let go."""
        if rule in self.let_go:
            return
        constraint = add()
        if self.guarded:
            constraint.only_enforce_if(self._guard(rule))

    def hold_sum(self, rule: Rule, total: Literal, most: int) -> None:
        """Hold that a sum is at most so much."""
        self.hold(rule, lambda: self.cp.add(total <= most))

    def at_most(self, literals: Sequence[Literal], most: int, rule: Rule | None = None) -> None:
        """At most so many are true; where the past has as many or more, none of the open ones."""
        free, over = parted(literals)
        left = max(0, most - over)
        if len(free) <= left:
            return

        def add() -> Any:
            if left == 1 and not self.guarded:
                return self.cp.add_at_most_one(free)
            return self.cp.add(sum(free) <= left)

        if rule is None:
            add()
        else:
            self.hold(rule, add)

    # Reading

    def all(
        self, choices: dict[Pair, dict[SlotOfSchool, dict[Key, Literal]]]
    ) -> Iterator[tuple[Squad, Visit, SlotOfSchool, dict[Key, Literal]]]:
        """Every start with its choices, in a fixed order."""
        for squad in self.squads:
            for visit in self.visits:
                for when, chosen in choices[squad.key, visit.key].items():
                    yield squad, visit, when, chosen

    def with_instructor(self, squad: str, visit: str, person: str) -> Literal:
        """How many of the squad's sessions of a visit the instructor takes.

        For a group it may be less than that, but never more.
        """
        taught = self.taught[squad, visit].values()
        alone = sum(by_person[person] for by_person in taught if person in by_person)
        return alone + sum(self._in_group_with(squad, visit, person))

    def _in_group_with(self, squad: str, visit: str, person: str) -> Iterator[Literal]:
        for when, by_pool in self.in_pool[squad, visit].items():
            for pool, there in by_pool.items():
                teaches = self.groups.get(GroupKey(visit, when, pool), {}).get(person)
                if teaches is None:
                    continue
                if is_over(there) and is_over(teaches):
                    yield 1
                elif not is_over(there) and not is_over(teaches):
                    both = self.cp.new_bool_var("")
                    self.cp.add_implication(both, there)
                    self.cp.add_implication(both, teaches)
                    yield both

    def choices(self) -> list[Literal]:
        """Every literal that decides the plan, for hints."""
        found = {}
        for pair, starts in self.starts.items():
            for when, start in starts.items():
                chosen = (self.in_pool[pair][when], self.taught[pair][when])
                for literal in (start, *chosen[0].values(), *chosen[1].values()):
                    if not is_over(literal):
                        found[literal.index] = literal
        for staff in self.groups.values():
            found |= {lit.index: lit for lit in staff.values() if not is_over(lit)}
        return list(found.values())
