"""What a plan reached in each respect, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lessons.queries.comparison import GoalPair
from school.wording import count_of

GOAL_WORDS = {
    "moved": "Golfers who are moved to another time or bay",
    "changed": "Sessions that are moved or get other instructors",
    "idle": "Idle slots between a squad's sessions",
    "lead": "Squads that miss the lead instructor, counted by visit",
    "same_instructor": "Squads with another instructor at exit than at intake",
    "fairness": "Slots between the busiest instructor and the least busy",
    "preference": "Sessions outside the times that suit them best",
    "walking": "Walking of all squads",
}
# For lists in one line, with the value behind them.
SHORT_WORDS = {
    "moved": "golfers moved",
    "changed": "sessions changed",
    "idle": "idle slots",
    "lead": "visits without the lead",
    "same_instructor": "other instructor at exit",
    "fairness": "loads apart by",
    "preference": "outside the best times",
    "walking": "walking",
}
UNITS = {"walking": ("minute", "minutes")}


@dataclass(frozen=True)
class GoalInWords:
    """What was reached, and the bound that no timetable goes below, both with their units.

    A plan changed by hand has no `bound`; there is a `gap` only while something better may be.
    """

    name: str
    short: str
    value: str
    bound: str
    gap: str
    proven: bool

    @property
    def doubt(self) -> str:
        if self.proven:
            return ""
        return "Perhaps not the best" if self.bound else "Counted, not looked for"


def goals_in_words(
    goals: Sequence[Mapping[str, Any]], *, by_hand: bool = False
) -> list[GoalInWords]:
    """What a plan reached in each respect, most important first, and what that is worth.

    A plan changed `by_hand` was counted anew, but nobody looked for the best: only nought is known
    to be the best there is.
    """
    return [_in_words(goal, by_hand) for goal in goals]


def _in_words(goal: Mapping[str, Any], by_hand: bool) -> GoalInWords:
    name, value, bound = goal["name"], goal["value"], goal["bound"]
    proven = goal["proven"]
    return GoalInWords(
        name=GOAL_WORDS.get(name, name),
        short=SHORT_WORDS.get(name, name),
        value=measured(name, value),
        bound="" if by_hand and not proven else measured(name, bound),
        gap="" if by_hand or proven else measured(name, value - bound),
        proven=proven,
    )


def measured(name: str, value: int) -> str:
    """A goal's value with its unit, if it has one."""
    return count_of(value, *UNITS[name]) if name in UNITS else str(value)


@dataclass(frozen=True)
class GoalBeside:
    """A goal in two plans; without `words` where one of them was not counted."""

    name: str
    was: str
    now: str
    words: str
    tone: str


def goals_beside(pairs: Iterable[GoalPair]) -> list[GoalBeside]:
    return [_beside(pair) for pair in pairs]


def _beside(pair: GoalPair) -> GoalBeside:
    was, now = ("" if v is None else measured(pair.name, v) for v in (pair.was, pair.now))
    words, tone = "", "quiet"
    if pair.was is not None and pair.now is not None:
        words = better_or_worse(pair.name, pair.was, pair.now)
        tone = "quiet" if pair.was == pair.now else "good" if pair.now < pair.was else "attention"
    return GoalBeside(GOAL_WORDS.get(pair.name, pair.name), was, now, words, tone)


def better_or_worse(name: str, old: int, new: int) -> str:
    """How `new` compares with `old`, less being better in every goal."""
    if new == old:
        return "the same"
    return f"{measured(name, abs(new - old))} {'better' if new < old else 'worse'}"
