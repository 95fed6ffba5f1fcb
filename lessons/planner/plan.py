"""What the planner answers: a plan with the worth of each goal, or why there is none."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Placement:
    """One session: a squad's visit with its first slot, bay and instructor, all by key."""

    squad: str
    visit: str
    day: int
    slot: int
    bay: str
    instructor: str


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
    the wall time taken.
    """

    placements: tuple[Placement, ...]
    goals: tuple[Goal, ...]
    status: str
    seed: int
    seconds: float
    planner_version: str


@dataclass(frozen=True)
class Progress:
    """A plan found on the way: in which step, what each goal counts in it, and when."""

    step: str
    values: Mapping[str, int]
    seconds: float


@dataclass(frozen=True)
class Conflict:
    """A rule that takes part in a clash, in words the front desk can act on.

    ``rule`` is the kind (``"order"``, ``"hours"``, …) and ``keys`` names what it is about.
    """

    rule: str
    words: str
    keys: tuple[str, ...] = ()


class NoPlan(Exception):
    """The rules cannot all hold.

    Attributes
    ----------
    conflicts
        When ``together``, rules that clash with each other; otherwise each one rules out
        any plan by itself.
    minimal
        True when it is proven that the rest could hold as soon as any one of them gives way.
    """

    def __init__(
        self, conflicts: Iterable[Conflict], *, together: bool = True, minimal: bool = False
    ) -> None:
        self.conflicts = tuple(conflicts)
        self.together = together
        self.minimal = minimal
        super().__init__(" ".join(conflict.words for conflict in self.conflicts))


class OutOfTime(Exception):
    """Neither a plan nor a proof that there is none was found in the time given."""
