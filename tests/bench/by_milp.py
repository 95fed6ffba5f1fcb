"""The same timetable as one mixed-integer programme for HiGHS, by way of `scipy.optimize.milp`.

A time-indexed 0-1 model as a textbook has it: a squad's visit begins in a slot at a pool of bays
that are alike; an instructor teaches a visit that begins in a slot at a pool; a squad's walk of
half a day is a path through places, slot by slot. All goals go into one sum with given weights.
It shares no code with the planner and refuses what the schools of the bench do not have: visits on
the same day, and shared bays of a pool that several kinds of visit can use.
"""

import time
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from lessons.planner.plan import Placement
from lessons.planner.problem import Bay, Problem, Squad, Visit

Sum = list[tuple[int, float]]
Begin = tuple[str, int, int, int]  # visit, day, slot, pool


@dataclass(frozen=True)
class Reached:
    """What the general solver has when its time is over; no placements when it found no plan."""

    placements: tuple[Placement, ...]
    bound: float
    seconds: float
    variables: int
    proven: bool


class Milp:
    """Variables, rows and weights, and the plan read back."""

    def __init__(self, problem: Problem, weights: Mapping[str, float]) -> None:
        assert not problem.same_day, "no school of the bench has visits on the same day"
        self.problem, self.grid = problem, problem.grid
        self.upper: list[float] = []
        self.whole: list[int] = []
        self.cost: list[float] = []
        self.rows: list[tuple[Sum, float, float]] = []
        self.visits = {visit.key: visit for visit in problem.visits}
        self.squad_starts: dict[tuple[str, Begin], int] = {}
        self.staff_starts: dict[tuple[str, Begin], int] = {}
        self._choices(weights)
        self._squads()
        self._pools()
        self._staff()
        self._idle(weights["idle"])
        self._walks(weights["walking"])
        self._people_goals(weights)

    def var(self, upper: float = 1, cost: float = 0, *, whole: bool = True) -> int:
        self.upper.append(upper)
        self.whole.append(int(whole))
        self.cost.append(cost)
        return len(self.upper) - 1

    def row(self, terms: Iterable[tuple[int, float]], low: float, high: float) -> None:
        self.rows.append(([*terms], low, high))

    @cached_property
    def pools(self) -> list[list[Bay]]:
        """Bays that are alike."""
        alike: dict[object, list[Bay]] = defaultdict(list)
        for bay in self.problem.bays:
            alike[bay.place, bay.features, bay.closed, bay.squads].append(bay)
        return [*alike.values()]

    def place(self, pool: int) -> str:
        return self.pools[pool][0].place

    def _choices(self, weights: Mapping[str, float]) -> None:
        for visit in self.problem.visits:
            for squad in self.problem.squads:
                for begin in self._begins(visit):
                    if self._allowed(squad, visit, begin):
                        disliked = visit.preferred is not None and begin[2] not in visit.preferred
                        self.squad_starts[squad.key, begin] = self.var(
                            cost=weights["preference"] * disliked
                        )
            for person in self.problem.instructors:
                for begin in self._begins(visit):
                    slots = {(begin[1], begin[2] + more) for more in range(visit.slots)}
                    if visit.station in person.skills and slots <= person.available:
                        self.staff_starts[person.key, begin] = self.var()

    def _begins(self, visit: Visit) -> list[Begin]:
        return [
            (visit.key, day, slot, pool)
            for day in range(self.grid.days)
            if visit.allows(day)
            for slot in range(self.grid.slots_per_day - visit.slots + 1)
            if self.grid.fits_half(slot, visit.slots)
            for pool, bays in enumerate(self.pools)
            if visit.features <= bays[0].features
        ]

    def _allowed(self, squad: Squad, visit: Visit, begin: Begin) -> bool:
        _, day, slot, pool = begin
        bay = self.pools[pool][0]
        slots = {(day, slot + more) for more in range(visit.slots)}
        in_bay = {(day, slot + more) for more in range(visit.in_bay)}
        return not (
            visit.missing(squad, bay)
            or in_bay & bay.closed
            or ("lit" not in bay.features and slots & self.problem.dark)
            or ("covered" not in bay.features and slots & self.problem.rain)
        )

    @cached_property
    def squad_busy(self) -> dict[tuple[str, int, int], list[tuple[int, str]]]:
        """Variables that keep a squad busy in a slot, with the place."""
        return self._busy(self.squad_starts)

    @cached_property
    def staff_busy(self) -> dict[tuple[str, int, int], list[tuple[int, str]]]:
        return self._busy(self.staff_starts)

    def _busy(self, starts: Mapping[tuple[str, Begin], int]) -> Any:
        busy: dict[tuple[str, int, int], list[tuple[int, str]]] = defaultdict(list)
        for (who, (visit, day, slot, pool)), var in starts.items():
            for u in range(slot, slot + self.visits[visit].slots):
                busy[who, day, u].append((var, self.place(pool)))
        return busy

    def _squads(self) -> None:
        for squad in self.problem.squads:
            mine = [(b, v) for (who, b), v in self.squad_starts.items() if who == squad.key]
            for visit in self.problem.visits:
                had = [(begin, var) for begin, var in mine if begin[0] == visit.key]
                self.row(((var, 1) for _, var in had), visit.times, visit.times)
                for day in range(self.grid.days):
                    on_day = [(var, 1.0) for begin, var in had if begin[1] == day]
                    self.row(on_day, 0, visit.most_a_day)
                for earlier, count in visit.after.items():
                    first = [(b, v) for b, v in mine if b[0] == earlier]
                    self._after(had, first, self.visits[earlier].slots, count)
            self._other_day(mine)
        self._one_place_at_a_time(self.squad_busy)

    def _after(self, had: Any, first: Any, slots: int, count: int) -> None:
        for time_of in {begin[1:3] for begin, _ in had}:
            late = [(var, float(count)) for begin, var in had if begin[1:3] == time_of]
            over = [(v, -1.0) for b, v in first if (b[1], b[2] + slots) <= time_of]
            # One of several sessions in this slot is enough to need all that came before.
            self.row([*late, *over], -np.inf, 0)

    def _other_day(self, mine: Any) -> None:
        for pair in self.problem.other_day:
            for day in range(self.grid.days):
                on_day = [self.var(), self.var()]
                self.row([(var, 1) for var in on_day], 0, 1)
                for visit, flag in zip(pair, on_day, strict=True):
                    for begin, var in mine:
                        if begin[:2] == (visit, day):
                            self.row([(var, 1), (flag, -1)], -np.inf, 0)

    def _one_place_at_a_time(self, busy: Any) -> None:
        """Once in a slot, and never in adjacent slots at places too far apart."""
        for (who, day, u), here in busy.items():
            self.row([(var, 1) for var, _ in here], 0, 1)
            if u + 1 == self.grid.lunch_after:
                continue
            for start, end in self.problem.too_far():
                both = [(var, 1.0) for var, place in here if place == start]
                both += [(var, 1.0) for var, at in busy.get((who, day, u + 1), []) if at == end]
                self.row(both, 0, 1)

    def _pools(self) -> None:
        used: dict[tuple[int, int, int], Sum] = defaultdict(list)
        kinds: dict[int, set[str]] = defaultdict(set)
        for (_, (visit, day, slot, pool)), var in self.squad_starts.items():
            kinds[pool].add(visit)
            for u in range(slot, slot + self.visits[visit].in_bay):
                used[pool, day, u].append((var, 1.0))
        for (pool, _, _), terms in used.items():
            bays = self.pools[pool]
            assert bays[0].squads == 1 or len(kinds[pool]) == 1, "shared bays have one use"
            self.row(terms, 0, sum(bay.squads for bay in bays))

    def _staff(self) -> None:
        sizes = {squad.key: squad.size for squad in self.problem.squads}
        for visit in self.problem.visits:
            for begin in self._begins(visit):
                there = [(v, sizes[w]) for (w, b), v in self.squad_starts.items() if b == begin]
                staff = [v for (_, b), v in self.staff_starts.items() if b == begin]
                if visit.group:
                    assert len(self.pools[begin[3]]) == 1, "a room for groups has no equal"
                    people = [*((v, 1.0 * n) for v, n in there)]
                    people += [(v, -1.0 * visit.ratio) for v in staff]
                    self.row(people, 1 - visit.ratio, 0)
                else:
                    self.row([*((v, 1.0) for v, _ in there), *((v, -1.0) for v in staff)], 0, 0)
        self._one_place_at_a_time(self.staff_busy)
        for person in self.problem.instructors:
            for day in range(self.grid.days):
                line = [
                    [(var, 1.0) for var, _ in self.staff_busy.get((person.key, day, u), [])]
                    for u in range(self.grid.slots_per_day)
                ]
                self.row(chain(*line), 0, person.max_load)
                for half in self.grid.halves:
                    for u in half[: -person.max_run]:
                        run = chain(*line[u : u + person.max_run + 1])
                        self.row(run, 0, person.max_run)

    def _idle(self, weight: float) -> None:
        for squad in self.problem.squads:
            for day in range(self.grid.days):
                slots = range(self.grid.slots_per_day)
                busy = [[(v, 1.0) for v, _ in self.squad_busy[squad.key, day, u]] for u in slots]
                begun, unfinished = [self.var() for _ in slots], [self.var() for _ in slots]
                for u in slots:
                    gap = self.var(cost=weight, whole=False)
                    for flag in (begun[u], unfinished[u]):
                        self.row([*busy[u], (flag, -1.0)], -np.inf, 0)
                    if u:
                        self.row([(begun[u - 1], 1), (begun[u], -1)], -np.inf, 0)
                        self.row([(unfinished[u], 1), (unfinished[u - 1], -1)], -np.inf, 0)
                    waits = [(begun[u], 1.0), (unfinished[u], 1.0), (gap, -1.0)]
                    self.row([*waits, *((v, -1.0) for v, _ in busy[u])], -np.inf, 1)

    def _walks(self, weight: float) -> None:
        places = sorted({bay.place for bay in self.problem.bays} | {str(self.problem.base)})
        for squad in self.problem.squads:
            for day in range(self.grid.days):
                for half in self.grid.halves:
                    self._path(squad.key, day, half, places, weight)

    def _path(self, squad: str, day: int, half: range, places: list[str], weight: float) -> None:
        """One unit flows from the base through the slots' places and back to the base."""
        arriving: dict[str, Sum] = {}
        for u in (*half, None):
            here: dict[str, Sum] = {place: [] for place in places}
            for start in places:
                leaving: Sum = []
                for end in places if u is not None else [str(self.problem.base)]:
                    flow = self.var(cost=weight * self.problem.walk(start, end), whole=False)
                    leaving.append((flow, 1.0))
                    here[end].append((flow, 1.0))
                    if start != end and u is not None:
                        busy = self.squad_busy[squad, day, u]
                        at_end = [(var, -1.0) for var, place in busy if place == end]
                        self.row([(flow, 1.0), *at_end], -np.inf, 0)
                source = float(start == self.problem.base) if u == half[0] else 0.0
                before = [(flow, -1.0) for flow, _ in arriving.get(start, [])]
                self.row([*leaving, *before], source, source)
            if u is not None:
                for place in places:
                    busy = self.squad_busy[squad, day, u]
                    there = [(var, -1.0) for var, at in busy if at == place]
                    self.row([*here[place], *there], 0, np.inf)
            arriving = here

    def _people_goals(self, weights: Mapping[str, float]) -> None:
        most, least = self.var(99, weights["fairness"]), self.var(99, -weights["fairness"])
        for person in self.problem.instructors:
            load = [
                (var, float(person.load_factor * self.visits[begin[0]].slots))
                for (who, begin), var in self.staff_starts.items()
                if who == person.key
            ]
            self.row([*load, (most, -1.0)], -np.inf, 0)
            self.row([*load, (least, -1.0)], 0, np.inf)
        self.with_staff: dict[tuple[str, str, Begin], int] = {}
        pair = self.problem.same_instructor or ()
        lead = self.problem.lead
        for (who, begin), taught in self.staff_starts.items():
            if who == lead or begin[0] in pair:
                links = []
                for squad in self.problem.squads:
                    start = self.squad_starts.get((squad.key, begin))
                    if start is not None:
                        both = self.var()
                        self.with_staff[squad.key, who, begin] = both
                        links.append((both, 1.0))
                        self.row([(both, 1), (start, -1)], -np.inf, 0)
                        self.row([(both, 1), (taught, -1)], -np.inf, 0)
                if links and not self.visits[begin[0]].group:
                    self.row([*links, (taught, -1.0)], 0, 0)
        for squad in self.problem.squads:
            self._lead_and_pair(squad.key, weights)

    def _lead_and_pair(self, squad: str, weights: Mapping[str, float]) -> None:
        mine = [(w, b[0], v) for (s, w, b), v in self.with_staff.items() if s == squad]
        if self.problem.lead:
            short = self.var(self.problem.lead_visits, weights["lead"])
            had = [(var, 1.0) for who, _, var in mine if who == self.problem.lead]
            self.row([*had, (short, 1.0)], self.problem.lead_visits, np.inf)
        if self.problem.same_instructor:
            parted = self.var(cost=weights["same_instructor"])
            same: Sum = []
            for person in self.problem.instructors:
                flag = self.var()
                same.append((flag, 1.0))
                for visit in self.problem.same_instructor:
                    taken = [(v, -1.0) for w, b, v in mine if (w, b) == (person.key, visit)]
                    self.row([(flag, 1.0), *taken], -np.inf, 0)
            self.row([*same, (parted, 1.0)], 1, np.inf)

    def solve(self, seconds: float) -> Reached:
        began = time.monotonic()
        entries = [(n, var, by) for n, (terms, _, _) in enumerate(self.rows) for var, by in terms]
        numbers, columns, factors = zip(*entries, strict=True)
        shape = (len(self.rows), len(self.upper))
        found = milp(
            self.cost,
            integrality=self.whole,
            bounds=Bounds(0, np.array(self.upper)),
            constraints=LinearConstraint(
                csr_array((factors, (numbers, columns)), shape=shape),
                [low for _, low, _ in self.rows],
                [high for _, _, high in self.rows],
            ),
            options={"time_limit": seconds},
        )
        placements = () if found.x is None else self._read([x > 0.5 for x in found.x])
        bound = found.mip_dual_bound if found.mip_dual_bound is not None else -np.inf
        spent = time.monotonic() - began
        return Reached(placements, float(bound), spent, len(self.upper), found.status == 0)

    def _read(self, on: list[bool]) -> tuple[Placement, ...]:
        there: dict[Begin, list[str]] = defaultdict(list)
        staff: dict[Begin, list[str]] = defaultdict(list)
        for into, starts in ((there, self.squad_starts), (staff, self.staff_starts)):
            for (who, begin), var in starts.items():
                if on[var]:
                    into[begin].append(who)
        used: dict[tuple[str, int, int], int] = defaultdict(int)
        rows = []
        for begin in sorted(there, key=lambda begin: begin[1:]):
            visit = self.visits[begin[0]]
            for squad, people in self._matched(begin, there[begin], staff[begin], on):
                bay = self._free_bay(begin, visit, used)
                rows.append(Placement(squad, visit.key, begin[1], begin[2], bay.key, people))
        return tuple(rows)

    def _matched(
        self, begin: Begin, squads: list[str], staff: list[str], on: list[bool]
    ) -> list[tuple[str, tuple[str, ...]]]:
        """Squads with their instructors: the pairs that the goals count, then in order."""
        if self.visits[begin[0]].group:
            return [(squad, tuple(sorted(staff))) for squad in squads]
        chosen = {
            squad: who
            for squad in squads
            for who in staff
            if (var := self.with_staff.get((squad, who, begin))) is not None and on[var]
        }
        left = [who for who in staff if who not in chosen.values()]
        return [(squad, (chosen.get(squad) or left.pop(),)) for squad in squads]

    def _free_bay(self, begin: Begin, visit: Visit, used: dict[tuple[str, int, int], int]) -> Bay:
        _, day, slot, pool = begin
        slots = range(slot, slot + visit.in_bay)
        for bay in self.pools[pool]:
            if all(used[bay.key, day, u] < bay.squads for u in slots):
                for u in slots:
                    used[bay.key, day, u] += 1
                return bay
        raise AssertionError("a pool has a free bay as long as it is not overfull")
