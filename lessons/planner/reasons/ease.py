"""A change of a problem that may give room for a plan, in words."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from lessons.planner.problem import Problem, SlotOfSchool
from lessons.planner.rules import Rule

Keys = tuple[str, ...]

MOST = 3
"""The most slots, sessions or golfers that are asked for in addition."""


@dataclass(frozen=True)
class Ease:
    """One thing to give; ``without`` names visits that squads go without.

    ``frame`` is the sentence with ``{}`` where the ``name`` goes, so that several of a kind can be
    told in one.
    """

    size: int
    kind: str
    frame: str
    name: str
    keys: Keys
    problem: Problem
    amount: int = 1
    without: frozenset[Rule] = frozenset()

    @property
    def words(self) -> str:
        """The sentence."""
        return self.frame.replace("{}", self.name)


def altered(problem: Problem, rows: str, key: str, **changes: Any) -> Problem:
    """The problem with one of its visits, bays, instructors or squads changed."""
    rows_then = (replace(r, **changes) if r.key == key else r for r in getattr(problem, rows))
    rest: dict[str, Any] = {rows: tuple(rows_then)}
    return replace(problem, **rest)


def row_of(problem: Problem, rows: str, key: str) -> Any:
    """The visit, bay, instructor or squad of that key."""
    return next(row for row in getattr(problem, rows) if row.key == key)


def half_days(
    problem: Problem, slots: frozenset[SlotOfSchool]
) -> Iterator[frozenset[SlotOfSchool]]:
    """Those of the slots still to come, by half day."""
    for day, half in product(range(problem.grid.days), problem.grid.halves):
        found = frozenset((day, u) for u in half if (day, u) in slots and (day, u) >= problem.opens)
        if found:
            yield found
