"""What a plan breaks, in the words of the front desk with names and clock times."""

from collections.abc import Collection, Iterable, Sequence

from lessons.planner.plan import Placement
from lessons.planner.problem import Bay, Instructor, Problem, SlotOfSchool, Squad, Visit
from lessons.planner.words import days_named, listed, slots_named


def times(count: int) -> str:
    """``once``, ``twice``, ``3 times``."""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


class Names:
    """A problem by its keys, and how its sessions and times are called."""

    def __init__(self, problem: Problem) -> None:
        self.grid = problem.grid
        self.squads = {row.key: row for row in problem.squads}
        self.visits = {row.key: row for row in problem.visits}
        self.bays = {row.key: row for row in problem.bays}
        self.people = {row.key: row for row in problem.instructors}

    # Sessions and times

    def end(self, row: Placement) -> int:
        """The first slot after the session."""
        return row.slot + self.visits[row.visit].slots

    def left_bay(self, row: Placement) -> int:
        """The first slot in which the squad is no longer in the bay."""
        return row.slot + self.visits[row.visit].in_bay

    def span(self, row: Placement) -> list[SlotOfSchool]:
        """Every slot of the session."""
        return [(row.day, slot) for slot in range(row.slot, self.end(row))]

    def what(self, row: Placement) -> str:
        """``Putting of Squad 2``."""
        return f"{self.visits[row.visit].name} of {self.squads[row.squad].name}"

    def when(self, row: Placement) -> str:
        """``day 1 from 10:30 to 11:15``."""
        return slots_named(self.grid, self.span(row))

    def whole(self, row: Placement) -> str:
        """``Putting of Squad 2 on day 1 from 10:30 to 11:15``."""
        return f"{self.what(row)} on {self.when(row)}"

    def _starts(self, slot: int) -> str:
        return f"at {self.grid.slot_times[slot][0]}" if self.grid.slot_times else f"slot {slot + 1}"

    # A session by itself

    def unknown(self, row: Placement) -> str:
        """What the session names and the problem does not have."""
        named: tuple[tuple[str, str, Collection[str]], ...] = (
            ("squad", row.squad, self.squads),
            ("visit", row.visit, self.visits),
            ("bay", row.bay, self.bays),
            *(("instructor", key, self.people) for key in row.instructors),
        )
        gone = [f"{word} {key!r}" for word, key, keys in named if key not in keys]
        return f"{listed(gone)}: there is no such thing in this school." if gone else ""

    def outside(self, row: Placement) -> str:
        lasts = self.grid.hours(self.visits[row.visit].slots)
        inside = 0 <= row.day < self.grid.days and 0 <= row.slot < self.grid.slots_per_day
        if not inside:
            return f"{self.what(row)} begins outside the days of the school."
        return (
            f"{self.what(row)} does not fit into day {row.day + 1} {self._starts(row.slot)}:"
            f" it takes {lasts}."
        )

    def too_early(self, row: Placement) -> str:
        return f"{self.what(row)} cannot begin in a slot that is over."

    def over_lunch(self, row: Placement) -> str:
        return f"{self.whole(row)} runs over lunch."

    def wrong_day(self, row: Placement) -> str:
        allowed = days_named(self.visits[row.visit].days or ())
        return f"{self.what(row)} is on day {row.day + 1}; it is allowed on {allowed} only."

    def lacks(self, row: Placement, missing: Iterable[str]) -> str:
        bay = self.bays[row.bay].name
        return f"{self.what(row)} needs what {bay} lacks: {listed(sorted(missing))}."

    def closed(self, row: Placement, slots: Iterable[SlotOfSchool]) -> str:
        when = slots_named(self.grid, slots)
        return f"{self.bays[row.bay].name} is closed or taken on {when}, for {self.what(row)}."

    def weather(self, row: Placement, slots: Iterable[SlotOfSchool], cause: str, lack: str) -> str:
        when, bay = slots_named(self.grid, slots), self.bays[row.bay].name
        return f"{cause} on {when}, and {bay} has no {lack} for {self.what(row)}."

    def away(self, row: Placement, slots: Iterable[SlotOfSchool]) -> str:
        squad, visit = self.squads[row.squad].name, self.visits[row.visit].name
        when = slots_named(self.grid, slots)
        return f"Somebody in {squad} is away on {when}, and everybody should have {visit}."

    def not_qualified(self, row: Placement, person: Instructor) -> str:
        return f"{person.name} is not qualified for {self.what(row)}."

    def not_free(self, row: Placement, person: Instructor, slots: Iterable[SlotOfSchool]) -> str:
        when = slots_named(self.grid, slots)
        return f"{person.name} is not free on {when}, for {self.what(row)}."

    # Sessions that meet

    def squad_twice(self, squad: Squad, rows: Sequence[Placement]) -> str:
        both = (f"{self.visits[row.visit].name} on {self.when(row)}" for row in rows)
        return f"{squad.name} has {listed(both)} at once."

    def instructor_twice(self, person: Instructor, rows: Sequence[Placement]) -> str:
        return f"{person.name} has {listed(self.whole(row) for row in rows)} at once."

    def bay_mixed(self, bay: Bay, rows: Sequence[Placement]) -> str:
        return f"{bay.name} would have {listed(self.whole(row) for row in rows)} at once."

    def bay_full(self, bay: Bay, slot: SlotOfSchool, rows: Sequence[Placement]) -> str:
        squads = listed(self.what(row) for row in rows)
        room = "1 squad" if bay.squads == 1 else f"{bay.squads} squads"
        when = slots_named(self.grid, [slot])
        return f"{bay.name} is for {room} at once; on {when} there are {len(rows)}: {squads}."

    def too_far(
        self, who: str, one: Placement, other: Placement, minutes: int, allowed: int
    ) -> str:
        here, there = self.bays[one.bay].place, self.bays[other.bay].place
        return (
            f"{who} has {minutes} min to walk from {here} to {there} between {self.whole(one)} and"
            f" {self.whole(other)}; {allowed} min are allowed."
        )

    # Days and counts

    def load(self, person: Instructor, day: int, slots: int) -> str:
        taught, most = self.grid.hours(slots), self.grid.hours(person.max_load)
        return f"{person.name} teaches {taught} on day {day + 1} instead of at most {most}."

    def run(self, person: Instructor, slots: Sequence[SlotOfSchool]) -> str:
        when, most = slots_named(self.grid, slots), self.grid.hours(person.max_run)
        return f"{person.name} teaches without a break on {when}, longer than {most}."

    def order(self, row: Placement, earlier: Visit, over: int, asked: int) -> str:
        begins = f"{self.what(row)} begins on day {row.day + 1} {self._starts(row.slot)}"
        if asked == 1:
            return f"{begins}, before {earlier.name} is over."
        had = times(over) if over else "never"
        return f"{begins}, and by then {earlier.name} is over {had} instead of {times(asked)}."

    def missing(self, squad: Squad, visit: Visit, had: int) -> str:
        if not had:
            return f"{squad.name} has no time for {visit.name}."
        return f"{squad.name} has {visit.name} {times(had)} instead of {times(visit.times)}."

    def too_often(self, squad: Squad, visit: Visit, had: int) -> str:
        return f"{squad.name} has {visit.name} {times(had)}; {times(visit.times)} is enough."

    def crowded(self, squad: Squad, visit: Visit, day: int, had: int) -> str:
        return (
            f"{squad.name} has {visit.name} {times(had)} on day {day + 1};"
            f" {times(visit.most_a_day)} a day is the most."
        )

    def day_pair(self, squad: Squad, pair: Sequence[tuple[Visit, Sequence[int]]], rule: str) -> str:
        had = listed(f"{visit.name} on {days_named(days) or 'no day'}" for visit, days in pair)
        return f"{squad.name} has {had}; they belong on {rule}."

    # Groups

    def ratio(self, rows: Sequence[Placement], golfers: int, instructors: int) -> str:
        visit = self.visits[rows[0].visit]
        there = f"{golfers} golfer{'' if golfers == 1 else 's'}"
        with_them = f"{instructors} instructor{'' if instructors == 1 else 's'}"
        return (
            f"{visit.name} on {self.when(rows[0])} has {there} and {with_them}; an instructor"
            f" takes at most {visit.ratio}, and there is none more than needed."
        )

    def one_instructor(self, row: Placement) -> str:
        had = len(row.instructors)
        return f"{self.whole(row)} has {had or 'no'} instructor{'s' * (had > 1)} instead of one."

    def parted_group(self, rows: Sequence[Placement]) -> str:
        visit = self.visits[rows[0].visit].name
        squads = listed(self.squads[row.squad].name for row in rows)
        return (
            f"{squads} have {visit} together on {self.when(rows[0])}, with different instructors."
        )

    # What must stay

    def must_stay(self, row: Placement, why: str) -> str:
        bay = self.bays[row.bay].name if row.bay in self.bays else row.bay
        people = listed(
            self.people[key].name if key in self.people else key for key in row.instructors
        )
        return f"{self.whole(row)} in {bay} with {people} {why}."
