"""The 0-1 model of a problem: its choices, what ties them together, and a plan read from them."""

from collections.abc import Collection, Iterable, Sequence
from typing import Any, NamedTuple

from lessons.planner.choices import Choices, GroupKey, Key, Literal, is_over
from lessons.planner.constraints import add_constraints
from lessons.planner.plan import Placement
from lessons.planner.problem import Problem, SlotOfSchool, Visit
from lessons.planner.rules import Pool, Rule
from lessons.planner.symmetry import order_alike

__all__ = ["Literal", "Model"]


class Model(Choices):
    """A problem as CP-SAT sees it. Goals and explanations add to ``cp`` through its parts.

    With ``in_order``, of plans that differ only in which of like squads is which one is left;
    nothing is ordered when rules are guarded or let go.
    """

    def __init__(
        self,
        problem: Problem,
        *,
        guarded: bool = False,
        let_go: Collection[Rule] = (),
        in_order: bool = True,
    ) -> None:
        super().__init__(problem, guarded=guarded, let_go=let_go)
        add_constraints(self)
        if in_order and not guarded and not let_go:
            order_alike(self)

    def placements(self, solver: Any) -> tuple[Placement, ...]:
        """Read the plan from a solved model and deal out the bays of each pool."""

        def true(choices: dict[Key, Literal]) -> list[Key]:
            return [key for key, literal in choices.items() if solver.boolean_value(literal)]

        rows = []
        for squad, visit, when, by_pool in self.all(self.in_pool):
            pair = squad.key, visit.key
            start = self.starts[pair][when]
            if not is_over(start) and solver.boolean_value(start):
                (pool,) = true(by_pool)
                taught = self.taught[pair][when]
                if visit.group:
                    taught = self.groups[GroupKey(visit.key, when, pool)]
                rows.append(_Row(when, squad.key, visit, pool, (*sorted(true(taught)),)))
        dealt = _deal(sorted(rows, key=lambda row: row[:2]), self.pools)
        return (*sorted(self.problem.past, key=lambda row: (row.day, row.slot)), *dealt)

    def chosen(self, row: Placement) -> Literal | None:
        """1 when the session is at this time in this bay; None when it cannot be."""
        return self._there(row)[0]

    def chosen_staff(self, row: Placement) -> tuple[list[Literal], list[Literal]]:
        """Of the session where it is: those who must not take it, and those who must."""
        taught = self._there(row)[1]
        wanted = {key: literal for key, literal in taught.items() if key in row.instructors}
        others = [literal for key, literal in taught.items() if key not in wanted]
        return others, list(wanted.values())

    def _there(self, row: Placement) -> tuple[Literal | None, dict[str, Literal]]:
        pair, when = (row.squad, row.visit), (row.day, row.slot)
        pool = next((n for n, p in enumerate(self.pools) if row.bay in p.named), -1)
        there = self.in_pool.get(pair, {}).get(when, {}).get(pool)
        if there is None:
            return None, {}
        return there, self.groups.get(GroupKey(row.visit, when, pool), self.taught[pair][when])

    def hint(self, placements: Iterable[Placement]) -> None:
        """Suggest a plan, or as much of it as the rules leave room for."""
        wanted = self._literals(placements)
        self.cp.clear_hints()
        for literal in self.choices():
            self.cp.add_hint(literal, literal.index in wanted)

    def _literals(self, placements: Iterable[Placement]) -> set[int]:
        """The literals that are true in a plan."""
        number = {bay.key: n for n, pool in enumerate(self.pools) for bay in pool.bays}
        true = set()
        for row in placements:
            pair, when = (row.squad, row.visit), (row.day, row.slot)
            start = self.starts.get(pair, {}).get(when)
            if start is None or is_over(start) or row.bay not in number:
                continue
            staff = self.groups.get(GroupKey(row.visit, when, number[row.bay]), {})
            taught = self.taught[pair][when] | staff
            there = self.in_pool[pair][when].get(number[row.bay], start)
            chosen = [taught[key] for key in row.instructors if key in taught]
            true |= {literal.index for literal in (start, there, *chosen)}
        return true


class _Row(NamedTuple):
    """A session that is to be given one bay of its pool."""

    when: SlotOfSchool
    squad: str
    visit: Visit
    pool: int
    instructors: tuple[str, ...]


def _deal(rows: Sequence[_Row], pools: Sequence[Pool]) -> tuple[Placement, ...]:
    """Give each session, in order of time, the first of its pool's bays that has room.

    The model counts at most as many squads at a time as the pool holds, so there is one. A pool
    of one bay may hold several visits; it is not dealt.
    """
    room = {
        n: [bay for bay in pool.bays for _ in range(bay.squads)] for n, pool in enumerate(pools)
    }
    free_from: dict[tuple[int, int], SlotOfSchool] = {}
    placements = []
    for (day, slot), squad, visit, pool, instructors in rows:
        part = 0
        if len(pools[pool].bays) > 1:
            parts = range(len(room[pool]))
            part = next(p for p in parts if free_from.get((pool, p), (-1, 0)) <= (day, slot))
            free_from[pool, part] = day, slot + visit.in_bay
        bay = room[pool][part].key
        placements.append(Placement(squad, visit.key, day, slot, bay, instructors))
    return tuple(placements)
