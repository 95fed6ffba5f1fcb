"""What the planner answers: a plan with the worth of each goal, or why there is none."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Placement:
    """One session: a squad's visit with its first slot, bay and instructors, all by key.

    Squads that have a visit together have a placement each, with the same instructors in order.
    """

    squad: str
    visit: str
    day: int
    slot: int
    bay: str
    instructors: tuple[str, ...]


@dataclass(frozen=True)
class Goal:
    """What the plan reached in one respect, smaller being better.

    No plan that keeps the goals before this one can go below ``bound``; ``proven`` says that
    the plan has reached it.
    """

    name: str
    value: int
    bound: int
    proven: bool


@dataclass(frozen=True)
class Plan:
    """Every squad's visits in order of time, and how it was found.

    ``status`` is ``"optimal"`` when every goal is proven, else ``"feasible"``; ``seconds`` is
    the wall time taken, ``first_seconds`` the time to the first plan.
    """

    placements: tuple[Placement, ...]
    goals: tuple[Goal, ...]
    status: str
    seed: int
    seconds: float
    planner_version: str
    first_seconds: float = 0.0


@dataclass(frozen=True)
class Progress:
    """How far a search is: the step it is at, and each goal's best value and bound so far.

    There are no ``values`` before the first plan.
    """

    step: str
    values: Mapping[str, int]
    bounds: Mapping[str, int]
    seconds: float


@dataclass(frozen=True)
class Conflict:
    """A rule that takes part in a clash, in words the front desk can act on.

    ``rule`` is the kind (``"order"``, ``"hours"``, …) and ``keys`` names what it is about.
    """

    rule: str
    words: str
    keys: tuple[str, ...] = ()


@dataclass(frozen=True)
class WayOut:
    """One small thing to give, tried and seen to make room for a plan, in words.

    ``kind`` and ``keys`` say what it is about as in `Conflict`; ``amount`` how much of it.
    """

    kind: str
    words: str
    keys: tuple[str, ...] = ()
    amount: int = 1


class NoPlan(Exception):
    """The rules cannot all hold.

    Attributes
    ----------
    conflicts
        When ``together``, rules that clash with each other; otherwise each one rules out
        any plan by itself.
    minimal
        True when it is proven that the rest could hold as soon as any one of them gives way.
    ways_out
        The smallest things found that would do, each by itself. They are told first where the
        clash may hold rules that are not needed.
    """

    def __init__(
        self,
        conflicts: Iterable[Conflict],
        *,
        together: bool = True,
        minimal: bool = False,
        ways_out: Iterable[WayOut] = (),
    ) -> None:
        self.conflicts = tuple(conflicts)
        self.together = together
        self.minimal = minimal
        self.ways_out = tuple(ways_out)
        rules = [conflict.words for conflict in self.conflicts]
        ways = [way.words for way in self.ways_out]
        first = ways if together and not minimal else []
        super().__init__(" ".join([*first, *rules]))


class OutOfTime(Exception):
    """Neither a plan nor a proof that there is none was found in the time given."""
