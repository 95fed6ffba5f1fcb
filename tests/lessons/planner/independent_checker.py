"""Checks a plan against its problem by going through it slot by slot; shares no solver code.

What is over is excused: a fault needs a session that is not of the past.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from itertools import combinations, pairwise

from lessons.planner.plan import Placement, Plan
from lessons.planner.problem import Instructor, Problem

Slot = tuple[int, int]
Rows = list[Placement]


class Checker:
    """The plan as three tables: the sessions of each squad, bay and instructor in each slot."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.problem = problem
        self.rows = sorted(plan.placements)
        self.past = {*problem.past}
        self.visit = {row.key: row for row in problem.visits}
        self.bay = {row.key: row for row in problem.bays}
        self.person = {row.key: row for row in problem.instructors}
        self.squad = {row.key: row for row in problem.squads}
        self.squads: dict[str, dict[Slot, Rows]] = defaultdict(lambda: defaultdict(list))
        self.bays: dict[str, dict[Slot, Rows]] = defaultdict(lambda: defaultdict(list))
        self.staff: dict[str, dict[Slot, Rows]] = defaultdict(lambda: defaultdict(list))
        for row in self.rows:
            for when in self.span(row):
                self.squads[row.squad][when].append(row)
                for key in row.instructors:
                    self.staff[key][when].append(row)
            for when in self.span(row)[: self.visit[row.visit].in_bay]:
                self.bays[row.bay][when].append(row)

    @classmethod
    def of(cls, problem: Problem, rows: Iterable[Placement]) -> "Checker":
        """The checker of sessions that may be part of a plan."""
        return cls(problem, Plan((*rows,), (), "", 0, 0.0, ""))

    def span(self, row: Placement) -> list[Slot]:
        return [(row.day, row.slot + more) for more in range(self.visit[row.visit].slots)]

    def new(self, rows: Iterable[Placement]) -> bool:
        return any(row not in self.past for row in rows)

    @property
    def still_to_come(self) -> Rows:
        return [row for row in self.rows if row not in self.past]

    def check(self) -> list[str]:
        looks = (
            self.counts,
            self.standing,
            self.times,
            self.days,
            self.places,
            self.crowds,
            self.people,
            self.groups,
            self.work,
            self.orders,
            self.pairs_of_days,
            self.walks,
        )
        return [fault for look in looks for fault in look()]

    # The programme

    def counts(self) -> Iterator[str]:
        had = Counter((row.squad, row.visit) for row in self.rows)
        over = Counter((row.squad, row.visit) for row in self.past)
        for squad in self.problem.squads:
            for visit in self.problem.visits:
                pair = squad.key, visit.key
                times = had.pop(pair, 0)
                if times != max(visit.times, over[pair]):
                    yield f"{pair} {times} times"
        yield from (f"unasked {pair}" for pair in had)

    def standing(self) -> Iterator[str]:
        yield from (f"{row} of the past is gone" for row in self.past - {*self.rows})
        there = {
            (r.squad, r.visit, r.day, r.slot, r.bay, frozenset(r.instructors)) for r in self.rows
        }
        for r in self.problem.pinned:
            if (r.squad, r.visit, r.day, r.slot, r.bay, frozenset(r.instructors)) not in there:
                yield f"{r} is not where it was pinned"
        for row in self.still_to_come:
            if row.day * 1000 + row.slot < self.first_free():
                yield f"{row} begins in the past"

    def first_free(self) -> int:
        if self.problem.now is not None:
            return self.problem.now[0] * 1000 + self.problem.now[1]
        return max((row.day * 1000 + row.slot + 1 for row in self.past), default=0)

    def times(self) -> Iterator[str]:
        grid = self.problem.grid
        for row in self.still_to_come:
            visit = self.visit[row.visit]
            slots = {slot for _, slot in self.span(row)}
            if not slots <= set(range(grid.slots_per_day)) or row.day not in range(grid.days):
                yield f"{row} outside the day"
            if {grid.lunch_after - 1, grid.lunch_after} <= slots:
                yield f"{row} over lunch"
            if visit.days is not None and row.day not in visit.days:
                yield f"{row} on a wrong day"
            if visit.everyone and self.squad[row.squad].away & {*self.span(row)}:
                yield f"{row} while somebody is away"

    def days(self) -> Iterator[str]:
        days: dict[tuple[str, str, int], Rows] = defaultdict(list)
        for row in self.rows:
            days[row.squad, row.visit, row.day].append(row)
        for (_, visit, day), rows in days.items():
            if len(rows) > self.visit[visit].most_a_day and self.new(rows):
                yield f"{visit} too often on day {day}"

    def orders(self) -> Iterator[str]:
        for row in self.still_to_come:
            for before, count in self.visit[row.visit].after.items():
                ended = [
                    other
                    for other in self.rows
                    if (other.squad, other.visit) == (row.squad, before)
                    and (other.day, other.slot + self.visit[before].slots) <= (row.day, row.slot)
                ]
                if len(ended) < count:
                    yield f"{row} before enough of {before}"

    def pairs_of_days(self) -> Iterator[str]:
        on = Counter((row.squad, row.visit, row.day) for row in self.rows)
        new = {(row.squad, row.visit, row.day) for row in self.still_to_come}
        today = self.first_free() // 1000
        for squad in self.squad:
            for one, other in self.problem.same_day:
                ahead = [
                    on[squad, one, day] - on[squad, other, day]
                    for day in range(self.problem.grid.days)
                ]
                owed = sum(ahead[:today])
                if any(n * owed > 0 or (n and not owed) for n in ahead[today:]):
                    yield f"{squad} has {one} and {other} on different days"
            for one, other in self.problem.other_day:
                for day in range(self.problem.grid.days):
                    keys = {(squad, one, day), (squad, other, day)}
                    if all(on[key] for key in keys) and keys & new:
                        yield f"{squad} has {one} and {other} on day {day}"

    # Places

    def places(self) -> Iterator[str]:
        for row in self.still_to_come:
            visit, bay, span = self.visit[row.visit], self.bay[row.bay], {*self.span(row)}
            if not visit.features <= bay.features:
                yield f"{row} lacks a feature"
            left = self.squad[row.squad].left_handed
            if visit.handed and left and "left-handed" not in bay.features:
                yield f"{row} not for left-handers"
            if {*self.span(row)[: visit.in_bay]} & bay.closed:
                yield f"{row} while the bay is closed"
            if "covered" not in bay.features and span & self.problem.rain:
                yield f"{row} in the rain"
            if "lit" not in bay.features and span & self.problem.dark:
                yield f"{row} in the dark"

    def crowds(self) -> Iterator[str]:
        for key, table in self.bays.items():
            for when, rows in table.items():
                crowded = len(rows) > self.bay[key].squads or len({row.visit for row in rows}) > 1
                if crowded and self.new(rows):
                    yield f"{key} crowded or mixed at {when}"
        for key, table in self.squads.items():
            for when, rows in table.items():
                if len(rows) > 1 and self.new(rows):
                    yield f"{key} twice at {when}"

    def walks(self) -> Iterator[str]:
        for who, table in (*self.squads.items(), *self.staff.items()):
            for (day, slot), rows in table.items():
                after = table.get((day, slot + 1), [])
                if slot + 1 == self.problem.grid.lunch_after:
                    continue
                for one in rows:
                    for two in after:
                        far = self.minutes(self.place(one), self.place(two))
                        if far > self.problem.changeover_min and self.new([one, two]):
                            yield f"{who} cannot walk from {one} to {two}"

    def place(self, row: Placement) -> str:
        return self.bay[row.bay].place

    def minutes(self, start: str, end: str) -> int:
        table = self.problem.walk_min
        either = table.get((start, end), table.get((end, start), 0))
        return 0 if start == end else either

    # People

    def people(self) -> Iterator[str]:
        for row in self.still_to_come:
            visit = self.visit[row.visit]
            for key in row.instructors:
                if visit.station not in self.person[key].skills:
                    yield f"{row} by someone not qualified"
                if not {*self.span(row)} <= self.person[key].available:
                    yield f"{row} by someone not free"
            if not visit.group and len(row.instructors) != 1:
                yield f"{row} without its one instructor"
            if not visit.group and self.squad[row.squad].size > visit.ratio:
                yield f"{row} has too many golfers for one"
        yield from self.twice()

    def twice(self) -> Iterator[str]:
        for key, table in self.staff.items():
            for when, rows in table.items():
                for one, two in combinations(rows, 2):
                    if not self.together(one, two) and self.new([one, two]):
                        yield f"{key} twice at {when}"

    def together(self, one: Placement, two: Placement) -> bool:
        spots = [(row.visit, row.day, row.slot, row.bay) for row in (one, two)]
        return self.visit[one.visit].group and spots[0] == spots[1]

    def groups(self) -> Iterator[str]:
        groups: dict[object, Rows] = defaultdict(list)
        for row in self.still_to_come:
            if self.visit[row.visit].group:
                groups[row.visit, row.day, row.slot, row.bay].append(row)
        for key, rows in groups.items():
            golfers = sum(self.squad[row.squad].size for row in rows)
            needed = -(-golfers // self.visit[rows[0].visit].ratio)
            if len({row.instructors for row in rows}) > 1:
                yield f"{key} has different instructors"
            if len({*rows[0].instructors}) != needed:
                yield f"{key} needs {needed} instructors"

    def work(self) -> Iterator[str]:
        for person in self.problem.instructors:
            for day in range(self.problem.grid.days):
                yield from self.day_of_work(person, day)

    def day_of_work(self, person: Instructor, day: int) -> Iterator[str]:
        """A line of a day: ``X`` for what is over, ``x`` for what is to come."""
        grid, taught = self.problem.grid, self.staff[person.key]
        line = "".join(
            " xX"[0 if not taught.get((day, u)) else 1 if self.new(taught[day, u]) else 2]
            for u in range(grid.slots_per_day)
        )
        if "x" in line and len(line.replace(" ", "")) > person.max_load:
            yield f"{person.key} overloaded on {day}"
        for half in (line[: grid.lunch_after], line[grid.lunch_after :]):
            for start in range(len(half) - person.max_run):
                run = half[start : start + person.max_run + 1]
                if " " not in run and "x" in run:
                    yield f"{person.key} without a break on {day}"

    # Goals

    def goals(self) -> dict[str, int]:
        problem = self.problem
        found: dict[str, int] = {}
        if problem.published:
            found |= {"moved": self.moved(), "changed": self.changed()}
        found["idle"] = self.idle()
        if problem.lead:
            led = Counter(row.squad for row in self.rows if problem.lead in row.instructors)
            found["lead"] = sum(max(0, problem.lead_visits - led[s]) for s in self.squad)
        if problem.same_instructor:
            found["same_instructor"] = sum(map(self.parted, self.squad))
        if loads := list(self.loads()):
            found["fairness"] = max(loads) - min(loads)
        if any(visit.preferred is not None for visit in problem.visits):
            best = {v.key: v.preferred for v in problem.visits if v.preferred is not None}
            found["preference"] = len(
                [r for r in self.rows if r.slot not in best.get(r.visit, {r.slot})]
            )
        if problem.base is not None:
            found["walking"] = sum(map(self.walking, self.squad))
        return found

    def moved(self) -> int:
        there = {(r.squad, r.visit, r.day, r.slot, r.bay) for r in self.rows}
        gone = {
            r.squad
            for r in self.problem.published
            if (r.squad, r.visit, r.day, r.slot, r.bay) not in there
        }
        return sum(self.squad[key].size for key in gone & self.squad.keys())

    def changed(self) -> int:
        there = {
            (r.squad, r.visit, r.day, r.slot, r.bay, *sorted(r.instructors)) for r in self.rows
        }
        before = {
            (r.squad, r.visit, r.day, r.slot, r.bay, *sorted(r.instructors))
            for r in self.problem.published
            if r.squad in self.squad
        }
        return len(before - there)

    def idle(self) -> int:
        total = 0
        for table in self.squads.values():
            for day in range(self.problem.grid.days):
                slots = range(self.problem.grid.slots_per_day)
                line = "".join(" X"[bool(table.get((day, slot)))] for slot in slots)
                total += line.strip().count(" ")
        return total

    def parted(self, squad: str) -> bool:
        one, two = (
            {i for r in self.rows if (r.squad, r.visit) == (squad, key) for i in r.instructors}
            for key in self.problem.same_instructor or ()
        )
        return not one & two

    def loads(self) -> Iterator[int]:
        stations = {row.station for row in self.problem.visits}
        for row in self.problem.instructors:
            if row.available and row.max_load and stations & row.skills:
                busy = [when for when, rows in self.staff[row.key].items() if rows]
                yield len(busy) * row.load_factor

    def walking(self, squad: str) -> int:
        grid, total = self.problem.grid, 0
        for day in range(grid.days):
            for half in (range(grid.lunch_after), range(grid.lunch_after, grid.slots_per_day)):
                rows = [r for u in half for r in self.squads[squad].get((day, u), [])]
                way = [self.problem.base or "", *map(self.place, rows), self.problem.base or ""]
                total += sum(self.minutes(here, there) for here, there in pairwise(way))
        return total
