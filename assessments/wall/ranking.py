"""Who may come before whom, when every number has an uncertainty.

Two values are tied if they differ by less than two standard uncertainties of their difference.
Ties are no groups: the first may be tied with the second and the second with the third, and yet
the first with the third not. So a rank is a range: a value can stand no nearer the front than
behind all that certainly come before it, and no further back than before all that certainly come
after.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

TIE_FACTOR = 2.0


@dataclass(frozen=True)
class Value:
    """A value and its standard uncertainty, in one unit."""

    value: float
    uncertainty: float


@dataclass(frozen=True)
class Rank:
    """The places that a value may have, from 1."""

    first: int
    last: int

    @property
    def is_tied(self) -> bool:
        return self.first != self.last

    @property
    def words(self) -> str:
        return f"{self.first} to {self.last}" if self.is_tied else str(self.first)


@dataclass(frozen=True)
class Standing:
    """How a value lies among others that are not ranked with it."""

    below: int
    tied: int
    above: int


def tied(one: Value, other: Value) -> bool:
    """Whether it cannot be told which of the two is larger; equal values are always tied."""
    difference = abs(one.value - other.value)
    return difference == 0 or difference < TIE_FACTOR * math.hypot(
        one.uncertainty, other.uncertainty
    )


def certainly_less(one: Value, other: Value) -> bool:
    return one.value < other.value and not tied(one, other)


def ranks(values: Sequence[Value]) -> list[Rank]:
    """The rank of each value, the lowest being the first."""
    return [
        Rank(
            1 + sum(certainly_less(other, one) for other in values),
            len(values) - sum(certainly_less(one, other) for other in values),
        )
        for one in values
    ]


def reversed_rank(rank: Rank, among: int) -> Rank:
    """The same rank counted from the highest of `among` values."""
    return Rank(among + 1 - rank.last, among + 1 - rank.first)


def standing_among(one: Value, others: Sequence[Value]) -> Standing:
    """How many of the others certainly lie below it, cannot be told from it, and lie above it."""
    below = sum(certainly_less(other, one) for other in others)
    above = sum(certainly_less(one, other) for other in others)
    return Standing(below, len(others) - below - above, above)
