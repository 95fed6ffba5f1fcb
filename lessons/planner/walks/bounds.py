"""How little the squads of a school can walk: bounds that no plan goes below."""

import random
import time
from collections.abc import Callable, Mapping
from math import ceil, inf, isfinite

import numpy as np

from lessons.planner.problem import Problem
from lessons.planner.walks.cheapest import Cheapest
from lessons.planner.walks.columns import Column, Master, kinds_of
from lessons.planner.walks.routes import Floats, NotCovered

DRAWN = 0.5
"""How far prices are drawn towards the ones that gave the best bound, which steadies them."""

SAMPLES = 25
"""Timetables taken over for each kind of squad at one set of prices."""

SLACK_MIN = 3.0
"""Minutes by which those may cost more than the cheapest."""


def alone_bound(problem: Problem, *, kept: Mapping[str, int]) -> int:
    """Minutes that the squads walk at least, each as if it had the school to itself.

    It holds for every plan in which the goals named in ``kept`` are at most their values there;
    it uses ``idle`` and ``preference`` where they are 0, and ``moved``.
    """
    try:
        kinds = kinds_of(problem, kept)
    except NotCovered:
        return 0
    found = sum(len(kind.squads) * Cheapest(kind.routes, {}).best for kind in kinds)
    return round(found) if isfinite(found) else 0


def walking_bound(
    problem: Problem, *, kept: Mapping[str, int], seconds: float, seed: int = 1
) -> int:
    """Minutes that the squads walk at least in any plan.

    It holds for every plan in which the goals named in ``kept`` are at most their values there:
    ``idle``, ``preference``, ``moved``, and unless something is over ``lead``, ``same_instructor``
    and ``fairness``; other names are not read. Where the timetables of a squad cannot be searched
    (no base, sessions that stand over lunch or in each other's way, too many states) it is 0, as
    it is without squads.
    """
    try:
        walks = Walks(problem, kept, seed)
    except NotCovered:
        return 0
    walks.tighten(seconds)
    return walks.bound


class Walks:
    """The bound of a school and the timetables that give it, to be tightened step by step.

    Raises
    ------
    NotCovered
        If the timetables of a squad cannot be searched, or there are no squads.
    """

    def __init__(self, problem: Problem, kept: Mapping[str, int], seed: int) -> None:
        self.kept = kept
        self.master = Master(problem, kinds_of(problem, kept), kept)
        self.dice = random.Random(seed)
        self.best = -inf
        self.prices = np.zeros(len(self.master.rows))
        self.settled = False
        self._try(self.prices)
        if not isfinite(self.best):
            raise NotCovered("Some squad has no timetable at all.")

    @property
    def bound(self) -> int:
        """The best bound so far, in whole minutes."""
        return max(0, ceil(self.best - 1e-6 * (1 + abs(self.best))))

    def _try(self, prices: Floats) -> list[Cheapest]:
        bound, found = self.master.price(prices)
        if bound > self.best:
            self.best, self.prices = bound, prices
        return found

    def _take(self, found: list[Cheapest], samples: int, slack: float) -> bool:
        """Take the cheapest timetables over, and some that are not much dearer."""
        new = False
        for number, cheapest in enumerate(found):
            new |= self.master.add(number, cheapest.timetable())
            for _ in range(samples):
                table = cheapest.timetable(self.dice.random() * slack, self.dice)
                new |= self.master.add(number, table)
        return new

    def tighten(
        self,
        seconds: float,
        *,
        enough: int | None = None,
        stopped: Callable[[], bool] = lambda: False,
    ) -> None:
        """Go on until nothing is gained any more, the time is over, or the bound is enough."""
        ends = time.monotonic() + seconds
        if not self.master.columns:
            self._take(self.master.price(self.prices)[1], 2 * SAMPLES, 2 * SLACK_MIN)
        while not self.settled and not stopped() and time.monotonic() < ends:
            if enough is not None and self.bound >= enough:
                return
            try:
                value, prices = self.master.solve()
            except NotCovered:
                return
            new = False
            for drawn in (DRAWN, 0.0):
                found = self._try(drawn * self.prices + (1 - drawn) * prices)
                new |= self._take(found, SAMPLES, SLACK_MIN)
            self.settled = not new or value - self.best < 1e-4

    def columns(self, most: int, slack: float = 2 * SLACK_MIN) -> list[Column]:
        """The columns that cost least at the best prices, some more of them drawn at random."""
        found = self.master.price(self.prices)[1]
        self._take(found, most // 2, slack)
        ranked = sorted(
            (self.master.dearer(column, self.prices, found), number)
            for number, column in enumerate(self.master.columns)
        )
        return [self.master.columns[number] for _, number in ranked[:most]]
