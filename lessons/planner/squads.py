"""Make squads: even in size and in mean handicap, with left-handers and minors kept together.

1. As few squads as hold everyone, their sizes differing by at most one.
2. Pairs asked for together or apart are honoured, or there are no squads.
3. Then, each before the next: as few squads as can be with a left-hander in them (left-handed
   bays are few), as few as can be with one minor alone among adults, and the smallest
   difference between the highest and the lowest mean handicap, to within half a stroke.

CP-SAT searches with one worker and a limit on its work, not on its time, so the same golfers
give the same squads everywhere, in whatever order they are given. Past two dozen golfers the
limit may come before the last half stroke. A golfer without a handicap counts as the median.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import lcm
from statistics import median_low
from typing import Any

from ortools.sat.python import cp_model

from lessons.planner.problem import MAX_SQUAD
from lessons.planner.words import listed

Pairs = Iterable[tuple[str, str]]

CLOSE_ENOUGH_TENTHS = 5
WORK_LIMIT = 1.0
"""Deterministic seconds of CP-SAT for one goal; two or three of a clock's."""


class NoSquads(Exception):
    """The golfers cannot be put into squads as asked; the message says why."""


@dataclass(frozen=True)
class Golfer:
    """What the squad-maker knows of an attendee; the handicap in tenths of a stroke."""

    key: str
    left_handed: bool
    handicap_tenths: int | None
    minor: bool


def make_squads(
    golfers: Sequence[Golfer],
    size: int = MAX_SQUAD,
    together: Pairs = (),
    apart: Pairs = (),
) -> tuple[tuple[str, ...], ...]:
    """Divide golfers into squads of at most ``size``.

    Returns
    -------
    The keys of each squad in order, the squads by their first key.

    Raises
    ------
    NoSquads
        If the size is not 1 to 4, a key is repeated or unknown, or the pairs cannot be kept.
    """
    ordered = sorted(golfers, key=lambda golfer: golfer.key)
    groups = _groups([golfer.key for golfer in ordered], list(together))
    apart = sorted({(min(pair), max(pair)) for pair in apart})
    sizes = _sizes(len(ordered), size)
    _check(groups, apart, sizes)
    if not ordered:
        return ()
    seats = _Seats(ordered, sizes, groups, apart)
    seats.minimise(seats.with_left_handers())
    seats.minimise(seats.with_lone_minor())
    seats.minimise(seats.spread(), close_enough=CLOSE_ENOUGH_TENTHS * lcm(*sizes))
    return tuple(sorted(seats.squads))


def _handicaps(golfers: Sequence[Golfer]) -> dict[str, int]:
    known = [g.handicap_tenths for g in golfers if g.handicap_tenths is not None]
    middle = median_low(known) if known else 0
    return {g.key: middle if g.handicap_tenths is None else g.handicap_tenths for g in golfers}


def _sizes(golfers: int, size: int) -> list[int]:
    if not 1 <= size <= MAX_SQUAD:
        raise NoSquads(f"A squad has 1 to {MAX_SQUAD} golfers, not {size}.")
    squads = -(-golfers // size)
    return [golfers // squads + (number < golfers % squads) for number in range(squads)]


def _groups(keys: Sequence[str], together: Sequence[tuple[str, str]]) -> dict[str, frozenset[str]]:
    """For each golfer all those who must be in the same squad, by way of others too."""
    if len(set(keys)) < len(keys):
        raise NoSquads("A golfer is listed twice.")
    groups = {key: frozenset([key]) for key in keys}
    for one, other in together:
        _known(groups, one, other)
        joined = groups[one] | groups[other]
        groups |= dict.fromkeys(joined, joined)
    return groups


def _known(groups: dict[str, frozenset[str]], *keys: str) -> None:
    for key in keys:
        if key not in groups:
            raise NoSquads(f"{key} is not one of the golfers.")


def _check(
    groups: dict[str, frozenset[str]], apart: Sequence[tuple[str, str]], sizes: Sequence[int]
) -> None:
    for group in groups.values():
        if len(group) > max(sizes):
            raise NoSquads(
                f"{listed(sorted(group))} are to be together, and the largest squad has"
                f" {max(sizes)} places."
            )
    for one, other in apart:
        _known(groups, one, other)
        if other in groups[one]:
            raise NoSquads(f"{one} and {other} are to be both together and apart.")


class _Seats:
    """The 0-1 model: which golfer sits in which squad."""

    def __init__(
        self,
        golfers: Sequence[Golfer],
        sizes: Sequence[int],
        groups: dict[str, frozenset[str]],
        apart: Sequence[tuple[str, str]],
    ) -> None:
        self.golfers = golfers
        self.sizes = sizes
        self.cp = cp_model.CpModel()
        self.sits = {g.key: [self.cp.new_bool_var("") for _ in sizes] for g in golfers}
        self.squads: list[tuple[str, ...]] = []
        self.asked = f"{len(golfers)} golfers cannot make squads of {listed(map(str, sizes))}"
        for seats in self.sits.values():
            self.cp.add_exactly_one(seats)
        for number, size in enumerate(sizes):
            self.cp.add(sum(seats[number] for seats in self.sits.values()) == size)
            for one, other in apart:
                self.cp.add_at_most_one(self.sits[one][number], self.sits[other][number])
        for group in set(groups.values()):
            for one, other in combinations(sorted(group), 2):
                for here, there in zip(self.sits[one], self.sits[other], strict=True):
                    self.cp.add(here == there)

    def with_left_handers(self) -> Any:
        """The number of squads with a left-hander."""
        left = [golfer.key for golfer in self.golfers if golfer.left_handed]
        held = [self.cp.new_bool_var("") for _ in self.sizes]
        for key in left:
            for here, squad in zip(self.sits[key], held, strict=True):
                self.cp.add_implication(here, squad)
        return sum(held)

    def with_lone_minor(self) -> Any:
        """The number of squads in which one minor is alone among adults."""
        minors = [self.sits[golfer.key] for golfer in self.golfers if golfer.minor]
        lone = [self.cp.new_bool_var("") for _ in self.sizes]
        for number, alone in enumerate(lone):
            for seats in minors:
                others = sum(other[number] for other in minors if other is not seats)
                self.cp.add(alone + others >= seats[number])
        return sum(lone)

    def spread(self) -> Any:
        """The difference of the mean handicaps, times a number that makes every mean whole."""
        tenths = _handicaps(self.golfers)
        whole = lcm(*self.sizes)
        low, high = (whole * min(0, *tenths.values()), whole * max(0, *tenths.values()))
        least, most = self.cp.new_int_var(low, high, ""), self.cp.new_int_var(low, high, "")
        for number, size in enumerate(self.sizes):
            total = sum(tenths[key] * seats[number] for key, seats in self.sits.items())
            self.cp.add(least <= whole // size * total)
            self.cp.add(most >= whole // size * total)
        return most - least

    def minimise(self, term: Any, close_enough: int = 0) -> None:
        """Minimise the term, keep what it reached and start the next one from there."""
        self.cp.minimize(term)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = WORK_LIMIT
        solver.parameters.absolute_gap_limit = close_enough
        status = solver.solve(self.cp)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            raise NoSquads(f"{self.asked} with these pairs kept together and apart.")
        self.cp.add(term <= round(solver.objective_value))
        self.cp.clear_hints()
        seated = {
            key: [solver.boolean_value(seat) for seat in seats] for key, seats in self.sits.items()
        }
        for key, seats in self.sits.items():
            for seat, taken in zip(seats, seated[key], strict=True):
                self.cp.add_hint(seat, taken)
        self.squads = [
            tuple(key for key in self.sits if seated[key][number])
            for number in range(len(self.sizes))
        ]
