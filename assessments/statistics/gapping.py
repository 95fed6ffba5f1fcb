"""How far the clubs of a set lie apart, and whether two of them do the same work.

Neighbours are compared in the order of their carries. What may be said of a gap is said only past
the worth of both carries.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

# A step from club to club is about 10 to 15 yards: common practice, no source. Less than the
# smaller is no step, and twice the smaller leaves a hole.
STEP_M, HOLE_M = 9.0, 18.0


class Apart(StrEnum):
    """What a gap is known to be."""

    OVERLAP = "overlap"
    STEP = "step"
    HOLE = "hole"
    UNSURE = "unsure"


@dataclass(frozen=True)
class Carry:
    """The typical carry of a club, in metres, and its 95 % interval if there is one."""

    club: str
    value: float
    interval: tuple[float, float] | None = None


@dataclass(frozen=True)
class Gap:
    """From the shorter club to the longer one, in metres, with its 95 % interval if known."""

    shorter: Carry
    longer: Carry
    interval: tuple[float, float] | None

    @property
    def size(self) -> float:
        return self.longer.value - self.shorter.value

    @property
    def is_small(self) -> bool:
        """Whether it looks like no step, sure or not."""
        return self.size < STEP_M

    @property
    def apart(self) -> Apart:
        if self.interval is None:
            return Apart.UNSURE
        low, high = self.interval
        if high < STEP_M:
            return Apart.OVERLAP
        if low > HOLE_M:
            return Apart.HOLE
        return Apart.STEP if low >= STEP_M and high <= HOLE_M else Apart.UNSURE


def gaps(carries: Iterable[Carry]) -> tuple[Gap, ...]:
    """Between neighbours from the shortest club to the longest.

    The interval of a difference comes from the arms that point at each other and away from each
    other, by G. Y. Zou and A. Donner, Statistics in Medicine 27 (2008) 1693-1702.
    """
    ordered = sorted(carries, key=lambda carry: (carry.value, carry.club))
    return tuple(_gap(shorter, longer) for shorter, longer in pairwise(ordered))


def _gap(shorter: Carry, longer: Carry) -> Gap:
    if shorter.interval is None or longer.interval is None:
        return Gap(shorter, longer, None)
    size = longer.value - shorter.value
    below = math.hypot(longer.value - longer.interval[0], shorter.interval[1] - shorter.value)
    above = math.hypot(longer.interval[1] - longer.value, shorter.value - shorter.interval[0])
    return Gap(shorter, longer, (size - below, size + above))
