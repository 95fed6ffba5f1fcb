"""Make a plan walk less while the goals before walking keep their values.

1. Timetables that walk little at the prices of the bound are dealt to the squads by a 0-1
   programme; the full model then gives each session its bay and its instructors. What it has no
   room for is ruled out and the next best is tried.
2. When that finds nothing more, or does not apply, two squads or one day of the plan at hand are
   planned anew by the full model with all the rest in its place, over and over.
"""

import random
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from itertools import combinations

from ortools.sat.python import cp_model

from lessons.planner import walking
from lessons.planner.goals import GOALS
from lessons.planner.model import Model
from lessons.planner.plan import Placement
from lessons.planner.problem import Problem, SlotOfSchool, Squad
from lessons.planner.walks.bounds import Walks
from lessons.planner.walks.cheapest import Timetable
from lessons.planner.walks.mixes import Mix
from lessons.planner.walks.routes import NotCovered

Placements = tuple[Placement, ...]
Found = Callable[[Placements], bool]
Spots = dict[tuple[str, str], dict[SlotOfSchool, str]]

COLUMNS = 500
"""Timetables that a 0-1 programme chooses from."""

DEARER_MIN = 3.0
"""How much more than the cheapest of their kind some of them may cost."""

DEAL_SHARE = 0.7
"""How much of the time left the programme may take."""

NEAR = 0.02
"""How near to its own bound a first choice may stay."""

REPAIRS = 5
"""Parts of what was dealt that are planned anew before it is given up."""

ROUND_SECONDS = 3.0
"""Time to plan a part of a plan anew."""

TICK_SECONDS = 0.2


def improve(
    problem: Problem,
    placements: Sequence[Placement],
    *,
    kept: Mapping[str, int],
    seconds: float,
    seed: int = 1,
    on_progress: Found = lambda plan: True,
    walks: Walks | None = None,
    stopped: Callable[[], bool] = lambda: False,
    workers: int = 2,
) -> Placements:
    """A plan that walks less, or the same one.

    Parameters
    ----------
    kept
        The goals before walking with the values that they must not exceed; the plan has them.
    on_progress
        Called with each better plan, on the caller's thread; False ends the search.
    walks
        The bound of the same problem and values, if it is at hand; the search ends when it is met.
    stopped
        Asked between the rounds of planning anew, which take up to ``ROUND_SECONDS``, and several
        times a second while timetables are dealt; once it says so the best plan so far is returned.
    """
    search = _Improvement(problem, tuple(placements), kept, seed=seed, workers=workers)
    search.ends += seconds
    search.asked_to_stop, search.on_progress = stopped, on_progress
    try:
        search.walks = walks or Walks(problem, kept, seed)
    except NotCovered:
        search.walks = None
    if search.walks and not problem.published:
        search.by_timetables(search.walks)
    search.by_parts()
    return search.plan


class _Improvement:
    """The best plan so far, the full model and the clock."""

    asked_to_stop: Callable[[], bool]
    on_progress: Found

    def __init__(
        self,
        problem: Problem,
        plan: Placements,
        kept: Mapping[str, int],
        *,
        seed: int,
        workers: int,
    ) -> None:
        self.ends = time.monotonic()
        self.problem = problem
        self.plan = plan
        self.walk = walking.count(problem, plan)
        self.parts = list(self._parts())
        self.failed = 0
        self.dice = random.Random(seed)
        self.ended = False
        self.walks: Walks | None = None
        self.model = Model(problem, in_order=False)
        for rule in GOALS:
            if rule.name in kept and rule.applies(problem):
                self.model.cp.add(rule.model(self.model) <= kept[rule.name])
        self.term = walking.term(self.model)
        self.solver = cp_model.CpSolver()
        self.solver.parameters.num_workers = workers
        self.solver.parameters.random_seed = seed
        self.solver.parameters.fix_variables_to_their_hinted_value = True

    def left(self) -> float:
        """Seconds left; none once there is nothing to gain or the search was ended."""
        met = self.walks is not None and self.walk <= self.walks.bound
        ended = self.ended or met or self.asked_to_stop()
        return 0.0 if ended else max(0.0, self.ends - time.monotonic())

    # Timetables of the bound

    def by_timetables(self, walks: Walks) -> None:
        walks.tighten(self.left() / 3, enough=self.walk, stopped=self.asked_to_stop)
        if not self.left():
            return
        mix = Mix(walks.master, walks.columns(COLUMNS, DEARER_MIN))
        gap = NEAR
        while self.left():
            chosen = self._chosen(mix, gap)
            if not chosen and not gap:
                return
            if not chosen or not self._deal(walks, [mix.columns[k][:2] for k in chosen]):
                gap = 0.0 if not chosen else gap
            if chosen:
                mix.rule_out(chosen)

    def _chosen(self, mix: Mix, gap: float) -> tuple[int, ...]:
        """A choice of timetables, unless the search is ended meanwhile.

        The programme cannot be ended from outside; it is left to its time limit.
        """
        pool = ThreadPoolExecutor(max_workers=1)
        seconds = DEAL_SHARE * self.left()
        running = pool.submit(mix.solve, self.walk, seconds=seconds, gap=gap)
        pool.shutdown(wait=False)
        while self.left() and not running.done():
            wait([running], timeout=TICK_SECONDS)
        return running.result() if self.left() else ()

    def _deal(self, walks: Walks, chosen: Sequence[tuple[int, Timetable]]) -> bool:
        """Give each squad one of the timetables; false if the full model has no room for them.

        Where it has not, all but some part of them may still do.
        """
        waiting = [[*kind.squads] for kind in walks.master.kinds]
        spots: Spots = {}
        for number, table in chosen:
            squad, pools = waiting[number].pop(), walks.master.kinds[number].routes.pools
            for at in table.sessions:
                spots.setdefault((squad.key, self.problem.visits[at.visit].key), {})[
                    at.day, at.slot
                ] = pools[at.pool].bays[0].place
        if self._plan_anew(spots, lambda squad, when: False):
            return True
        parts = self.dice.sample(self.parts, min(REPAIRS, len(self.parts)))
        return any(self.left() and self._plan_anew(spots, part) for part in parts)

    # Parts of the plan

    def by_parts(self) -> None:
        """Go on as long as some part may be planned better."""
        while self.left() and self._next_part():
            pass

    def _next_part(self) -> bool:
        """Plan the next part anew; false when none of them gave anything the last time."""
        if self.failed >= len(self.parts):
            return False
        if not self.failed:
            self.dice.shuffle(self.parts)
        place = {bay.key: bay.place for bay in self.problem.bays}
        spots: Spots = {}
        for row in self.plan:
            spots.setdefault((row.squad, row.visit), {})[row.day, row.slot] = place[row.bay]
        self.failed = 0 if self._plan_anew(spots, self.parts[self.failed]) else self.failed + 1
        return True

    def _parts(self) -> Iterator[Callable[[str, SlotOfSchool], bool]]:
        """What says whether a squad's session may be moved, and to when."""
        keys = sorted(squad.key for squad in self.problem.squads)
        for pair in combinations(keys, min(2, len(keys))):
            yield lambda squad, when, pair=pair: squad in pair  # type: ignore[misc]
        for day in range(self.problem.grid.days):
            yield lambda squad, when, day=day: when[0] == day  # type: ignore[misc]

    # The full model

    def _plan_anew(self, spots: Spots, free: Callable[[str, SlotOfSchool], bool]) -> bool:
        """Plan what is free, with the other squads' sessions when and where they are."""
        self.model.cp.clear_hints()
        for squad in self.model.squads:
            self._hold(squad, spots, free)
        self.model.cp.add(self.term <= self.walk - 1)
        self.model.cp.minimize(self.term)
        self.solver.parameters.max_time_in_seconds = min(ROUND_SECONDS, self.left())
        status = self.solver.solve(self.model.cp)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return False
        self.plan = self.model.placements(self.solver)
        self.walk = walking.count(self.problem, self.plan)
        self.failed = 0
        self.ended = not self.on_progress(self.plan)
        return True

    def _hold(self, squad: Squad, spots: Spots, free: Callable[[str, SlotOfSchool], bool]) -> None:
        hinted: set[int] = set()
        for visit in self.model.visits:
            pair = squad.key, visit.key
            for when, start in self.model.starts[pair].items():
                if isinstance(start, int) or free(squad.key, when):
                    continue
                place = spots.get(pair, {}).get(when)
                self.model.cp.add_hint(start, place is not None)
                hinted.add(start.index)
                for number, there in self.model.in_pool[pair][when].items():
                    away = place is None or self.model.pools[number].place != place
                    if away and there.index not in hinted:
                        self.model.cp.add_hint(there, 0)
                        hinted.add(there.index)
