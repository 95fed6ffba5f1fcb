"""What goes into a proposal of practice, and what comes out of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

WEEKS, MOST_PRIORITIES = 6, 3
SHORTEST_MIN = 5
LONGEST_TITLE, LONGEST_WHY, LONGEST_COUNT = 120, 400, 80

When = Literal["low", "high", "worse", "better"]


@dataclass(frozen=True)
class Need:
    """A finding that practice could answer.

    Parameters
    ----------
    kind, measure, club_class
        Which measure of which station, of which class of club ("" for none).
    when
        How it was found; ``better`` is a strength to keep, never a priority.
    cost_strokes
        Strokes a round it costs (+) or saves (-); None where that is not known.
    weight
        How far it lies past what chance may do, 1 being just past.
    title
        What to work on, as the plan is to print it.
    words
        What a rule's line may name: ``measure``, ``value``, ``usual``, ``change``. What is empty or
        missing cannot be named.
    """

    kind: str
    measure: str
    club_class: str
    when: When
    cost_strokes: float | None
    weight: float
    title: str
    words: Mapping[str, str] = field(hash=False)


@dataclass(frozen=True)
class Rule:
    """Which drill serves a need; an empty `club_class` serves any. The lower position is first."""

    kind: str
    measure: str
    club_class: str
    when: str
    drill: str
    position: int
    why: str


@dataclass(frozen=True)
class DrillFacts:
    """What choosing a drill needs of it; `minutes` is one round, `count` what that consists of."""

    slug: str
    name: str
    minutes: int
    count: str
    equipment: frozenset[str]
    avoid_with: frozenset[str]

    @property
    def is_transfer(self) -> bool:
        """Whether it takes practice to the course."""
        return "course" in self.equipment


@dataclass(frozen=True)
class Time:
    """What a golfer has for practice."""

    minutes_a_week: int
    days_a_week: int


@dataclass(frozen=True)
class ProposedPriority:
    """Something to work on, and why."""

    title: str
    why: str
    need: Need


@dataclass(frozen=True)
class ProposedItem:
    """A drill in one week: on how many days, for how many minutes on each.

    `priority` is the index of what it serves; None keeps a strength alive.
    """

    week: int
    position: int
    drill: str
    priority: int | None
    days: int
    minutes: int
    count: str


@dataclass(frozen=True)
class Proposal:
    """A plan of six weeks. `left_out` has a sentence for whatever is not in it, and why."""

    priorities: tuple[ProposedPriority, ...]
    items: tuple[ProposedItem, ...]
    left_out: tuple[str, ...]
