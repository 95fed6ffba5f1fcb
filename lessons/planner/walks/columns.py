"""A bound on the walking of a whole school, by columns: timetables of single squads, mixed.

1. A linear programme mixes timetables for each kind of squad, so that bays and instructors suffice
   in every slot and the goals that are held keep their values. Instructors are mixed likewise:
   how much of each takes sessions of a visit that start in a slot.
2. Its dual prices say what a session costs the others. The cheapest timetables at these prices
   join it, until none is cheaper than those it has.
3. Any prices bound the walking from below: by the cheapest timetable of every squad at these
   prices, less what the bays and instructors there are would take in (a Lagrangian bound; see
   Desrosiers and Lübbecke, "A primer in column generation", 2005).
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import csr_array, hstack

from lessons.planner.plan import Placement
from lessons.planner.problem import Instructor, Problem, Squad
from lessons.planner.walks.cheapest import Cheapest, Timetable
from lessons.planner.walks.routes import (
    Floats,
    Held,
    NotCovered,
    Routes,
    Session,
    prefers,
    sessions_of,
)

Row = tuple[Any, ...]
Entries = dict[Row, float]
Column = tuple[int, Timetable, Entries]

TOO_MUCH = 10_000.0
"""Minutes that a squad without a timetable would cost."""

RELIEF = 100.0
"""What such a squad gives to every row, so that there is always a mix."""


@dataclass(frozen=True)
class Kind:
    """Squads that no rule tells apart, and the timetables they can have."""

    squads: tuple[Squad, ...]
    routes: Routes


@dataclass(frozen=True)
class _Static:
    """A column that is there from the start: part of an instructor, or a level of load."""

    entries: Entries
    most: float


def kinds_of(problem: Problem, kept: Mapping[str, int]) -> tuple[Kind, ...]:
    """The squads by kind, where the goals named keep these values.

    Raises
    ------
    NotCovered
        If the timetables of one kind cannot be searched, or there are no squads.
    """
    if not problem.squads:
        raise NotCovered("No squads to walk.")
    stands: dict[str, set[Placement]] = defaultdict(set)
    for row in (*problem.past, *problem.pinned, *_unmoved(problem, kept)):
        stands[row.squad].add(replace(row, instructors=()))
    alike: dict[object, list[Squad]] = defaultdict(list)
    for squad in sorted(problem.squads, key=lambda squad: squad.key):
        fixed = frozenset((r.visit, r.day, r.slot, r.bay) for r in stands[squad.key])
        alike[squad.left_handed, squad.size, squad.away, fixed].append(squad)
    held = Held(no_idle=kept.get("idle") == 0, preferred=kept.get("preference") == 0)
    return tuple(
        Kind(tuple(rows), Routes(problem, rows[0], tuple(stands[rows[0].key]), held))
        for rows in alike.values()
    )


def _unmoved(problem: Problem, kept: Mapping[str, int]) -> Iterator[Placement]:
    """Published sessions of squads with more golfers than may be moved."""
    sizes = {squad.key: squad.size for squad in problem.squads}
    for row in problem.published:
        late = (row.day, row.slot) >= problem.opens
        if late and sizes.get(row.squad, 0) > kept.get("moved", sizes.get(row.squad, 0)):
            yield row


class Master:
    """The linear programme. ``kept`` are the values of the goals that come before walking."""

    def __init__(self, problem: Problem, kinds: tuple[Kind, ...], kept: Mapping[str, int]) -> None:
        self.problem = problem
        self.kinds = kinds
        self.kept = kept
        self.most: dict[Row, float] = {}
        self.statics: list[_Static] = []
        self.sessions = sorted({s for kind in kinds for s in sessions_of(kind.routes)})
        self._rooms()
        self._staff()
        self._goals()
        self.rows = {row: k for k, row in enumerate(sorted(self.most, key=str))}
        self.limits = np.array([self.most[row] for row in self.rows])
        self.columns: list[Column] = []
        self.known: set[tuple[int, tuple[Session, ...]]] = set()
        self.static_part = self._matrix(static.entries for static in self.statics)
        self.static_most = np.array([static.most for static in self.statics])

    # Rows: every one says "at most"

    def _rooms(self) -> None:
        pools = self.kinds[0].routes.pools
        for session in self.sessions:
            for row in self._room(session):
                self.most[row] = pools[session.pool].squads

    def _room(self, session: Session) -> Iterator[Row]:
        in_bay = self.problem.visits[session.visit].in_bay
        for slot in range(session.slot, session.slot + in_bay):
            yield "room", session.pool, session.day, slot

    def _staff(self) -> None:
        """Sessions need instructors, who keep their hours, loads and breaks."""
        starts = sorted({(s.visit, s.day, s.slot) for s in self.sessions})
        self.parts: dict[tuple[int, int, int, int], int] = {}
        for visit, day, slot in starts:
            self.most["taught", visit, day, slot] = 0.0
            one = self.problem.visits[visit]
            span = {(day, slot + more) for more in range(one.slots)}
            for number, person in enumerate(self.problem.instructors):
                if one.station in person.skills and span <= person.available:
                    entries: Entries = {("taught", visit, day, slot): -1.0}
                    entries.update(self._work(number, person, day, slot, one.slots))
                    self.parts[number, visit, day, slot] = len(self.statics)
                    self.statics.append(_Static(entries, 1.0))
            if not one.group:  # no more instructors than sessions
                self.most["once", visit, day, slot] = 0.0
                for static in self.statics[-len(self.problem.instructors) :]:
                    if ("taught", visit, day, slot) in static.entries:
                        static.entries["once", visit, day, slot] = 1.0

    def _work(self, number: int, person: Instructor, day: int, slot: int, slots: int) -> Entries:
        entries: Entries = {}
        for busy in range(slot, slot + slots):
            entries["busy", number, day, busy] = 1.0
            self.most["busy", number, day, busy] = 1.0
            for half in self.problem.grid.halves:
                if busy in half:
                    for first in range(max(half.start, busy - person.max_run), busy + 1):
                        if first + person.max_run < half.stop:
                            row = "run", number, day, first
                            entries[row] = 1.0
                            self.most[row] = person.max_run
        entries["load", number, day] = slots
        self.most["load", number, day] = person.max_load
        return entries

    def _goals(self) -> None:
        for name in ("idle", "preference"):
            if name in self.kept:
                self.most[name,] = self.kept[name]
        if self.problem.past:
            return  # who took what is over is not told here
        if "fairness" in self.kept:
            self._fairness(self.kept["fairness"])
        if "lead" in self.kept:
            self._lead(self.kept["lead"])
        if "same_instructor" in self.kept and self.problem.same_instructor:
            self._same(self.kept["same_instructor"], self.problem.same_instructor)

    def _fairness(self, spread: int) -> None:
        """Loads lie between a level and the spread above it."""
        stations = {visit.station for visit in self.problem.visits}
        level: Entries = {}
        for number, person in enumerate(self.problem.instructors):
            if not (person.available and person.skills & stations and person.max_load):
                continue
            self.most["above", number], self.most["below", number] = float(spread), 0.0
            level["above", number], level["below", number] = -1.0, 1.0
            for (who, visit, _, _), part in self.parts.items():
                if who == number:
                    work = float(self.problem.visits[visit].slots * person.load_factor)
                    entries = self.statics[part].entries
                    entries["above", number], entries["below", number] = work, -work
        factor = max((person.load_factor for person in self.problem.instructors), default=1)
        self.statics.append(_Static(level, float(self.problem.grid.slots * max(1, factor))))

    def _lead(self, short: int) -> None:
        room = max((bay.squads for bay in self.problem.bays), default=1)
        visits = self.problem.visits
        self.most["lead",] = float(short - len(self.problem.squads) * self.problem.lead_visits)
        for (who, visit, _, _), part in self.parts.items():
            if self.problem.instructors[who].key == self.problem.lead:
                entries = self.statics[part].entries
                entries["lead",] = -float(room if visits[visit].group else 1)

    def _same(self, parted: int, pair: tuple[str, str]) -> None:
        """Of two visits, each instructor takes as many squads as the other visit has of theirs."""
        numbers = [k for key in pair for k, v in enumerate(self.problem.visits) if v.key == key]
        visits = [self.problem.visits[k] for k in numbers]
        if any(visit.group or visit.times != 1 for visit in visits):
            return
        self.most["same",] = float(parted - len(self.problem.squads))
        for who in range(len(self.problem.instructors)):
            entries: Entries = {("same",): -1.0}
            for visit in numbers:
                entries["same", who, visit] = 1.0
                self.most["same", who, visit] = 0.0
            self.statics.append(_Static(entries, float(len(self.problem.squads))))
        for (who, visit, _, _), part in self.parts.items():
            if visit in numbers:
                self.statics[part].entries["same", who, visit] = -1.0

    # Columns

    def _session_entries(self, kind: Kind, session: Session) -> Entries:
        """What a session of one squad of the kind takes in."""
        visit = self.problem.visits[session.visit]
        entries: Entries = {}
        if ("preference",) in self.most and not prefers(visit, session.slot):
            entries["preference",] = 1.0
        if (session.day, session.slot) < self.problem.opens:
            return entries  # what is over stands, whoever it left no room for
        share = kind.routes.squad.size / visit.ratio if visit.group else 1.0
        entries["taught", *session[:3]] = share
        if ("once", *session[:3]) in self.most:
            entries["once", *session[:3]] = -1.0
        for row in self._room(session):
            entries[row] = 1.0
        return entries

    def add(self, number: int, table: Timetable) -> bool:
        """Take a timetable over; false when it is there already."""
        if (number, table.sessions) in self.known:
            return False
        self.known.add((number, table.sessions))
        entries: Counter[Row] = Counter()
        for session in table.sessions:
            entries.update(self._session_entries(self.kinds[number], session))
        if ("idle",) in self.most and table.idle:
            entries["idle",] += table.idle
        self.columns.append((number, table, dict(entries)))
        return True

    def _matrix(self, columns: Iterable[Entries]) -> Any:
        rows, places, values = [], [], []
        count = 0
        for entries in columns:
            for row, value in entries.items():
                rows.append(self.rows[row])
                places.append(count)
                values.append(value)
            count += 1
        return csr_array((values, (rows, places)), shape=(len(self.rows), count))

    def solve(self) -> tuple[float, Floats]:
        """The value of the mix, and the prices of the rows."""
        kinds, count = len(self.kinds), len(self.columns)
        spare = csr_array(np.full((len(self.rows), kinds), -RELIEF))
        own = self._matrix(entries for _, _, entries in self.columns)
        upper = hstack([own, spare, self.static_part], format="csr")
        total = upper.shape[1]
        of_kind = [*(number for number, _, _ in self.columns), *range(kinds)]
        equal = csr_array(
            (np.ones(count + kinds), (of_kind, range(count + kinds))), shape=(kinds, total)
        )
        costs = np.zeros(total)
        costs[:count] = [table.walk for _, table, _ in self.columns]
        costs[count : count + kinds] = TOO_MUCH
        most = np.concatenate([np.full(count + kinds, np.inf), self.static_most])
        found = linprog(
            costs,
            A_ub=upper,
            b_ub=self.limits,
            A_eq=equal,
            b_eq=[len(kind.squads) for kind in self.kinds],
            bounds=np.column_stack([np.zeros(total), most]),
            method="highs",
        )
        if found.status:
            raise NotCovered(found.message)
        return float(found.fun), np.minimum(found.ineqlin.marginals, 0.0)

    # Prices

    def price(self, prices: Floats) -> tuple[float, list[Cheapest]]:
        """The bound that these prices give, and the timetables they favour."""
        bound = float(self.limits @ prices)
        reduced = -(self.static_part.T @ prices)
        bound += float(np.minimum(reduced, 0.0) @ self.static_most)
        idle = -prices[self.rows["idle",]] if ("idle",) in self.rows else 0.0
        found = []
        for kind in self.kinds:
            fees = {
                session: -self._worth(self._session_entries(kind, session), prices)
                for session in sessions_of(kind.routes)
            }
            cheapest = Cheapest(kind.routes, fees, float(idle))
            found.append(cheapest)
            bound += len(kind.squads) * cheapest.best
        return bound, found

    def _worth(self, entries: Entries, prices: Floats) -> float:
        return sum(float(value * prices[self.rows[row]]) for row, value in entries.items())

    def dearer(self, column: Column, prices: Floats, found: list[Cheapest]) -> float:
        """By how much a column costs more than the cheapest of its kind."""
        number, table, entries = column
        return table.walk - self._worth(entries, prices) - found[number].best
