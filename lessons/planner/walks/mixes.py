"""Whole timetables dealt to the squads: a 0-1 programme over the columns of a bound.

It is the programme of the bound with nothing mixed: every squad has one timetable, every session
whole instructors. Who takes which squad is told only as far as it is cheap to tell; the full
model has the last word (see `improve`).
"""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from lessons.planner.walks.columns import Column, Entries, Master, Row


class Mix:
    """The programme over some columns of a master."""

    def __init__(self, master: Master, columns: Sequence[Column]) -> None:
        self.master = master
        self.columns = columns
        self.most: dict[Row, float] = dict(master.most)
        self.taken: list[Entries] = [dict(entries) for _, _, entries in columns]
        self.parts: list[Entries] = [dict(static.entries) for static in master.statics]
        self.part_most = [static.most for static in master.statics]
        for number, kind in enumerate(master.kinds):
            count = float(len(kind.squads))
            self.most["kind", number], self.most["kind of", number] = count, -count
        for (number, *_), entries in zip(columns, self.taken, strict=True):
            entries["kind", number], entries["kind of", number] = 1.0, -1.0
        self._groups()
        self._far()
        if not master.problem.past:
            self._lead()
            self._same()

    def _groups(self) -> None:
        """Nobody more than the golfers of a group need."""
        visits = self.master.problem.visits
        for row in self.master.most:
            if row[0] == "taught" and visits[row[1]].group:
                ratio = visits[row[1]].ratio
                self.most["no more", *row[1:]] = (ratio - 1) / ratio
                for entries in (*self.taken, *self.parts):
                    if row in entries:
                        entries["no more", *row[1:]] = -entries[row]

    def _far(self) -> None:
        """Instructors do not change between places that are too far apart."""
        master, problem = self.master, self.master.problem
        where: dict[tuple[int, int, int], set[str]] = defaultdict(set)
        pools = master.kinds[0].routes.pools
        for session in master.sessions:
            where[session[:3]].add(pools[session.pool].bays[0].place)
        ends: dict[Row, list[int]] = defaultdict(list)
        begins: dict[Row, list[int]] = defaultdict(list)
        for (who, *start), part in master.parts.items():
            visit, day, slot = start
            if len(where[visit, day, slot]) == 1:
                (place,) = where[visit, day, slot]
                then = slot + problem.visits[visit].slots
                begins[who, place, day, slot].append(part)
                if then != problem.grid.lunch_after:
                    ends[who, place, day, then].append(part)
        for here, there in problem.too_far():
            for (who, place, *when), parts in ends.items():
                after = begins.get((who, there, *when)) if place == here else None
                if after:
                    row = "far", who, here, there, *when
                    self.most[row] = 1.0
                    for part in (*parts, *after):
                        self.parts[part][row] = 1.0

    def _lead(self) -> None:
        """With nobody short, each timetable has enough sessions of the lead's."""
        master, problem = self.master, self.master.problem
        if master.kept.get("lead") != 0 or not problem.lead_visits:
            return
        lead = {
            tuple(start): part
            for (who, *start), part in master.parts.items()
            if problem.instructors[who].key == problem.lead
        }
        for number, (_, table, _) in enumerate(self.columns):
            row = "with the lead", number
            self.most[row] = 0.0
            self.taken[number][row] = float(problem.lead_visits)
            for start in (session[:3] for session in table.sessions):
                if start in lead and problem.visits[start[0]].group:
                    self.parts[lead[start]][row] = -1.0
                elif start in lead:  # the lead takes one squad at a time
                    self.most["led", *start] = 0.0
                    self.parts[lead[start]]["led", *start] = -1.0
                    self.parts.append({row: -1.0, ("led", *start): 1.0})
                    self.part_most.append(1.0)

    def _same(self) -> None:
        """Pairs of starts that one instructor takes for one squad."""
        master, problem = self.master, self.master.problem
        if "same_instructor" not in master.kept or problem.same_instructor is None:
            return
        keys = [visit.key for visit in problem.visits]
        first, last = (keys.index(key) for key in problem.same_instructor)
        if any(problem.visits[k].group or problem.visits[k].times != 1 for k in (first, last)):
            return
        pairs = set()
        for number, (_, table, _) in enumerate(self.columns):
            starts = {s.visit: s[:3] for s in table.sessions}
            row = "pair", starts[first], starts[last]
            self.taken[number][row] = -1.0
            self.most[row] = 0.0
            pairs.add(row)
        self.most["pairs",] = float(master.kept["same_instructor"] - len(problem.squads))
        for row in sorted(pairs):
            for who in range(len(problem.instructors)):
                parts = [master.parts.get((who, *start)) for start in row[1:]]
                if None in parts:
                    continue
                entries: Entries = {row: 1.0, ("pairs",): -1.0}
                for part in parts:
                    of_part = "of", part
                    entries[of_part] = 1.0
                    self.most[of_part] = 0.0
                    self.parts[part or 0][of_part] = -1.0
                self.parts.append(entries)
                self.part_most.append(1.0)

    def rule_out(self, chosen: Sequence[int]) -> None:
        """Do not choose these columns together again."""
        row = "not again", *chosen
        self.most[row] = len(chosen) - 1.0
        for number in chosen:
            self.taken[number][row] = 1.0

    def solve(self, below: int, *, seconds: float, gap: float) -> tuple[int, ...]:
        """Columns for all squads that walk less, by number; none if none are found."""
        order = {row: k for k, row in enumerate(self.most)}
        rows, places, values = [], [], []
        for place, entries in enumerate((*self.taken, *self.parts)):
            for row, value in entries.items():
                rows.append(order[row])
                places.append(place)
                values.append(value)
        count, total = len(self.taken), len(self.taken) + len(self.parts)
        matrix = csr_array((values, (rows, places)), shape=(len(order), total))
        costs = np.zeros(total)
        costs[:count] = [table.walk for _, table, _ in self.columns]
        found = milp(
            costs,
            constraints=LinearConstraint(matrix, -np.inf, np.array([*self.most.values()])),
            bounds=Bounds(0, np.array([*[1.0] * count, *self.part_most])),
            integrality=np.ones(total),
            options={"time_limit": seconds, "mip_rel_gap": gap},
        )
        if found.x is None or found.fun > below - 0.5:
            return ()
        return tuple(int(k) for k in np.flatnonzero(found.x[:count] > 0.5))
