"""Even out squads by exchanging golfers, as long as that brings the mean handicaps closer.

Those kept together are exchanged for as many others who are. No exchange may bring a pair
together that is to be apart, put left-handers into more squads, or leave more minors alone.
"""

from collections.abc import Sequence
from itertools import combinations
from math import lcm

from lessons.planner.company.division import Golfer, Rules, Squads, groups_of, handicaps, worth_of


def evened(golfers: Sequence[Golfer], squads: Squads, rules: Rules) -> list[list[str]]:
    """The squads after the last exchange that helped; the sizes stay, and the pairs."""
    table = _Table(golfers, squads, rules)
    pairs = list(combinations(table.groups, 2))
    helped = 1
    while helped:
        helped = sum(table.exchange(one, other) for one, other in pairs)
    return table.squads


class _Table:
    """Who sits where, and how far each squad is from the mean of all, as a whole number."""

    def __init__(self, golfers: Sequence[Golfer], squads: Squads, rules: Rules) -> None:
        self.rules = rules
        self.row = {golfer.key: golfer for golfer in golfers}
        self.squads = [list(squad) for squad in squads]
        self.seat = {key: number for number, squad in enumerate(squads) for key in squad}
        self.tenths = handicaps(golfers)
        groups = groups_of(self.row, rules.kept_together)
        self.groups = sorted(tuple(sorted(group)) for group in set(groups.values()))
        whole = lcm(*(len(squad) for squad in squads))
        self.weight = [len(golfers) * whole // len(squad) for squad in squads]
        self.aim = whole * sum(self.tenths.values())
        self.left_squads = sum(map(self._has_left_hander, self.squads))

    def exchange(self, one: Sequence[str], other: Sequence[str]) -> bool:
        """Exchange two groups if that helps; whether it did."""
        here, there = self.seat[one[0]], self.seat[other[0]]
        if here == there or len(one) != len(other):
            return False
        shift = sum(self.tenths[key] for key in other) - sum(self.tenths[key] for key in one)
        far = self._off(here, 0) ** 2 + self._off(there, 0) ** 2
        if self._off(here, shift) ** 2 + self._off(there, -shift) ** 2 >= far:
            return False
        old = [self.squads[here], self.squads[there]]
        new = [_with(old[0], one, other), _with(old[1], other, one)]
        if self._trouble(new, old) > self._trouble(old, old):
            return False
        self.left_squads += self._more_left_squads(new, old)
        self.squads[here], self.squads[there] = new
        self.seat |= dict.fromkeys(other, here) | dict.fromkeys(one, there)
        return True

    def _off(self, number: int, shift: int) -> int:
        total = sum(self.tenths[key] for key in self.squads[number]) + shift
        return self.weight[number] * total - self.aim

    def _trouble(self, pair: Squads, instead_of: Squads) -> tuple[int, int, int]:
        seated = [self.row[key] for squad in pair for key in squad]
        worth = worth_of(seated, pair, self.rules)
        left_squads = self.left_squads + self._more_left_squads(pair, instead_of)
        too_many = max(0, left_squads - self.rules.left_squads)
        return len(worth.mixed), too_many, len(worth.lone_minors)

    def _more_left_squads(self, pair: Squads, instead_of: Squads) -> int:
        return sum(map(self._has_left_hander, pair)) - sum(map(self._has_left_hander, instead_of))

    def _has_left_hander(self, squad: Sequence[str]) -> bool:
        return any(self.row[key].left_handed for key in squad)


def _with(squad: Sequence[str], gone: Sequence[str], come: Sequence[str]) -> list[str]:
    return sorted([key for key in squad if key not in gone] + list(come))
