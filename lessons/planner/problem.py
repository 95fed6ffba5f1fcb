"""What the planner is asked: the grid of slots, who comes, what is taught, where and by whom.

Every key is a string chosen by the caller. Slots are numbered from 0 within a day; a
(day, slot) pair names one slot of the school. Two sets that hold the same members mean the
same problem whatever their order.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from itertools import permutations

SlotOfSchool = tuple[int, int]

LEFT_HANDED = "left-handed"
"""The bay feature that a squad with a left-hander needs for a handed visit."""

MAX_SQUAD = 4


class ProblemError(ValueError):
    """The problem contradicts itself; ``faults`` says how, one sentence each."""

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(self.faults))


@dataclass(frozen=True)
class Grid:
    """Days of equal slots; lunch lies between slots ``lunch_after - 1`` and ``lunch_after``.

    ``slot_times`` says when each slot of a day begins and ends, as a clock shows it. Reasons name
    slots by it, and by their numbers where it is left out.
    """

    days: int
    slots_per_day: int
    lunch_after: int
    slot_min: int
    slot_times: tuple[tuple[str, str], ...] = ()

    @property
    def slots(self) -> int:
        """Slots of the whole school."""
        return self.days * self.slots_per_day

    @property
    def halves(self) -> tuple[range, range]:
        """The slots before and after lunch."""
        return range(self.lunch_after), range(self.lunch_after, self.slots_per_day)

    def fits_half(self, slot: int, slots: int) -> bool:
        """Whether a visit of ``slots`` from ``slot`` stays clear of lunch."""
        return not slot < self.lunch_after < slot + slots

    def index(self, day: int, slot: int) -> int:
        """Count of slots from the start of the school."""
        return day * self.slots_per_day + slot

    def hours(self, slots: int) -> str:
        """A number of slots as the front desk says it: ``3 slots (2 h 15 min)``."""
        hours, minutes = divmod(slots * self.slot_min, 60)
        parts = [f"{hours} h"] * bool(hours) + [f"{minutes} min"] * bool(minutes)
        return f"{slots} slot{'' if slots == 1 else 's'} ({' '.join(parts) or '0 min'})"


@dataclass(frozen=True)
class Bay:
    """A teaching place for one squad at a time; ``closed`` also holds what others have taken."""

    key: str
    name: str
    place: str
    features: frozenset[str]
    closed: frozenset[SlotOfSchool] = frozenset()


@dataclass(frozen=True)
class Instructor:
    """Qualified for the stations in ``skills``, free in ``available``.

    ``max_load`` is in slots a day, ``max_run`` in slots without a break (lunch is one).
    """

    key: str
    name: str
    skills: frozenset[str]
    available: frozenset[SlotOfSchool]
    max_load: int
    max_run: int


@dataclass(frozen=True)
class Squad:
    """Up to four attendees; ``left_handed`` when at least one of them is."""

    key: str
    name: str
    size: int
    left_handed: bool


@dataclass(frozen=True)
class Visit:
    """What every squad has exactly once.

    ``days`` of ``None`` allows all; each visit in ``after`` must be finished before this one
    starts; ``handed`` asks for a left-handed bay when the squad has a left-hander.
    """

    key: str
    name: str
    station: str
    slots: int
    features: frozenset[str]
    handed: bool
    days: frozenset[int] | None
    after: frozenset[str]

    def allows(self, day: int) -> bool:
        """Whether the programme lets this visit fall on the day."""
        return self.days is None or day in self.days

    def missing(self, squad: Squad, bay: Bay) -> frozenset[str]:
        """Features that the squad needs for this visit and the bay lacks."""
        needs = self.features | ({LEFT_HANDED} if self.handed and squad.left_handed else set())
        return frozenset(needs - bay.features)


@dataclass(frozen=True)
class Problem:
    """One school to be planned.

    ``walk_min`` is in minutes from place to place; a pair given one way only counts both ways.
    Between adjacent slots, lunch excepted, nobody changes between places further apart than
    ``changeover_min``. ``same_instructor`` names the intake and the exit visit; ``lead_visits``
    is how many visits each squad should have with the lead instructor.
    """

    grid: Grid
    squads: tuple[Squad, ...]
    visits: tuple[Visit, ...]
    bays: tuple[Bay, ...]
    instructors: tuple[Instructor, ...]
    walk_min: Mapping[tuple[str, str], int]
    changeover_min: int
    lead: str | None = None
    same_instructor: tuple[str, str] | None = None
    lead_visits: int = 1

    def walk(self, start: str, end: str) -> int:
        """Walking minutes between two places.

        Raises
        ------
        KeyError
            If neither direction is in ``walk_min``.
        """
        if start == end:
            return 0
        back = self.walk_min.get((end, start))
        return self.walk_min[start, end] if back is None else self.walk_min.get((start, end), back)

    def too_far(self) -> list[tuple[str, str]]:
        """Ordered pairs of places that no one can change between in adjacent slots."""
        places = sorted({bay.place for bay in self.bays})
        return [p for p in permutations(places, 2) if self.walk(*p) > self.changeover_min]


def validate(problem: Problem) -> None:
    """Check that the problem makes sense, so that the solver may trust it.

    Raises
    ------
    ProblemError
        With every fault found: repeated or unknown keys, times outside the grid, a circle
        of visits that wait for each other, a walk that is not given.
    """
    faults = [*_grid_faults(problem.grid)]
    if not faults:
        for look in (_key_faults, _size_faults, _time_faults, _reference_faults, _walk_faults):
            faults += look(problem)
    if faults:
        raise ProblemError(faults)


def _grid_faults(grid: Grid) -> Iterator[str]:
    if grid.days < 1 or grid.slots_per_day < 1 or grid.slot_min < 1:
        yield "A school needs at least one day of one slot of one minute."
    elif not 0 <= grid.lunch_after <= grid.slots_per_day:
        yield f"Lunch after slot {grid.lunch_after} lies outside a day of {grid.slots_per_day}."
    elif grid.slot_times and len(grid.slot_times) != grid.slots_per_day:
        yield f"{len(grid.slot_times)} slots have a time and a day has {grid.slots_per_day}."


def _key_faults(problem: Problem) -> Iterator[str]:
    for word, rows in (
        ("squad", problem.squads),
        ("visit", problem.visits),
        ("bay", problem.bays),
        ("instructor", problem.instructors),
    ):
        for key, count in Counter(row.key for row in rows).items():
            if count > 1:
                yield f"The {word} key {key!r} is used {count} times."


def _size_faults(problem: Problem) -> Iterator[str]:
    for squad in problem.squads:
        if not 1 <= squad.size <= MAX_SQUAD:
            yield f"Squad {squad.name} has {squad.size} attendees; 1 to {MAX_SQUAD} are allowed."
    for visit in problem.visits:
        if visit.slots < 1:
            yield f"Visit {visit.name} takes {visit.slots} slots; at least 1 is needed."
    for person in problem.instructors:
        if person.max_load < 0 or person.max_run < 1:
            yield f"{person.name} needs a load of 0 or more and a run of 1 or more slots."
    if problem.lead_visits < 0 or problem.changeover_min < 0:
        yield "Visits with the lead instructor and the changeover cannot be negative."


def _time_faults(problem: Problem) -> Iterator[str]:
    grid = problem.grid
    for name, slots in (
        *((bay.name, bay.closed) for bay in problem.bays),
        *((person.name, person.available) for person in problem.instructors),
    ):
        for day, slot in sorted(slots):
            if not (0 <= day < grid.days and 0 <= slot < grid.slots_per_day):
                yield f"{name}: day {day}, slot {slot} lies outside the school."
    for visit in problem.visits:
        if visit.days is not None and not (visit.days and visit.days <= set(range(grid.days))):
            yield (
                f"Visit {visit.name} must be allowed on at least one day, and only on days of"
                " the school."
            )


def _reference_faults(problem: Problem) -> Iterator[str]:
    visits = {visit.key: visit for visit in problem.visits}
    for visit in problem.visits:
        for key in sorted(visit.after - visits.keys()):
            yield f"Visit {visit.name} waits for the unknown visit {key!r}."
    for key in problem.same_instructor or ():
        if key not in visits:
            yield f"The same instructor is asked for the unknown visit {key!r}."
    if problem.lead is not None and problem.lead not in {i.key for i in problem.instructors}:
        yield f"The lead instructor {problem.lead!r} is not one of the instructors."
    try:
        TopologicalSorter({visit.key: visit.after for visit in problem.visits}).prepare()
    except CycleError as error:
        circle = [visits[key].name for key in error.args[1]]
        yield f"These visits wait for each other in a circle: {', then '.join(circle)}."


def _walk_faults(problem: Problem) -> Iterator[str]:
    for start, end in permutations(sorted({bay.place for bay in problem.bays}), 2):
        try:
            minutes = problem.walk(start, end)
        except KeyError:
            if start < end:
                yield f"The walk between {start} and {end} is not given."
            continue
        if minutes < 0:
            yield f"The walk from {start} to {end} is negative."
