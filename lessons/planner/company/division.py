"""A division of golfers into squads: what is asked of it, and what it is worth.

Handicaps are in tenths of a stroke. A golfer without one counts as the median of the others. A
minor is alone if nobody else in the squad is a minor or looks after them.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median_low

from lessons.planner.problem import MAX_SQUAD

Pair = tuple[str, str]
Squads = Sequence[Sequence[str]]


@dataclass(frozen=True)
class Golfer:
    """What the squad-maker knows of an attendee; the name is for what it has to say."""

    key: str
    left_handed: bool
    handicap_tenths: int | None
    minor: bool
    name: str = ""

    def __str__(self) -> str:
        return self.name or self.key


@dataclass(frozen=True)
class Rules:
    """What is asked of a division.

    `cares` are pairs of a minor and who looks after them, kept together like `together`. So many
    squads with a left-hander as `left_squads` the left-handed bays serve as well as any squad.
    """

    size: int = MAX_SQUAD
    together: tuple[Pair, ...] = ()
    apart: tuple[Pair, ...] = ()
    cares: tuple[Pair, ...] = ()
    left_squads: int = 0

    @property
    def kept_together(self) -> tuple[Pair, ...]:
        return self.together + self.cares


@dataclass(frozen=True)
class Worth:
    """What a division is worth; the means are those of the squads with anybody in them."""

    mean_tenths: tuple[Fraction, ...]
    left_squads: int
    lone_minors: tuple[str, ...]
    split: tuple[Pair, ...]
    mixed: tuple[Pair, ...]

    @property
    def spread_tenths(self) -> Fraction:
        """Between the highest and the lowest mean handicap."""
        return max(self.mean_tenths, default=Fraction(0)) - min(
            self.mean_tenths, default=Fraction(0)
        )


def worth_of(golfers: Iterable[Golfer], squads: Squads, rules: Rules) -> Worth:
    """What the division is worth; who is in no squad yet breaks no wish."""
    row = {golfer.key: golfer for golfer in golfers}
    filled = [squad for squad in squads if squad]
    seat = {key: number for number, squad in enumerate(filled) for key in squad}
    return Worth(
        mean_tenths=means(row.values(), filled),
        left_squads=sum(any(row[key].left_handed for key in squad) for squad in filled),
        lone_minors=tuple(key for squad in filled for key in _lone(squad, row, rules.cares)),
        split=_where(seat, rules.kept_together, same=False),
        mixed=_where(seat, rules.apart, same=True),
    )


def means(golfers: Iterable[Golfer], squads: Squads) -> tuple[Fraction, ...]:
    """The mean handicap of each squad in tenths; none of them may be empty."""
    tenths = handicaps(golfers)
    return tuple(Fraction(sum(tenths[key] for key in squad), len(squad)) for squad in squads)


def handicaps(golfers: Iterable[Golfer]) -> dict[str, int]:
    """Tenths by golfer, the median for who has none; all are nought if nobody has one."""
    given = {golfer.key: golfer.handicap_tenths for golfer in golfers}
    known = [tenths for tenths in given.values() if tenths is not None]
    middle = median_low(known) if known else 0
    return {key: middle if tenths is None else tenths for key, tenths in given.items()}


def groups_of(keys: Iterable[str], together: Iterable[Pair]) -> dict[str, frozenset[str]]:
    """For each golfer all those who must be in the same squad, by way of others too."""
    groups = {key: frozenset([key]) for key in keys}
    for one, other in together:
        joined = groups[one] | groups[other]
        groups |= dict.fromkeys(joined, joined)
    return groups


def best_place(golfers: Sequence[Golfer], squads: Squads, key: str, rules: Rules) -> int | None:
    """Which squad suits a newcomer best; None if each is full.

    First come wishes, then left-handed bays, company for minors and at all, room, and the spread.
    """

    def rank(number: int) -> tuple[object, ...]:
        tried = [[*squad, key] if here == number else squad for here, squad in enumerate(squads)]
        worth = worth_of(golfers, tried, rules)
        return (
            len(worth.split) + len(worth.mixed),
            max(0, worth.left_squads - rules.left_squads),
            len(worth.lone_minors),
            not squads[number],
            len(squads[number]),
            worth.spread_tenths,
        )

    open_ones = [number for number, squad in enumerate(squads) if len(squad) < rules.size]
    return min(open_ones, key=rank, default=None)


def _lone(squad: Sequence[str], row: dict[str, Golfer], cares: Iterable[Pair]) -> list[str]:
    minors = [key for key in squad if row[key].minor]
    if len(minors) != 1:
        return []
    with_them = any(minor == minors[0] and carer in squad for minor, carer in cares)
    return [] if with_them else minors


def _where(seat: dict[str, int], pairs: Iterable[Pair], *, same: bool) -> tuple[Pair, ...]:
    placed = [(one, other) for one, other in pairs if one in seat and other in seat]
    return tuple(pair for pair in placed if (seat[pair[0]] == seat[pair[1]]) is same)
