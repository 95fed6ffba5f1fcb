"""A school's days as a calendar file, RFC 5545. Pure.

One event a day, in the wall-clock time of the school's zone, which the file describes itself
from the transitions around the days. It refuses nothing: any text is made safe for a line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Protocol
from zoneinfo import ZoneInfo

PRODUCT = "-//Marram//Golf school//EN"
LINE_OCTETS = 75  # RFC 5545, 3.1
LOOK_BACK = timedelta(days=400)  # a zone that changes its clocks does so every year
STEP = timedelta(days=1)
# What a text must not hold (RFC 5545, 3.3.11), and what some readers take for the end of a line.
LINE_ENDS = dict.fromkeys(map(ord, "\r\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029"), "\n")
CONTROLS = {code: None for code in (*range(0x20), *range(0x7F, 0xA0)) if code not in (9, 10)}


class Taught(Protocol):
    """What must be known of a school."""

    @property
    def name(self) -> str: ...
    @property
    def venue(self) -> str: ...
    @property
    def slot_min(self) -> int: ...
    @property
    def slots_per_day(self) -> int: ...
    @property
    def dates(self) -> list[date]: ...
    @property
    def zone(self) -> ZoneInfo: ...
    def slot_instant(self, day: int, slot: int) -> datetime: ...


@dataclass(frozen=True)
class Event:
    """One stretch of time. `uid` stays the same in every later file about the same stretch."""

    uid: str
    starts_at: datetime
    ends_at: datetime
    summary: str
    location: str = ""
    description: str = ""


def calendar_of(
    school: Taught, *, key: str, stamp: datetime, sequence: int = 0, cancelled: bool = False
) -> str:
    """The school's days, from the opening of each to the end of its last slot.

    Parameters
    ----------
    school
        In whose zone the times are.
    key
        What the identifiers are made from, unique in the world: `enrolment-12@host`.
    stamp
        When the file is made, with a zone.
    sequence
        Higher than in the file before about the same key.
    cancelled
        Whether the events are called off.
    """
    name, _, host = key.partition("@")
    last = school.slots_per_day - 1
    events = [
        Event(
            uid=f"{name}-{day.isoformat()}@{host}",
            starts_at=school.slot_instant(number, 0),
            ends_at=school.slot_instant(number, last) + timedelta(minutes=school.slot_min),
            summary=school.name,
            location=school.venue,
            description=f"Day {number + 1} of {len(school.dates)}",
        )
        for number, day in enumerate(school.dates)
    ]
    return calendar_file(
        events, zone=school.zone, stamp=stamp, sequence=sequence, cancelled=cancelled
    )


def calendar_file(
    events: Sequence[Event],
    *,
    zone: ZoneInfo,
    stamp: datetime,
    sequence: int = 0,
    cancelled: bool = False,
) -> str:
    """The events as the text of a file, with CRLF at the end of each line.

    Raises
    ------
    ValueError
        If there is no event: a calendar must have one.
    """
    if not events:
        raise ValueError("A calendar file needs an event.")
    status = "CANCELLED" if cancelled else "CONFIRMED"
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN"]
    lines.append(f"METHOD:{'CANCEL' if cancelled else 'PUBLISH'}")
    first = min(event.starts_at for event in events)
    last = max(event.ends_at for event in events)
    lines += _zone_lines(zone, first, last)
    for event in events:
        lines += _event_lines(event, zone, stamp)
        lines += [f"SEQUENCE:{sequence}", f"STATUS:{status}", "END:VEVENT"]
    lines.append("END:VCALENDAR")
    return "".join(f"{fold(line)}\r\n" for line in lines)


def escape(text: str) -> str:
    """`text` as a TEXT value (RFC 5545, 3.3.11): ends of lines as `\\n`, controls left out."""
    plain = text.replace("\r\n", "\n").translate(LINE_ENDS).translate(CONTROLS)
    for mark in ("\\", ";", ","):
        plain = plain.replace(mark, f"\\{mark}")
    return plain.replace("\n", "\\n")


def fold(line: str) -> str:
    """`line` cut into pieces of at most 75 octets, never within a character (RFC 5545, 3.1)."""
    pieces, piece, octets = [], "", 0
    for character in line:
        size = len(character.encode("utf-8"))
        if octets + size > LINE_OCTETS:
            pieces.append(piece)
            piece, octets = " ", 1
        piece += character
        octets += size
    return "\r\n".join([*pieces, piece])


def _event_lines(event: Event, zone: ZoneInfo, stamp: datetime) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{escape(event.uid)}"
    yield f"DTSTAMP:{stamp.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    yield f"DTSTART;TZID={zone.key}:{_local(event.starts_at.astimezone(zone))}"
    yield f"DTEND;TZID={zone.key}:{_local(event.ends_at.astimezone(zone))}"
    for name, text in (
        ("SUMMARY", event.summary),
        ("LOCATION", event.location),
        ("DESCRIPTION", event.description),
    ):
        if text:
            yield f"{name}:{escape(text)}"


def _zone_lines(zone: ZoneInfo, first: datetime, last: datetime) -> Iterator[str]:
    """The zone from its last change before `first` to its last change before `last`.

    1. Step back through 400 days: a change found there opens the description; without one the
       offset has been the same for as long as matters.
    2. Each change is an observance of its own, told in the clock time that ends with it.
    """
    yield "BEGIN:VTIMEZONE"
    yield f"TZID:{zone.key}"
    changes = list(_changes(zone, first - LOOK_BACK, last + STEP))
    before = [change for change in changes if change <= first]
    if before:
        changes = changes[changes.index(before[-1]) :]
    else:
        offset = first.astimezone(zone).utcoffset() or timedelta()
        yield from _observance(first.astimezone(zone), datetime(1970, 1, 1), offset)  # noqa: DTZ001
    for change in changes:
        old = (change - timedelta(seconds=1)).astimezone(zone).utcoffset() or timedelta()
        yield from _observance(change.astimezone(zone), change.replace(tzinfo=None) + old, old)
    yield "END:VTIMEZONE"


def _observance(since: datetime, onset: datetime, old: timedelta) -> Iterator[str]:
    """One offset of the zone, which holds at `since`; `onset` is told in the `old` offset."""
    kind = "DAYLIGHT" if since.dst() else "STANDARD"
    yield f"BEGIN:{kind}"
    yield f"DTSTART:{_local(onset)}"
    yield f"TZOFFSETFROM:{_offset(old)}"
    yield f"TZOFFSETTO:{_offset(since.utcoffset() or timedelta())}"
    yield f"TZNAME:{escape(since.tzname() or 'local')}"
    yield f"END:{kind}"


def _changes(zone: ZoneInfo, start: datetime, end: datetime) -> Iterable[datetime]:
    """The instants, in UTC, at which the zone's offset changes between `start` and `end`."""
    low = start.astimezone(UTC).replace(microsecond=0)
    stop = end.astimezone(UTC)
    while low < stop:
        high = low + STEP
        if _offset_at(zone, low) != _offset_at(zone, high):
            yield _change_between(zone, low, high)
        low = high


def _change_between(zone: ZoneInfo, low: datetime, high: datetime) -> datetime:
    """The first second of the new offset, by halving."""
    before = _offset_at(zone, low)
    while high - low > timedelta(seconds=1):
        middle = low + (high - low) // 2
        middle = middle.replace(microsecond=0)
        if _offset_at(zone, middle) == before:
            low = middle
        else:
            high = middle
    return high


def _offset_at(zone: ZoneInfo, instant: datetime) -> timedelta | None:
    return instant.astimezone(zone).utcoffset()


def _local(moment: datetime) -> str:
    return f"{moment:%Y%m%dT%H%M%S}"


def _offset(offset: timedelta) -> str:
    """+HHMM, with seconds where there are any (RFC 5545, 3.3.14)."""
    total = int(offset.total_seconds())
    sign, total = ("-", -total) if total < 0 else ("+", total)
    hours, rest = divmod(total, 3600)
    minutes, seconds = divmod(rest, 60)
    return f"{sign}{hours:02}{minutes:02}" + (f"{seconds:02}" if seconds else "")
