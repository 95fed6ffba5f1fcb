"""Six weeks of practice within the time a golfer has.

Weeks 1 and 2 practise one drill at a time, weeks 3 and 4 several in turn on each day, weeks 5 and
6 what is nearest to play; week 6 begins with the first week's drills, done as they were then, to
compare. That interleaved practice looks worse while it lasts and is often kept better is known as
contextual interference (Shea and Morgan, Journal of Experimental Psychology: Human Learning and
Memory 5(2), 1979, 179-187); how much of it holds outside the laboratory and for beginners is
disputed, so both kinds are in the plan and nothing is promised.

A week is made in this order, each step only as far as the minutes of the week go:

1. The first drills get one day each, an equal share of the minutes at most.
2. Where several are practised in turn, further drills join while all fit whole on two days.
3. Days are added, up to those the golfer has; in weeks 1 and 2 a day has one drill only.
4. Drills are gone through a second and a third time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assessments.practice.choose import Choice, Usable
from assessments.practice.values import (
    LONGEST_COUNT,
    WEEKS,
    DrillFacts,
    ProposedItem,
    Time,
)

BLOCK_WEEKS, MIXED_WEEKS = (1, 2), (3, 4)
KEEPING_WEEK, CHECK_WEEK = 4, 6
MOST_ITEMS, MOST_ROUNDS = 5, 3


@dataclass(frozen=True)
class Part:
    """A drill for what it serves; None keeps a strength."""

    drill: DrillFacts
    priority: int | None

    @property
    def is_work(self) -> bool:
        return self.priority is not None

    @property
    def most_days(self) -> int:
        """A strength is kept by less than a fault takes."""
        return 7 if self.is_work else 2


@dataclass
class Slot:
    """A part while its week is being made."""

    part: Part
    minutes: int
    days: int = 1
    rounds: int = 1

    @property
    def is_whole(self) -> bool:
        return self.minutes >= self.part.drill.minutes

    @property
    def total(self) -> int:
        return self.minutes * self.days * self.rounds


def six_weeks(choice: Choice, time: Time) -> tuple[ProposedItem, ...]:
    """The items of all weeks; without a priority they keep a strength, if there is one."""
    if not choice.priorities and choice.keep is None:
        return ()
    return tuple(
        item for week in range(1, WEEKS + 1) for item in _items(week, _week(week, choice, time))
    )


def _week(week: int, choice: Choice, time: Time) -> list[Slot]:
    parts = _parts(week, choice, time)
    first = len(choice.priorities) or 1
    if week in BLOCK_WEEKS:
        slots = _begun(parts[: min(first, time.days_a_week)], time)
        _add_days_of_their_own(slots, time)
    else:
        slots = _begun(parts[:first], time)
        slots = _joined(slots, parts[first:], time)
        _add_days(slots, time)
    _add_rounds(slots, time)
    return slots


def _parts(week: int, choice: Choice, time: Time) -> list[Part]:
    """The drills of a week, what comes first leading: one of each priority, then the others."""
    columns = [list(_in_order(week, index, each)) for index, each in enumerate(choice.priorities)]
    if not columns and choice.keep is not None:
        return list(_in_order(week, None, choice.keep))
    if week == BLOCK_WEEKS[1] and time.days_a_week < len(columns):
        columns = columns[time.days_a_week :] + columns[: time.days_a_week]
    longest = max(len(column) for column in columns)
    parts = [column[row] for row in range(longest) for column in columns if row < len(column)]
    if week == KEEPING_WEEK and choice.keep is not None:
        parts.insert(len(columns), Part(choice.keep.drills[0], None))
    return parts


def _in_order(week: int, index: int | None, usable: Usable) -> Iterator[Part]:
    """The drills of a priority, or of a strength, as a week wants them."""
    transfer = [drill for drill in usable.drills if drill.is_transfer]
    plain = [drill for drill in usable.drills if not drill.is_transfer] or transfer
    if week in (*BLOCK_WEEKS, MIXED_WEEKS[0]):
        ordered = plain
    elif week in MIXED_WEEKS:
        ordered = plain[1:] + plain[:1]
    elif week == CHECK_WEEK:
        ordered = plain[:1] + transfer + plain[1:]
    else:
        ordered = transfer + plain[::-1]
    return (Part(drill, index) for drill in dict.fromkeys(ordered))


def _begun(parts: Sequence[Part], time: Time) -> list[Slot]:
    share = time.minutes_a_week // len(parts)
    return [Slot(part, min(part.drill.minutes, share)) for part in parts]


def _joined(slots: list[Slot], others: Sequence[Part], time: Time) -> list[Slot]:
    days = min(2, time.days_a_week)
    joined = list(slots)
    for part in others:
        grown = [*joined, Slot(part, part.drill.minutes)]
        fits = sum(slot.minutes for slot in grown) * days <= time.minutes_a_week
        if len(grown) > MOST_ITEMS or not fits or not all(slot.is_whole for slot in slots):
            break
        joined = grown
    return joined


def _add_days(slots: list[Slot], time: Time) -> None:
    """Practise all the drills in turn on as many days as fit."""
    days = time.minutes_a_week // sum(slot.minutes for slot in slots)
    for slot in slots:
        slot.days = min(days, time.days_a_week, slot.part.most_days)


def _add_days_of_their_own(slots: list[Slot], time: Time) -> None:
    """Share the days out in turn, one drill to a day."""
    left = time.days_a_week - len(slots)
    for turn in range(left):
        slot = slots[turn % len(slots)]
        if slot.days < slot.part.most_days and _spare(slots, time) >= slot.minutes:
            slot.days += 1


def _add_rounds(slots: list[Slot], time: Time) -> None:
    for _ in range(1, MOST_ROUNDS):
        for slot in slots:
            if (
                slot.is_whole
                and slot.part.is_work
                and _spare(slots, time) >= slot.minutes * slot.days
            ):
                slot.rounds += 1


def _spare(slots: Sequence[Slot], time: Time) -> int:
    return time.minutes_a_week - sum(slot.total for slot in slots)


def _items(week: int, slots: Sequence[Slot]) -> Iterator[ProposedItem]:
    for position, slot in enumerate(slots, start=1):
        yield ProposedItem(
            week,
            position,
            slot.part.drill.slug,
            slot.part.priority,
            slot.days,
            slot.minutes * slot.rounds,
            _count(slot),
        )


def _count(slot: Slot) -> str:
    """What to do on a day, as the drill counts it."""
    count = slot.part.drill.count
    if not slot.is_whole:
        said = f"{count}, as far as the time goes"
    elif slot.rounds > 1:
        said = f"{count}; all of it {'twice' if slot.rounds == 2 else 'three times'}"
    else:
        said = count
    return said if len(said) <= LONGEST_COUNT else count
