"""The smallest things to give so that there is a plan, each tried and seen to make room for one.

1. Only what eases a rule of the clash is looked at, the smallest first; of a few slots or a few
   more squads that means one, then two, then three.
2. Each is tried by planning the eased school until a first plan is found, with a share of the
   time left, so that one hard question costs no other. What stays open is not told.
3. Once a kind of thing has been shown twice, or the same thing in a smaller amount, others come
   first. If no single thing does, two are given together: one for each reason that stands alone.
"""

import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from ortools.sat.python import cp_model

from lessons.planner.eases import Ease, eases
from lessons.planner.model import Model
from lessons.planner.plain_reasons import plain_reasons
from lessons.planner.plan import Conflict, Placement, WayOut
from lessons.planner.problem import Problem

WORKERS = 2
SHARE = 5
SHOWN = 5
OF_A_KIND = 2
FIRSTS = 6


def ways_out(
    problem: Problem, conflicts: Iterable[Conflict], *, seconds: float, seed: int = 1
) -> tuple[WayOut, ...]:
    """Find small things that would do, each by itself.

    Parameters
    ----------
    conflicts
        The rules that clash; only what eases one of them is tried.
    seconds
        Wall time; fewer are found when it is short.
    """
    return tuple(shown.way for shown in shown_ways(problem, conflicts, seconds=seconds, seed=seed))


@dataclass(frozen=True)
class Shown:
    """A way out, the eased problem and visits left out, and a plan that shows that it works."""

    way: WayOut
    ease: Ease
    placements: tuple[Placement, ...]


def shown_ways(
    problem: Problem, conflicts: Iterable[Conflict], *, seconds: float, seed: int = 1
) -> Iterator[Shown]:
    """Ways out with the plans that show that they work."""
    trial = _Trial(seconds, seed)
    conflicts = list(conflicts)
    singles = _smallest(problem, conflicts)
    shown = 0
    for found in trial.over(singles):
        yield found
        shown += 1
    if not shown:
        yield from trial.over(_pairs(singles))


def _smallest(problem: Problem, conflicts: Iterable[Conflict]) -> list[Ease]:
    found = {ease.words: ease for row in conflicts for ease in eases(problem, row)}
    return sorted(found.values(), key=lambda ease: (ease.size, ease.words))


def _pairs(singles: Sequence[Ease]) -> Iterator[Ease]:
    """Each of the smallest, and with it what eases the reason that is then still plain."""
    for first in _one_of_a_kind(singles):
        left = plain_reasons(first.problem)
        for second in _smallest(first.problem, left[:1])[:FIRSTS]:
            words = f"{first.words} {second.words}"
            yield Ease(
                first.size + second.size,
                f"{first.kind} and {second.kind}",
                words,
                first.keys + second.keys,
                second.problem,
                first.amount + second.amount,
                first.without | second.without,
            )


def _one_of_a_kind(singles: Sequence[Ease]) -> list[Ease]:
    by_kind = groupby(sorted(singles, key=lambda e: (e.kind, e.size)), key=lambda e: e.kind)
    return [ease for _, alike in by_kind for ease in list(alike)[:OF_A_KIND]]


class _Trial:
    """Tries one change after the other until enough are shown or the time is out."""

    def __init__(self, seconds: float, seed: int) -> None:
        self.ends = time.monotonic() + seconds
        self.seed = seed

    def left(self) -> float:
        return max(0.0, self.ends - time.monotonic())

    def over(self, tried: Iterable[Ease]) -> Iterator[Shown]:
        kinds: Counter[str] = Counter()
        about: set[tuple[str, str]] = set()
        for ease in tried:
            thing = ease.kind, ease.keys[0] if ease.keys else ""
            if self.left() <= 0 or sum(kinds.values()) == SHOWN:
                return
            if kinds[ease.kind] == OF_A_KIND or thing in about:
                continue
            placements = self.plan(ease)
            if placements is not None:
                kinds[ease.kind] += 1
                about.add(thing)
                way = WayOut(ease.kind, ease.words, ease.keys, ease.amount)
                yield Shown(way, ease, placements)

    def plan(self, ease: Ease) -> tuple[Placement, ...] | None:
        """A first plan of the eased problem, or None when there is none or the time is out."""
        if not ease.without and plain_reasons(ease.problem):
            return None
        model = Model(ease.problem, let_go=ease.without)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = WORKERS
        solver.parameters.random_seed = self.seed
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.max_time_in_seconds = self.left() / SHARE
        if solver.solve(model.cp) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        return model.placements(solver)
