"""A timetable as a patient desk makes it, to have something to compare the planner's with.

Visit by visit and squad by squad, the first slot and bay that break no rule, with the qualified
instructor who has the least to do so far; when a visit finds no room the desk takes a clean sheet
and another order. It shares no code with the planner.
"""

import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from math import ceil
from random import Random

from lessons.planner.plan import Placement
from lessons.planner.problem import Bay, Instructor, Problem, Squad, Visit

Start = tuple[int, int]


def by_hand(problem: Problem, seconds: float) -> tuple[list[Placement], int]:
    """The first sheet that places everything, or the fullest, and the sheets used."""
    best: list[Placement] = []
    wanted = len(problem.squads) * sum(visit.times for visit in problem.visits)
    end = time.monotonic() + seconds
    sheets = 0
    while len(best) < wanted and time.monotonic() < end:
        sheets += 1
        best = max(best, Sheet(problem, Random(sheets)).fill(), key=len)
    return best, sheets


class Sheet:
    """Who is where so far."""

    def __init__(self, problem: Problem, random: Random) -> None:
        self.problem, self.random, self.grid = problem, random, problem.grid
        self.sessions: list[tuple[Squad, Visit, Start, Bay, list[str]]] = []
        self.squads: dict[tuple[str, int, int], str] = {}
        self.staff: dict[tuple[str, int, int], str] = {}
        self.bays: dict[tuple[str, int, int], list[str]] = defaultdict(list)
        self.had: dict[tuple[str, str], list[Start]] = defaultdict(list)
        self.together: dict[tuple[str, Start, str], tuple[int, list[str]]] = {}
        self.load: Counter[str] = Counter()

    def fill(self) -> list[Placement]:
        visits = [visit for visit in self.problem.visits for _ in range(visit.times)]
        self.random.shuffle(visits)
        visits.sort(key=lambda visit: len(visit.days or range(self.grid.days)) + 3 * visit.group)
        for visit in visits:
            for squad in self.random.sample(self.problem.squads, len(self.problem.squads)):
                self._place(squad, visit)
        return [
            Placement(squad.key, visit.key, *start, bay.key, tuple(sorted(staff)))
            for squad, visit, start, bay, staff in self.sessions
        ]

    def _place(self, squad: Squad, visit: Visit) -> None:
        for start in self._starts(squad, visit):
            for bay in self.problem.bays:
                if self._bay_fits(squad, visit, start, bay):
                    staff = self._staff_for(squad, visit, start, bay)
                    if staff is not None:
                        self._write(squad, visit, start, bay, staff)
                        return

    def _starts(self, squad: Squad, visit: Visit) -> Iterator[Start]:
        for day in range(self.grid.days):
            for slot in range(self.grid.slots_per_day - visit.slots + 1):
                start = (day, slot)
                if self.grid.fits_half(slot, visit.slots) and self._time_fits(squad, visit, start):
                    yield start

    def _time_fits(self, squad: Squad, visit: Visit, start: Start) -> bool:
        day, slot = start
        on_day = [begun for begun in self.had[squad.key, visit.key] if begun[0] == day]
        if len(on_day) >= visit.most_a_day or not visit.allows(day):
            return False
        if any((squad.key, day, slot + more) in self.squads for more in range(visit.slots)):
            return False
        for one, other in self.problem.other_day:
            partner = {one: other, other: one}.get(visit.key)
            if partner and any(day == begun[0] for begun in self.had[squad.key, partner]):
                return False
        return self._in_order(squad, visit, start)

    def _in_order(self, squad: Squad, visit: Visit, start: Start) -> bool:
        """Enough of what comes before may still lie before, and nothing that waits is early."""
        for other in self.problem.visits:
            for earlier, later, begun in (
                (other, visit, [(at, start) for at in self.had[squad.key, other.key]]),
                (visit, other, [(start, at) for at in self.had[squad.key, other.key]]),
            ):
                count = later.after.get(earlier.key, 0)
                late = [at for at, then in begun if (at[0], at[1] + earlier.slots) > then]
                if count and len(late) > earlier.times - count:
                    return False
        return True

    def _bay_fits(self, squad: Squad, visit: Visit, start: Start, bay: Bay) -> bool:
        day, slot = start
        all_slots = {(day, slot + more) for more in range(visit.slots)}
        in_bay = {(day, slot + more) for more in range(visit.in_bay)}
        if visit.missing(squad, bay) or in_bay & bay.closed:
            return False
        if "lit" not in bay.features and all_slots & self.problem.dark:
            return False
        if "covered" not in bay.features and all_slots & self.problem.rain:
            return False
        used = [self.bays[bay.key, *when] for when in in_bay]
        if any(len(names) >= bay.squads or {*names} - {visit.key} for names in used):
            return False
        return self._can_walk(self.squads, squad.key, visit, start, bay.place)

    def _can_walk(
        self, sheet: dict[tuple[str, int, int], str], who: str, visit: Visit, start: Start, to: str
    ) -> bool:
        day, slot = start
        end = slot + visit.slots
        lunch = self.grid.lunch_after
        before = None if slot == lunch else sheet.get((who, day, slot - 1))
        after = None if end == lunch else sheet.get((who, day, end))
        far = self.problem.changeover_min
        return not (
            (before and self.problem.walk(before, to) > far)
            or (after and self.problem.walk(to, after) > far)
        )

    def _staff_for(self, squad: Squad, visit: Visit, start: Start, bay: Bay) -> list[str] | None:
        """Who is needed besides those who are there, or nothing when there are not enough."""
        people, there = self.together.get((visit.key, start, bay.key), (0, []))
        if not visit.group:
            people, there = 0, []
        needed = ceil((people + squad.size) / visit.ratio) - len(there)
        if needed > 1 and not visit.group:
            return None
        able = [p for p in self.problem.instructors if self._can_teach(p, visit, start, bay)]
        able.sort(key=lambda person: self.load[person.key] * person.load_factor)
        return [person.key for person in able[:needed]] if len(able) >= needed else None

    def _can_teach(self, person: Instructor, visit: Visit, start: Start, bay: Bay) -> bool:
        day, slot = start
        slots = {(day, slot + more) for more in range(visit.slots)}
        busy = {u for u in range(self.grid.slots_per_day) if (person.key, day, u) in self.staff}
        mine = {u for _, u in slots}
        if visit.station not in person.skills or not slots <= person.available or busy & mine:
            return False
        if len(busy | mine) > person.max_load:
            return False
        for half in self.grid.halves:
            line = "".join(" X"[u in busy | mine] for u in half)
            if "X" * (person.max_run + 1) in line:
                return False
        return self._can_walk(self.staff, person.key, visit, start, bay.place)

    def _write(self, squad: Squad, visit: Visit, start: Start, bay: Bay, more: list[str]) -> None:
        day, slot = start
        key = (visit.key, start, bay.key)
        people, there = self.together.get(key, (0, [])) if visit.group else (0, [])
        there += more
        self.together[key] = people + squad.size, there
        self.sessions.append((squad, visit, start, bay, there))
        self.had[squad.key, visit.key].append(start)
        for u in range(slot, slot + visit.slots):
            self.squads[squad.key, day, u] = bay.place
            for person in more:
                self.staff[person, day, u] = bay.place
        for u in range(slot, slot + visit.in_bay):
            self.bays[bay.key, day, u].append(visit.key)
        self.load.update(dict.fromkeys(more, visit.slots))
