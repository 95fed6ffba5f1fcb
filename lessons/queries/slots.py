"""The slots of a school as instants."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from lessons.models import Hours, Session, Trouble
from lessons.models.timetable import QUARTER
from school.models import School


@dataclass(frozen=True)
class Stretch:
    """From one instant up to, and without, another."""

    starts_at: datetime
    ends_at: datetime

    @classmethod
    def of(cls, row: Hours | Session | Trouble) -> Stretch:
        return cls(row.starts_at, row.ends_at)

    @classmethod
    def quarter(cls, starts_at: datetime) -> Stretch:
        """The quarter hour that a hold takes."""
        return cls(starts_at, starts_at + QUARTER)

    def meets(self, other: Stretch) -> bool:
        return self.starts_at < other.ends_at and other.starts_at < self.ends_at

    def covers(self, other: Stretch) -> bool:
        return self.starts_at <= other.starts_at and other.ends_at <= self.ends_at


def span(school: School, day: int, slot: int, slots: int = 1) -> Stretch:
    """When a visit of so many slots runs that begins in `slot` of `day`, both counted from 0.

    Lengths are added in UTC: adding them to local times would be an hour out on a day when the
    clocks change.
    """
    starts_at = school.slot_instant(day, slot).astimezone(UTC)
    last = school.slot_instant(day, slot + slots - 1).astimezone(UTC)
    return Stretch(starts_at, last + timedelta(minutes=school.slot_min))


def bay_time(session: Session) -> Stretch:
    """While the session has its bay: the squad may move on before it ends."""
    slots, ends_at = session.visit.bay_slots, session.ends_at
    if slots is not None:
        leaves_at = session.starts_at + slots * timedelta(minutes=session.plan.school.slot_min)
        ends_at = min(ends_at, leaves_at)
    return Stretch(session.starts_at, ends_at)


def all_slots(school: School) -> dict[tuple[int, int], Stretch]:
    """Every (day, slot) of the school, in order of time."""
    return {
        (day, slot): span(school, day, slot)
        for day in range(len(school.dates))
        for slot in range(school.slots_per_day)
    }


def whole_days(first: date, last: date, zone: ZoneInfo) -> Stretch:
    """From the midnight that begins `first` to the one that ends `last`."""
    return Stretch(
        datetime.combine(first, time(), zone), datetime.combine(last + timedelta(1), time(), zone)
    )


def joined(stretches: Iterable[Stretch]) -> list[Stretch]:
    """The same time as fewest stretches: those that touch or overlap become one."""
    found: list[Stretch] = []
    for stretch in sorted(stretches, key=lambda each: each.starts_at):
        if found and stretch.starts_at <= found[-1].ends_at:
            ends_at = max(found[-1].ends_at, stretch.ends_at)
            found[-1] = Stretch(found[-1].starts_at, ends_at)
        else:
            found.append(stretch)
    return found
