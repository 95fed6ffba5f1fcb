"""One squad's way through the school: the cheapest of all its timetables, by dynamic programming.

1. A state is how many sessions of each visit the squad has had, and how many of some of them
   today. States are numbers of mixed radix; each slot has the sorted ones that can still be
   finished.
2. Beside its state the squad is somewhere: at a place, back at the base after lunch, not yet
   begun today, done for today, or waiting where its last session was.
3. A session costs its walk and a price by visit, start and pool of bays. Cheapest costs run
   forwards and backwards over all slots at once; together they give the cheapest timetable
   through each session.

A timetable here keeps what concerns one squad by itself. Whatever a squad does in a plan of the
whole school is one of them: rules that cannot be told are left out, none is added.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from lessons.planner.plan import Placement
from lessons.planner.problem import COVERED, LIT, Bay, Problem, SlotOfSchool, Squad, Visit

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

MAX_STATES = 400_000
"""States of all slots of a squad; beyond it a search costs more than its bound is worth."""


class NotCovered(Exception):
    """The squad's timetable is none that can be searched for here."""


class Session(NamedTuple):
    """A visit by number with its start and its pool of bays by number."""

    visit: int
    day: int
    slot: int
    pool: int


@dataclass(frozen=True)
class BayPool:
    """Bays at one place that differ in nothing but their names."""

    place: int
    bays: tuple[Bay, ...]

    @property
    def squads(self) -> int:
        """How many squads they have room for at once."""
        return sum(bay.squads for bay in self.bays)


@dataclass(frozen=True)
class Held:
    """What timetables must keep: no idle slots, only preferred starts."""

    no_idle: bool
    preferred: bool


@dataclass
class _Move:
    """One visit from one slot, from every state that allows it, in each place that has it."""

    visit: int
    slot: int
    source: Whole
    target: Whole
    pools: Mapping[int, tuple[int, ...]]


@dataclass
class _Layer:
    """The states before one slot of a day, and what can be done from them."""

    codes: Whole
    onward: Whole = field(default_factory=lambda: np.empty(0, np.int64))
    moves: list[_Move] = field(default_factory=list)
    passes: bool = True


Prices = Mapping[Session, float]


def bay_pools(problem: Problem) -> tuple[BayPool, ...]:
    """The bays by what can be told apart."""
    places = place_numbers(problem)
    alike: dict[object, list[Bay]] = defaultdict(list)
    for bay in sorted(problem.bays, key=lambda bay: bay.key):
        alike[bay.place, bay.features, bay.closed, bay.squads].append(bay)
    return tuple(BayPool(places[bays[0].place], tuple(bays)) for bays in alike.values())


def prefers(visit: Visit, slot: int) -> bool:
    """Whether the visit may as well begin in this slot of a day as in any."""
    return visit.preferred is None or slot in visit.preferred


def place_numbers(problem: Problem) -> dict[str, int]:
    """Every place of a bay, and the base, by number."""
    names = {bay.place for bay in problem.bays} | ({problem.base} - {None})
    return {str(name): number for number, name in enumerate(sorted(map(str, names)))}


class Routes:
    """The timetables of one squad. ``fixed`` sessions stand, whatever the rules say."""

    def __init__(
        self, problem: Problem, squad: Squad, fixed: tuple[Placement, ...], held: Held
    ) -> None:
        if problem.base is None:
            raise NotCovered("No base to walk from.")
        self.problem = problem
        self.squad = squad
        self.held = held
        self.visits = problem.visits
        self.pools = bay_pools(problem)
        self.days = range(problem.grid.days)
        self.number = {visit.key: k for k, visit in enumerate(self.visits)}
        self.fixed = self._fixed(fixed)
        self.strict = not problem.past
        self._walks(place_numbers(problem))
        self._radix()
        self.layers = self._forwards()
        self._backwards()

    def _fixed(self, rows: tuple[Placement, ...]) -> dict[SlotOfSchool, Session]:
        pool = {bay.key: k for k, row in enumerate(self.pools) for bay in row.bays}
        taken: set[SlotOfSchool] = set()
        found: dict[SlotOfSchool, Session] = {}
        for row in sorted(set(rows)):
            session = Session(self.number[row.visit], row.day, row.slot, pool[row.bay])
            if found.get((row.day, row.slot)) == session:
                continue
            slots = self.visits[session.visit].slots
            span = {(row.day, row.slot + more) for more in range(slots)}
            fits = self.problem.grid.fits_half(row.slot, slots)
            if span & taken or not fits or row.slot + slots > self.problem.grid.slots_per_day:
                raise NotCovered("Sessions that stand are in each other's way or over lunch.")
            taken |= span
            found[row.day, row.slot] = session
        self.taken = taken
        return found

    def _walks(self, places: dict[str, int]) -> None:
        """Walks between columns: the places, base after lunch, not begun, done, waiting places."""
        self.places = len(places)
        self.rest, self.fresh, self.done = (self.places + more for more in range(3))
        self.waits = 0 if self.held.no_idle else self.done + 1
        self.columns = (self.waits or self.done - self.places + 1) + self.places
        names = list(places)
        minutes = [[float(self.problem.walk(one, two)) for two in names] for one in names]
        between = np.array(minutes)
        base = places[str(self.problem.base)]
        self.home = between[:, base]
        self.steps = np.full((self.columns, self.places), np.inf)
        near = between <= self.problem.changeover_min
        self.steps[: self.places] = np.where(near | (not self.strict), between, np.inf)
        self.steps[self.rest] = self.steps[self.fresh] = between[base]
        if self.waits:
            self.steps[self.waits :] = between

    def _radix(self) -> None:
        """The weight of each count in a state's number: had so far, then had today."""
        pairs = {key for pair in (*self.problem.same_day, *self.problem.other_day) for key in pair}
        self.had, self.today, weight = [], {}, 1
        for visit in self.visits:
            self.had.append(weight)
            weight *= visit.times + 1
        self.whole = weight
        for k, visit in enumerate(self.visits):
            if visit.key in pairs or visit.most_a_day < visit.times:
                self.today[k] = weight
                weight *= visit.times + 1
        if weight > 1 << 62:
            raise NotCovered("Too many states to number.")
        self.last = sum(w * v.times for w, v in zip(self.had, self.visits, strict=True))
        self.more = [w + self.today.get(k, 0) for k, w in enumerate(self.had)]

    def _count(self, codes: Whole, visit: int, *, today: bool = False) -> Whole:
        weight = self.today[visit] if today else self.had[visit]
        return codes // weight % (self.visits[visit].times + 1)

    def _forwards(self) -> list[list[_Layer]]:
        """Every state that can be reached."""
        grid, layers, total = self.problem.grid, [], 0
        start: Whole = np.zeros(1, np.int64)
        for day in self.days:
            reached: list[list[Whole]] = [[start], *([] for _ in range(grid.slots_per_day))]
            row = []
            for slot in range(grid.slots_per_day + 1):
                codes = np.unique(np.concatenate(reached[slot] or [start[:0]]))
                total += len(codes)
                if total > MAX_STATES * 4:
                    raise NotCovered("Too many states to search.")
                layer = _Layer(codes, passes=(day, slot) not in self.taken)
                row.append(layer)
                if slot < grid.slots_per_day:
                    layer.moves = list(self._moves(layer, day, slot))
                    for move in layer.moves:
                        after = codes[move.source] + self.more[move.visit]
                        reached[slot + self.visits[move.visit].slots].append(after)
                    if layer.passes:
                        reached[slot + 1].append(codes)
            layers.append(row)
            start = np.unique(self._days_end(row[-1].codes) % self.whole)
        return layers

    def _days_end(self, codes: Whole) -> Whole:
        """The states that keep the rules about a whole day."""
        if self.strict:
            for one, two in self.problem.same_day:
                both = [self._count(codes, self.number[key], today=True) > 0 for key in (one, two)]
                codes = codes[both[0] == both[1]]
        return codes

    def _moves(self, layer: _Layer, day: int, slot: int) -> Iterator[_Move]:
        stands = self.fixed.get((day, slot))
        if stands:
            have = self._count(layer.codes, stands.visit) < self.visits[stands.visit].times
            source = np.flatnonzero(have)
            there = {self.pools[stands.pool].place: (stands.pool,)}
            yield _Move(stands.visit, slot, source, source, there)
            return
        for k, visit in enumerate(self.visits):
            span = {(day, slot + more) for more in range(visit.slots)}
            if span & self.taken or not self._time_allows(visit, day, slot, span):
                continue
            pools = self._pools(visit, span, {(day, slot + n) for n in range(visit.in_bay)})
            source = np.flatnonzero(self._may_have(layer.codes, k, visit))
            if pools and len(source):
                yield _Move(k, slot, source, source, pools)

    def _time_allows(self, visit: Visit, day: int, slot: int, span: set[SlotOfSchool]) -> bool:
        grid = self.problem.grid
        return (
            visit.allows(day)
            and slot + visit.slots <= grid.slots_per_day
            and grid.fits_half(slot, visit.slots)
            and (day, slot) >= self.problem.opens
            and not (self.held.preferred and not prefers(visit, slot))
            and not (visit.everyone and span & self.squad.away)
            and any(
                visit.station in i.skills and span <= i.available for i in self.problem.instructors
            )
        )

    def _pools(
        self, visit: Visit, span: set[SlotOfSchool], in_bay: set[SlotOfSchool]
    ) -> dict[int, tuple[int, ...]]:
        """The pools that the squad may use then, by place."""
        found: dict[int, list[int]] = defaultdict(list)
        for k, pool in enumerate(self.pools):
            bay = pool.bays[0]
            wet = COVERED not in bay.features and span & self.problem.rain
            unlit = LIT not in bay.features and span & self.problem.dark
            if not (visit.missing(self.squad, bay) or in_bay & bay.closed or wet or unlit):
                found[pool.place].append(k)
        return {place: tuple(numbers) for place, numbers in found.items()}

    def _may_have(self, codes: Whole, k: int, visit: Visit) -> NDArray[np.bool_]:
        ok = self._count(codes, k) < visit.times
        for before, sessions in visit.after.items():
            ok &= self._count(codes, self.number[before]) >= sessions
        if k in self.today:
            ok &= self._count(codes, k, today=True) < visit.most_a_day
        if self.strict:
            for pair in self.problem.other_day:
                if visit.key in pair and pair[0] != pair[1]:
                    other = self.number[pair[pair[0] == visit.key]]
                    ok &= self._count(codes, other, today=True) == 0
        return ok

    def _backwards(self) -> None:
        """Leave only states that can be finished, and say where each move leads."""
        alive: Whole = np.array([self.last])
        self.cleared: list[Whole] = []
        for row in reversed(self.layers):
            ends = row[-1]
            codes = self._days_end(ends.codes)
            ends.codes = codes[np.isin(codes % self.whole, alive)]
            self.cleared.insert(0, np.searchsorted(alive, ends.codes % self.whole))
            for slot in reversed(range(len(row) - 1)):
                self._prune(row, slot)
            alive = row[0].codes
        self.states = sum(len(layer.codes) for row in self.layers for layer in row)
        if self.states > MAX_STATES:
            raise NotCovered("Too many states to search.")

    def _prune(self, row: list[_Layer], slot: int) -> None:
        layer, after = row[slot], row[slot + 1].codes
        leads = np.isin(layer.codes, after) if layer.passes else np.zeros(len(layer.codes), bool)
        ways = []
        for move in layer.moves:
            reached = layer.codes[move.source] + self.more[move.visit]
            target, known = _find(row[slot + self.visits[move.visit].slots].codes, reached)
            source, move.target = move.source[known], target[known]
            leads[source] = True
            ways.append(source)
        place = np.cumsum(leads) - 1
        for move, source in zip(layer.moves, ways, strict=True):
            move.source = place[source]
        layer.moves = [move for move in layer.moves if len(move.source)]
        layer.codes = layer.codes[leads]
        target, known = _find(after, layer.codes)
        layer.onward = np.where(known, target, -1)


def _find(among: Whole, codes: Whole) -> tuple[Whole, Any]:
    """Where each code is among the sorted ones, and whether it is."""
    if not len(among):
        return np.zeros(len(codes), np.int64), np.zeros(len(codes), bool)
    where = np.minimum(np.searchsorted(among, codes), len(among) - 1)
    return where, among[where] == codes


def sessions_of(routes: Routes) -> Iterator[Session]:
    """Every session that some timetable has."""
    for day, row in zip(routes.days, routes.layers, strict=True):
        for layer in row:
            for move in layer.moves:
                for pool in chain_pools(move.pools):
                    yield Session(move.visit, day, move.slot, pool)


def chain_pools(pools: Mapping[int, tuple[int, ...]]) -> Iterator[int]:
    """The pools of every place."""
    for numbers in pools.values():
        yield from numbers
