"""Which reminders a school is due, by its dates alone. Pure.

A reminder falls due at eight in the morning of its day, where the school is held. If nobody was
there to send it, it is made up for on one of the next two days, also not before eight, and never
once the school has begun.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

EARLIEST = time(8, 0)
MADE_UP_FOR = timedelta(days=3)
# How many days before the first day a reminder looks ahead at most, the balance's aside.
LONGEST_AHEAD_DAYS = 14


@dataclass(frozen=True)
class Dates:
    """The first day, when it opens (with the school's zone), and when the balance is due."""

    opens: datetime
    balance_due: date


@dataclass(frozen=True)
class Reminder:
    """One that is due: its kind, what tells it from others of its kind, and since when."""

    kind: str
    name: str
    since: datetime


def due_reminders(dates: Dates, now: datetime) -> list[Reminder]:
    """The reminders to be sent at `now`, which has a zone, to whoever they concern."""
    local = now.astimezone(dates.opens.tzinfo)
    if local.time() < EARLIEST or now >= dates.opens:
        return []
    return [
        reminder for reminder in _all(dates) if reminder.since <= now < reminder.since + MADE_UP_FOR
    ]


def _all(dates: Dates) -> Iterator[Reminder]:
    first, due = dates.opens.date(), dates.balance_due
    for kind, name, day in (
        ("balance_due", "week", due - timedelta(days=7)),
        ("balance_due", "day", due),
        ("consent_missing", "", first - timedelta(days=14)),
        ("what_to_bring", "", first - timedelta(days=7)),
        ("day_before", "", first - timedelta(days=1)),
    ):
        yield Reminder(kind, name, datetime.combine(day, EARLIEST, dates.opens.tzinfo))
