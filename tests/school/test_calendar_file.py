"""The calendar file, read back by a parser that knows nothing of ours."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar, Event
from icalendar.cal import Timezone

from school.calendar_file import Event as Stretch
from school.calendar_file import calendar_file, calendar_of, escape, fold
from school.models import School

STAMP = datetime(2027, 1, 2, 3, 4, 5, tzinfo=UTC)
LONDON = ZoneInfo("Europe/London")
ZONES = [
    "Europe/London",
    "Europe/Dublin",
    "America/New_York",
    "Asia/Kolkata",
    "Australia/Lord_Howe",
    "Africa/Casablanca",
    "Pacific/Auckland",
    "UTC",
]
# What a line of a form may hold; the parser keeps tabs, and so do we.
words = st.text(st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), min_size=1).filter(
    lambda text: text == text.strip()
)


def school(**columns: object) -> School:
    given = {"name": "Spring school", "venue": "Tarnholm Sands", "day_opens": time(9)}
    dates = {"starts_on": date(2027, 5, 7), "ends_on": date(2027, 5, 9)}
    return School(**{**given, **dates, "time_zone": "Europe/London", **columns})


def file_of(one: School, **more: bool | int) -> str:
    return calendar_of(one, key="enrolment-12@golf.example.org", stamp=STAMP, **more)  # type: ignore[arg-type]


def events(text: str) -> list[Event]:
    return [one for one in Calendar.from_ical(text).walk("VEVENT") if isinstance(one, Event)]


def test_a_day_lasts_from_opening_to_the_end_of_the_last_slot() -> None:
    first, *_, last = events(file_of(school()))
    assert first.decoded("DTSTART") == datetime(2027, 5, 7, 9, tzinfo=LONDON)
    assert first.decoded("DTEND") == datetime(2027, 5, 7, 16, tzinfo=LONDON)
    assert last.decoded("DTSTART") == datetime(2027, 5, 9, 9, tzinfo=LONDON)
    assert first["LOCATION"] == "Tarnholm Sands"


def test_the_same_day_keeps_its_uid() -> None:
    uids = [[event["UID"] for event in events(file_of(school()))] for _ in range(2)]
    assert uids[0] == uids[1]
    assert len(set(uids[0])) == 3
    assert uids[0][0] == "enrolment-12-2027-05-07@golf.example.org"


def test_calling_off_takes_the_same_events_back() -> None:
    text = file_of(school(), sequence=1, cancelled=True)
    assert Calendar.from_ical(text)["METHOD"] == "CANCEL"
    assert {(event["STATUS"], event["SEQUENCE"]) for event in events(text)} == {("CANCELLED", 1)}


def test_what_the_standard_demands_is_there() -> None:
    calendar = Calendar.from_ical(file_of(school()))
    assert calendar["VERSION"] == "2.0"
    assert calendar["PRODID"]
    assert [len(event.errors) for event in calendar.walk()] == [0] * len(calendar.walk())
    assert events(file_of(school()))[0].decoded("DTSTAMP") == STAMP


def test_a_file_without_an_event_is_refused() -> None:
    with pytest.raises(ValueError, match="needs an event"):
        calendar_file([], zone=LONDON, stamp=STAMP)


@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize(
    "first", [date(2027, 1, 15), date(2027, 3, 12), date(2027, 3, 27), date(2027, 10, 30)]
)
def test_the_file_alone_tells_the_right_instants(zone: str, first: date) -> None:
    """Its own description of the zone gives each day the offset that the zone has."""
    one = school(time_zone=zone, starts_on=first, ends_on=first + timedelta(days=4))
    calendar = Calendar.from_ical(file_of(one))
    (described,) = calendar.walk("VTIMEZONE")
    assert isinstance(described, Timezone)
    told = described.to_tz(lookup_tzid=False)
    for day in range(5):
        ours = one.slot_instant(day, 0)
        theirs = ours.replace(tzinfo=None).replace(tzinfo=told)
        assert theirs.utcoffset() == ours.utcoffset()


def test_lines_end_with_crlf_and_hold_75_octets_at_most() -> None:
    text = file_of(school(name="Łukasz Żółć 🏌️ " * 20))
    lines = text.split("\r\n")
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    assert max(len(line.encode()) for line in lines) == 75


@pytest.mark.parametrize(
    ("plain", "escaped"),
    [
        ("a, b; c", r"a\, b\; c"),
        ("back\\slash", r"back\\slash"),
        ("one\r\ntwo\rthree\nfour", r"one\ntwo\nthree\nfour"),
        ("bell\x07 and\u2028line", r"bell and\nline"),
        ("Łukasz 🏌️", "Łukasz 🏌️"),
    ],
)
def test_text_is_made_safe(plain: str, escaped: str) -> None:
    assert escape(plain) == escaped


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=300))
def test_folding_loses_nothing_and_cuts_no_character(line: str) -> None:
    folded = fold(line)
    assert folded.replace("\r\n ", "") == line
    for piece in folded.split("\r\n"):
        assert len(piece.encode()) <= 75


@settings(max_examples=60, deadline=None)
@given(name=words, venue=words, day=st.dates(date(2020, 1, 1), date(2037, 1, 1)))
def test_what_is_written_is_read_back(name: str, venue: str, day: date) -> None:
    one = school(name=name, venue=venue, starts_on=day, ends_on=day)
    (event,) = events(file_of(one))
    assert (event["SUMMARY"], event["LOCATION"]) == (name, venue)
    assert event.decoded("DTSTART") == one.slot_instant(0, 0)


def test_names_with_every_kind_of_letter_survive() -> None:
    name = "Łukasz Żółć, 🏌️‍♀️; \\ „Sandkuhle“ 日本"
    stretch = Stretch("u@h", STAMP, STAMP + timedelta(hours=1), name, description="a\nb")
    (event,) = events(calendar_file([stretch], zone=LONDON, stamp=STAMP))
    assert (event["SUMMARY"], event["DESCRIPTION"]) == (name, "a\nb")
