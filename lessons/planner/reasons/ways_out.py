"""The smallest things to give so that there is a plan, each tried and seen to make room for one.

1. Only what eases a rule of the clash is looked at, kind by kind in turn, of each kind the smallest
   first. Of one thing the largest amount is tried first, for where that does not help no smaller
   one does; then less and less of it, as long as it works.
2. Each is tried by planning the eased school until a first plan is found, for a moment only. What
   stays open is not told; it is tried for longer when nothing else has been shown.
3. Once a kind of thing has been shown twice, others come first.
4. If no single thing does, several that are alike are given together, and if that fails a few that
   are not, one for each reason that stands alone.
"""

import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, zip_longest

from ortools.sat.python import cp_model

from lessons.planner.model import Model
from lessons.planner.plan import Conflict, Placement, WayOut
from lessons.planner.problem import Problem
from lessons.planner.reasons.alike import several_alike
from lessons.planner.reasons.ease import Ease
from lessons.planner.reasons.eases import eases
from lessons.planner.reasons.plain_reasons import plain_reasons

WORKERS = 2
SHARE = 5
MOMENT = 1.5
SHOWN = 5
OF_A_KIND = 2
FIRSTS = 6
MOST_TOGETHER = 4
OPEN = 2
COUNTED = frozenset({"load", "run", "daily", "capacity", "lunch"})
"""Kinds of which more is never worse, told by their amount alone."""


def ways_out(
    problem: Problem,
    conflicts: Iterable[Conflict],
    *,
    seconds: float,
    seed: int = 1,
    stopped: Callable[[], bool] = lambda: False,
) -> tuple[WayOut, ...]:
    """Find small things that would do, each by itself, the smallest first.

    Parameters
    ----------
    conflicts
        The rules that clash; only what eases one of them is tried.
    seconds
        Wall time; fewer are found when it is short.
    stopped
        Asked before each trial; once it says so no more are looked for.
    """
    shown = shown_ways(problem, conflicts, seconds=seconds, seed=seed, stopped=stopped)
    return tuple(found.way for found in sorted(shown, key=lambda found: _by_size(found.ease)))


@dataclass(frozen=True)
class Shown:
    """A way out, the eased problem and visits left out, and a plan that shows that it works."""

    way: WayOut
    ease: Ease
    placements: tuple[Placement, ...]


def shown_ways(
    problem: Problem,
    conflicts: Iterable[Conflict],
    *,
    seconds: float,
    seed: int = 1,
    stopped: Callable[[], bool] = lambda: False,
) -> Iterator[Shown]:
    """Ways out with the plans that show that they work, as they are found."""
    trial = _Trial(seconds, seed, stopped)
    conflicts = list(conflicts)
    singles = _smallest(problem, conflicts)
    tries: tuple[Callable[[], Iterable[list[Ease]]], ...] = (
        lambda: _in_turns(singles),
        lambda: _each(several_alike(problem, conflicts, singles, trial.works, trial.left)),
        lambda: _each(_chains(singles, trial.left)),
    )
    for offered in tries:
        shown = list[Shown]()
        for found in trial.over(offered()):
            shown.append(found)
            yield found
        if shown:
            return


def _by_size(ease: Ease) -> tuple[int, str]:
    return ease.size, ease.words


def _smallest(problem: Problem, conflicts: Iterable[Conflict]) -> list[Ease]:
    found = {ease.words: ease for row in conflicts for ease in eases(problem, row)}
    return sorted(found.values(), key=_by_size)


def _in_turns(singles: Sequence[Ease]) -> Iterator[list[Ease]]:
    """What eases one thing, the smallest such of each kind, then the next of each."""
    things = [
        [list(amounts) for _, amounts in groupby(sorted(alike, key=_thing), key=_thing)]
        for alike in _by_kind(singles)
    ]
    ordered = [sorted(kind, key=lambda amounts: _by_size(amounts[0])) for kind in things]
    for turn in zip_longest(*ordered):
        yield from (amounts for amounts in turn if amounts is not None)


def _thing(ease: Ease) -> tuple[str, ...]:
    """What it is about: for a bay or a person on one day, whatever the slots."""
    day = [key.partition(":")[0] for key in ease.keys[1:2] if ":" in key]
    return ease.kind, *(ease.keys[:1] if day or ease.kind in COUNTED else ease.keys), *day


def _by_kind(singles: Sequence[Ease]) -> list[list[Ease]]:
    rows = sorted(singles, key=lambda ease: (ease.kind, *_by_size(ease)))
    kinds = [list(alike) for _, alike in groupby(rows, key=lambda ease: ease.kind)]
    return sorted(kinds, key=lambda alike: _by_size(alike[0]))


def _each(whole: Iterable[Ease]) -> Iterator[list[Ease]]:
    return ([ease] for ease in whole)


def _chains(singles: Sequence[Ease], left: Callable[[], float]) -> Iterator[Ease]:
    """Each of the smallest, and with it, step by step, what eases the reason still plain."""
    for first in (ease for alike in _by_kind(singles) for ease in alike[:OF_A_KIND]):
        whole = first
        for _ in range(MOST_TOGETHER - 1):
            plain = plain_reasons(whole.problem)
            longer = None
            for more in _smallest(whole.problem, plain[:1])[:FIRSTS]:
                if left() <= 0:
                    return
                both = _both(whole, more)
                then = plain_reasons(both.problem)
                if not then:
                    yield both
                if longer is None and plain[0] not in then:
                    longer = both
            if longer is None:
                break
            whole = longer


def _both(one: Ease, other: Ease) -> Ease:
    """Two changes, the other of a problem that the one has changed, told one after the other."""
    kinds = dict.fromkeys([*one.kind.split(" and "), other.kind])
    return Ease(
        one.size + other.size,
        " and ".join(kinds),
        "{}",
        f"{one.words} {other.words}",
        one.keys + other.keys,
        other.problem,
        one.amount + other.amount,
        one.without | other.without,
    )


class _Trial:
    """Tries one change after the other until enough are shown or the time is out."""

    def __init__(self, seconds: float, seed: int, stopped: Callable[[], bool]) -> None:
        self.stopped = stopped
        self.ends = time.monotonic() + seconds
        self.seed = seed

    def left(self) -> float:
        return 0.0 if self.stopped() else max(0.0, self.ends - time.monotonic())

    def over(self, things: Iterable[list[Ease]]) -> Iterator[Shown]:
        """Those that are seen to work; the ones still open last, and only if there is no other."""
        kinds: Counter[str] = Counter()
        still_open: list[Ease] = []
        for amounts in things:
            if self.left() <= 0 or kinds.total() == SHOWN:
                return
            if kinds[amounts[0].kind] < OF_A_KIND:
                found = self._least(amounts, still_open)
                if found:
                    kinds[found.ease.kind] += 1
                    yield found
        for ease in still_open:
            if kinds.total() or self.left() <= 0:
                return
            _, placements = self.plan(ease, self.left() / SHARE)
            if placements:
                kinds[ease.kind] += 1
                yield _shown(ease, placements)

    def _least(self, amounts: list[Ease], still_open: list[Ease]) -> Shown | None:
        """The smallest amount seen to work, going down from the largest."""
        found = None
        by_amount = sorted(amounts, key=lambda ease: (-ease.amount, ease.words))
        for _, alike in groupby(by_amount, key=lambda ease: ease.amount):
            tried = self._first_that_works(alike, still_open)
            if tried is None:
                return found
            found = tried
        return found

    def _first_that_works(self, alike: Iterable[Ease], still_open: list[Ease]) -> Shown | None:
        hard = 0
        for ease in alike:
            status, placements = self.plan(ease, MOMENT)
            if placements:
                return _shown(ease, placements)
            if status == cp_model.UNKNOWN:
                still_open.append(ease)
                hard += 1
            if hard == OPEN or self.left() <= 0:
                break
        return None

    def works(self, ease: Ease) -> bool:
        """Whether a plan of the eased problem is found soon."""
        return self.plan(ease, self.left() / SHARE)[1] is not None

    def plan(self, ease: Ease, seconds: float) -> tuple[int, tuple[Placement, ...] | None]:
        """Whether the eased problem can be planned, and a first plan of it."""
        if not ease.without and plain_reasons(ease.problem):
            return cp_model.INFEASIBLE, None
        model = Model(ease.problem, let_go=ease.without)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = WORKERS
        solver.parameters.random_seed = self.seed
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.max_time_in_seconds = min(seconds, self.left())
        status = solver.solve(model.cp)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return status, model.placements(solver)
        return status, None


def _shown(ease: Ease, placements: tuple[Placement, ...]) -> Shown:
    return Shown(WayOut(ease.kind, ease.words, ease.keys, ease.amount), ease, placements)
