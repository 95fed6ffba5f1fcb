"""How a repeatability study is drawn, and what of it can be analysed when some of it is missing."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from random import Random
from typing import Generic, TypeVar

from scipy.special import chdtri

from assessments.statistics.repeatability import TAIL

Key = TypeVar("Key", bound=Hashable)

FEWEST_STILLS, FEWEST_TURNS = 5, 2


@dataclass(frozen=True)
class Candidate(Generic[Key]):
    """A still that may be drawn: whose it is, and what kind (phase and club, say)."""

    still: Key
    golfer: Hashable
    kind: Hashable


def draw(candidates: Iterable[Candidate[Key]], wanted: int, rng: Random) -> list[Key]:
    """At most `wanted` stills at random and in random order, as mixed as can be.

    The next still is always one of a golfer of whom fewest are drawn and, among theirs, of a
    kind of which fewest are drawn. The order is drawn anew at the end, so that it tells nothing.
    """
    left = sorted(candidates, key=lambda one: str(one.still))
    rng.shuffle(left)
    drawn: list[Key] = []
    golfers: Counter[Hashable] = Counter()
    kinds: Counter[Hashable] = Counter()
    while left and len(drawn) < wanted:
        rarest = min(left, key=lambda one: (golfers[one.golfer], kinds[one.kind]))
        left.remove(rarest)
        golfers[rarest.golfer] += 1
        kinds[rarest.kind] += 1
        drawn.append(rarest.still)
    rng.shuffle(drawn)
    return drawn


def widest_table(marked: Mapping[Key, Mapping[int, float]]) -> list[list[float]]:
    """The table of complete stills by turns that tells most, from values by still and turn.

    A turn that was broken off would leave out every still that it lacks; leaving out the turn
    instead may keep more. Of all choices of turns the one with most degrees of freedom, (n - 1)
    (k - 1), is taken, then the one with more stills, then the earliest turns. Empty if no two
    turns share five stills.
    """
    turns = sorted({turn for by_turn in marked.values() for turn in by_turn})
    best: tuple[tuple[int, int], list[list[float]]] = ((0, 0), [])
    for size in range(FEWEST_TURNS, len(turns) + 1):
        for chosen in combinations(turns, size):
            table = _complete(marked, chosen)
            score = ((len(table) - 1) * (size - 1), len(table))
            if len(table) >= FEWEST_STILLS and score > best[0]:
                best = score, table
    return best[1]


def _complete(marked: Mapping[Key, Mapping[int, float]], turns: Sequence[int]) -> list[list[float]]:
    return [
        [by_turn[turn] for turn in turns]
        for by_turn in marked.values()
        if all(turn in by_turn for turn in turns)
    ]


def by_still(values: Iterable[tuple[Key, int, float]]) -> dict[Key, dict[int, float]]:
    """Still, turn and value, sorted into what `widest_table` reads."""
    found: defaultdict[Key, dict[int, float]] = defaultdict(dict)
    for still, turn, value in values:
        found[still][turn] = value
    return dict(found)


def known_within(stills: int, markings: int) -> tuple[float, float]:
    """Between which multiples of what a study finds the true error lies, with 95 %.

    By chi-square with (n - 1)(k - 1) degrees of freedom, as if people had no habits of their own;
    with habits it is known less well.
    """
    df = (stills - 1) * (markings - 1)
    low, high = (math.sqrt(df / float(chdtri(df, tail))) for tail in (TAIL, 1 - TAIL))
    return low, high
