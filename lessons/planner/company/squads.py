"""Make squads: even in size and in mean handicap, with those together who belong together.

1. As few squads as hold everyone with each pair kept together or apart as asked, and their sizes
   as even as that leaves them.
2. Then, each before the next: no more squads with a left-hander than the left-handed bays serve,
   or as few as can be; as few as can be with one minor alone among adults; and the smallest
   difference between the highest and the lowest mean handicap, to within half a stroke. That
   search begins from squads evened out by exchanges.

CP-SAT searches with one worker and a limit on its work, not on its time, so the same golfers
give the same squads everywhere, in whatever order they are given. Past two dozen golfers the
limit may come before the last half stroke.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations
from math import lcm
from typing import Any

from ortools.sat.python import cp_model

from lessons.planner.company.division import Golfer, Rules, groups_of, handicaps, worth_of
from lessons.planner.company.evening import evened
from lessons.planner.problem import MAX_SQUAD
from lessons.planner.words import listed

CLOSE_ENOUGH_TENTHS = 5
WORK_LIMIT = 1.0
"""Deterministic seconds of CP-SAT for one goal; two or three of a clock's."""


class NoSquads(Exception):
    """The golfers cannot be put into squads as asked; the message says why."""


def make_squads(golfers: Sequence[Golfer], rules: Rules) -> tuple[tuple[str, ...], ...]:
    """Divide golfers into squads by the rules.

    Returns
    -------
    The keys of each squad in order, the squads by their first key.

    Raises
    ------
    NoSquads
        If the size is not 1 to 4, a key is repeated or unknown, or the pairs contradict each
        other or the size.
    """
    ordered = sorted(golfers, key=lambda golfer: golfer.key)
    groups = _groups(ordered, rules)
    for sizes in _sizes(len(ordered), rules.size):
        seats = _Seats(ordered, sizes, groups, rules)
        if seats.minimise(seats.left_squads_too_many()):
            seats.minimise(seats.with_lone_minor())
            seats.even_out()
            return tuple(sorted(seats.squads))
    return ()


def _sizes(golfers: int, size: int) -> Iterator[tuple[int, ...]]:
    """Sizes that hold everyone: the fewest squads first, then the most even ones."""
    for squads in range(-(-golfers // size), golfers + 1):
        ways = _shares(golfers, squads, size) if squads else []
        yield from sorted(ways, key=lambda way: (sum(each * each for each in way), way))


def _shares(golfers: int, squads: int, most: int) -> Iterator[tuple[int, ...]]:
    """Every way to write the number as so many sizes from `most` down to 1, largest first."""
    if squads == 0:
        if golfers == 0:
            yield ()
        return
    for first in range(min(most, golfers - squads + 1), 0, -1):
        if first * squads < golfers:
            return
        for rest in _shares(golfers - first, squads - 1, first):
            yield (first, *rest)


def _groups(golfers: Sequence[Golfer], rules: Rules) -> list[list[str]]:
    """Those kept together, in order; each golfer in one group.

    Raises NoSquads for what no number of squads can keep.
    """
    if not 1 <= rules.size <= MAX_SQUAD:
        raise NoSquads(f"A squad has 1 to {MAX_SQUAD} golfers, not {rules.size}.")
    names = {golfer.key: str(golfer) for golfer in golfers}
    if len(names) < len(golfers):
        raise NoSquads("A golfer is listed twice.")
    for key in sorted({key for pair in rules.kept_together + rules.apart for key in pair}):
        if key not in names:
            raise NoSquads(f"{key} is not one of the golfers.")
    groups = groups_of(names, rules.kept_together)
    for group in groups.values():
        if len(group) > rules.size:
            raise NoSquads(
                f"{listed(names[key] for key in sorted(group))} are to be together, and a squad"
                f" has {rules.size} places."
            )
    for one, other in rules.apart:
        if other in groups[one]:
            raise NoSquads(f"{names[one]} and {names[other]} are to be both together and apart.")
    return sorted(sorted(group) for group in set(groups.values()))


class _Seats:
    """The 0-1 model: which golfer sits in which squad."""

    def __init__(
        self,
        golfers: Sequence[Golfer],
        sizes: Sequence[int],
        groups: Sequence[Sequence[str]],
        rules: Rules,
    ) -> None:
        self.golfers = golfers
        self.sizes = sizes
        self.rules = rules
        self.cp = cp_model.CpModel()
        self.sits = {g.key: [self.cp.new_bool_var("") for _ in sizes] for g in golfers}
        self.squads: list[tuple[str, ...]] = []
        for seats in self.sits.values():
            self.cp.add_exactly_one(seats)
        for number, size in enumerate(sizes):
            self.cp.add(sum(seats[number] for seats in self.sits.values()) == size)
            for one, other in sorted({(min(pair), max(pair)) for pair in rules.apart}):
                self.cp.add_at_most_one(self.sits[one][number], self.sits[other][number])
        for group in groups:
            for one, other in combinations(group, 2):
                for here, there in zip(self.sits[one], self.sits[other], strict=True):
                    self.cp.add(here == there)

    def left_squads_too_many(self) -> Any:
        """The number of squads with a left-hander, past those that the bays serve."""
        held = [self.cp.new_bool_var("") for _ in self.sizes]
        left = [self.sits[golfer.key] for golfer in self.golfers if golfer.left_handed]
        for number, (squad, size) in enumerate(zip(held, self.sizes, strict=True)):
            self.cp.add(sum(seats[number] for seats in left) <= size * squad)
            for seats in left:
                self.cp.add_implication(seats[number], squad)
        too_many = self.cp.new_int_var(0, len(self.sizes), "")
        self.cp.add(too_many >= sum(held) - self.rules.left_squads)
        return too_many

    def with_lone_minor(self) -> Any:
        """The number of squads in which one minor is alone among adults."""
        minors = {golfer.key: self.sits[golfer.key] for golfer in self.golfers if golfer.minor}
        looked_after = {minor for minor, _carer in self.rules.cares}
        lone = [self.cp.new_bool_var("") for _ in self.sizes]
        for number, alone in enumerate(lone):
            for key in [key for key in minors if key not in looked_after]:
                others = sum(seats[number] for other, seats in minors.items() if other != key)
                self.cp.add(alone + others >= minors[key][number])
        return sum(lone)

    def even_out(self) -> None:
        """Exchange golfers as long as that helps, then look for anything better still."""
        self.sit(evened(self.golfers, self.squads, self.rules))
        reached = worth_of(self.golfers, self.squads, self.rules).spread_tenths
        if reached > CLOSE_ENOUGH_TENTHS:
            spread, whole = self.spread(), lcm(*self.sizes)
            self.cp.add(spread <= int(whole * reached))
            self.minimise(spread, close_enough=CLOSE_ENOUGH_TENTHS * whole)

    def spread(self) -> Any:
        """The difference of the mean handicaps, times a number that makes every mean whole."""
        tenths = handicaps(self.golfers)
        whole = lcm(*self.sizes)
        low, high = (whole * min(0, *tenths.values()), whole * max(0, *tenths.values()))
        least, most = self.cp.new_int_var(low, high, ""), self.cp.new_int_var(low, high, "")
        for number, size in enumerate(self.sizes):
            total = sum(tenths[key] * seats[number] for key, seats in self.sits.items())
            self.cp.add(least <= whole // size * total)
            self.cp.add(most >= whole // size * total)
        return most - least

    def minimise(self, term: Any, close_enough: int = 0) -> bool:
        """Minimise the term, keep what it reached and start the next one from there.

        False if no squads were found; those known so far are kept.
        """
        self.cp.minimize(term)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = WORK_LIMIT
        solver.parameters.absolute_gap_limit = close_enough
        status = solver.solve(self.cp)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return False
        self.cp.add(term <= round(solver.objective_value))
        self.sit(
            [key for key, seats in self.sits.items() if solver.boolean_value(seats[number])]
            for number in range(len(self.sizes))
        )
        return True

    def sit(self, squads: Iterable[Iterable[str]]) -> None:
        """Take these squads, and begin the next search from them."""
        self.squads = [tuple(squad) for squad in squads]
        self.cp.clear_hints()
        for number, squad in enumerate(self.squads):
            for key, seats in self.sits.items():
                self.cp.add_hint(seats[number], key in squad)
