"""Checks a plan against its problem by going through it slot by slot; shares no solver code."""

from collections import Counter
from collections.abc import Iterator

from lessons.planner.plan import Plan
from lessons.planner.problem import Problem

Table = dict[tuple[int, int], tuple[str, str]]  # (day, slot) -> (squad/visit, place)


class Checker:
    """The plan as three tables: what each squad, bay and instructor does in each slot."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.problem, self.plan = problem, plan
        self.faults: list[str] = []
        self.visit = {row.key: row for row in problem.visits}
        self.bay = {row.key: row for row in problem.bays}
        self.squads: dict[str, Table] = {row.key: {} for row in problem.squads}
        self.staff: dict[str, Table] = {row.key: {} for row in problem.instructors}
        self.bays: dict[str, Table] = {row.key: {} for row in problem.bays}
        for row in plan.placements:
            for more in range(self.visit[row.visit].slots):
                when, what = (row.day, row.slot + more), f"{row.squad}/{row.visit}"
                for name, table in (
                    (row.squad, self.squads),
                    (row.instructor, self.staff),
                    (row.bay, self.bays),
                ):
                    if when in table[name]:
                        self.faults.append(f"{name} twice at {when}")
                    table[name][when] = (what, self.bay[row.bay].place)

    def check(self) -> list[str]:
        for look in (self.counts, self.times, self.places, self.people, self.orders, self.walks):
            self.faults += look()
        return self.faults

    def counts(self) -> Iterator[str]:
        had = Counter((row.squad, row.visit) for row in self.plan.placements)
        wanted = {(s.key, v.key) for s in self.problem.squads for v in self.problem.visits}
        yield from (f"{pair} {had[pair]} times" for pair in wanted | had.keys() if had[pair] != 1)
        yield from (f"unasked {pair}" for pair in had.keys() - wanted)

    def times(self) -> Iterator[str]:
        grid = self.problem.grid
        for row in self.plan.placements:
            visit = self.visit[row.visit]
            slots = set(range(row.slot, row.slot + visit.slots))
            if not slots <= set(range(grid.slots_per_day)) or row.day not in range(grid.days):
                yield f"{row} outside the day"
            if {grid.lunch_after - 1, grid.lunch_after} <= slots:
                yield f"{row} over lunch"
            if visit.days is not None and row.day not in visit.days:
                yield f"{row} on a wrong day"

    def places(self) -> Iterator[str]:
        left = {row.key for row in self.problem.squads if row.left_handed}
        for row in self.plan.placements:
            visit, bay = self.visit[row.visit], self.bay[row.bay]
            if not visit.features <= bay.features:
                yield f"{row} lacks a feature"
            if visit.handed and row.squad in left and "left-handed" not in bay.features:
                yield f"{row} not for left-handers"
        for key, table in self.bays.items():
            if self.bay[key].closed & table.keys():
                yield f"{key} closed"

    def people(self) -> Iterator[str]:
        grid = self.problem.grid
        for row in self.plan.placements:
            person = next(p for p in self.problem.instructors if p.key == row.instructor)
            if self.visit[row.visit].station not in person.skills:
                yield f"{row} by someone not qualified"
        for person in self.problem.instructors:
            taught = self.staff[person.key]
            if not taught.keys() <= person.available:
                yield f"{person.key} not free"
            for day in range(grid.days):
                line = "".join(" X"[(day, u) in taught] for u in range(grid.slots_per_day))
                if line.count("X") > person.max_load:
                    yield f"{person.key} overloaded on {day}"
                halves = line[: grid.lunch_after], line[grid.lunch_after :]
                if any("X" * (person.max_run + 1) in half for half in halves):
                    yield f"{person.key} without a break on {day}"

    def orders(self) -> Iterator[str]:
        for row in self.plan.placements:
            for other in self.plan.placements:
                if other.squad == row.squad and other.visit in self.visit[row.visit].after:
                    ended = (other.day, other.slot + self.visit[other.visit].slots)
                    if ended > (row.day, row.slot):
                        yield f"{row} before {other}"

    def walks(self) -> Iterator[str]:
        for who, table in (*self.squads.items(), *self.staff.items()):
            for (day, slot), (_, place) in table.items():
                after = table.get((day, slot + 1))
                if after is None or slot + 1 == self.problem.grid.lunch_after:
                    continue
                if self.minutes(place, after[1]) > self.problem.changeover_min:
                    yield f"{who} cannot walk {place} to {after[1]}"

    def minutes(self, start: str, end: str) -> int:
        table = self.problem.walk_min
        either = table.get((start, end), table.get((end, start), 0))
        return 0 if start == end else either

    def goals(self) -> dict[str, int]:
        grid, problem = self.problem.grid, self.problem
        idle = 0
        for table in self.squads.values():
            for day in range(grid.days):
                line = "".join(" X"[(day, slot) in table] for slot in range(grid.slots_per_day))
                idle += line.strip().count(" ")
        found = {"idle": idle}
        if problem.lead:
            led = Counter(r.squad for r in self.plan.placements if r.instructor == problem.lead)
            found["lead"] = sum(max(0, problem.lead_visits - led[s]) for s in self.squads)
        if problem.same_instructor:
            by = {(r.squad, r.visit): r.instructor for r in self.plan.placements}
            one, two = problem.same_instructor
            found["same_instructor"] = len([s for s in self.squads if by[s, one] != by[s, two]])
        stations = {row.station for row in problem.visits}
        loads = [
            len(self.staff[row.key])
            for row in problem.instructors
            if row.available and row.max_load and stations & row.skills
        ]
        if loads:
            found["fairness"] = max(loads) - min(loads)
        return found
