"""What the planner is asked: the grid of slots, who comes, what is taught, where and by whom.

Every key is a string chosen by the caller. Slots are numbered from 0 within a day; a
(day, slot) pair names one slot of the school. Two sets that hold the same members mean the
same problem whatever their order.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import permutations

from lessons.planner.faults import find_faults
from lessons.planner.plan import Placement

SlotOfSchool = tuple[int, int]

LEFT_HANDED = "left-handed"
"""The bay feature that a squad with a left-hander needs for a handed visit."""

COVERED = "covered"
"""The bay feature that is needed in the rain."""

LIT = "lit"
"""The bay feature that is needed in the dark."""

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
    """A teaching place; ``closed`` also holds what others have taken.

    Up to ``squads`` squads are there at once, as long as they have the same visit.
    """

    key: str
    name: str
    place: str
    features: frozenset[str]
    closed: frozenset[SlotOfSchool] = frozenset()
    squads: int = 1


@dataclass(frozen=True)
class Instructor:
    """Qualified for the stations in ``skills``, free in ``available``.

    ``max_load`` is in slots a day, ``max_run`` in slots without a break (lunch is one).
    ``load_factor`` is what a slot counts when loads are compared: 2 for half time.
    """

    key: str
    name: str
    skills: frozenset[str]
    available: frozenset[SlotOfSchool]
    max_load: int
    max_run: int
    load_factor: int = 1


@dataclass(frozen=True)
class Squad:
    """Up to four attendees; ``left_handed`` when at least one of them is.

    While somebody is ``away`` the squad has no visit that ``everyone`` should have.
    """

    key: str
    name: str
    size: int
    left_handed: bool
    away: frozenset[SlotOfSchool] = frozenset()


@dataclass(frozen=True)
class Visit:
    """What every squad has ``times`` times, at most ``most_a_day`` of them on one day.

    ``days`` of ``None`` allows all. ``after`` says how many sessions of each earlier visit must
    be over before any of this one starts. ``handed`` asks for a left-handed bay when the squad has
    a left-hander. The squad is in the bay for the first ``bay_slots`` of its ``slots``, or for all.
    ``preferred`` names the slots of a day in which it best begins; ``None`` for any.

    An instructor takes at most ``ratio`` golfers. Squads may have a ``group`` visit together, with
    as many instructors as their golfers need and no more; any other has one instructor.
    """

    key: str
    name: str
    station: str
    slots: int
    features: frozenset[str]
    handed: bool = False
    days: frozenset[int] | None = None
    after: Mapping[str, int] = field(default_factory=dict)
    times: int = 1
    most_a_day: int = 1
    bay_slots: int | None = None
    preferred: frozenset[int] | None = None
    group: bool = False
    ratio: int = MAX_SQUAD
    everyone: bool = False

    @property
    def in_bay(self) -> int:
        """The slots for which the bay is taken."""
        return self.slots if self.bay_slots is None else self.bay_slots

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

    The two visits of each pair in ``same_day`` fall on the same days, those of each pair in
    ``other_day`` never do. Bays without a cover are not used in the ``rain``, nor those without
    light in the ``dark``. Squads start from ``base`` and come back to it, each half of a day.

    ``past`` sessions are over and stand, whatever the rules say now; nothing else begins before
    ``now``. ``pinned`` ones must stay. When the school has a ``published`` plan, as few golfers as
    can be are moved from it; what it says of squads that are gone is not read.
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
    base: str | None = None
    same_day: tuple[tuple[str, str], ...] = ()
    other_day: tuple[tuple[str, str], ...] = ()
    rain: frozenset[SlotOfSchool] = frozenset()
    dark: frozenset[SlotOfSchool] = frozenset()
    past: tuple[Placement, ...] = ()
    pinned: tuple[Placement, ...] = ()
    published: tuple[Placement, ...] = ()
    now: SlotOfSchool | None = None

    @property
    def opens(self) -> SlotOfSchool:
        """The first slot in which anything new may begin: ``now``, or once the past has begun."""
        if self.now is not None or not self.past:
            return self.now or (0, 0)
        day, slot = max((row.day, row.slot) for row in self.past)
        return day, slot + 1

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
    faults = find_faults(problem, MAX_SQUAD)
    if faults:
        raise ProblemError(faults)
