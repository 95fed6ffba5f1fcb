"""Which reminders are due when, around the days on which clocks change too."""

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from school.reminders import Dates, due_reminders

LONDON, HONOLULU, AUCKLAND = map(
    ZoneInfo, ("Europe/London", "Pacific/Honolulu", "Pacific/Auckland")
)


def due(opens: str, balance_due: str, now: str, zone: ZoneInfo = LONDON) -> list[str]:
    """What is due at `now`, a clock time of `zone` unless it says its own."""
    first = datetime.combine(date.fromisoformat(opens), time(9), zone)
    moment = datetime.fromisoformat(now)
    moment = moment if moment.tzinfo else moment.replace(tzinfo=zone)
    found = due_reminders(Dates(first, date.fromisoformat(balance_due)), moment)
    return [":".join(filter(None, (one.kind, one.name))) for one in found]


@pytest.mark.parametrize(
    ("now", "expected"),
    [
        ("2027-04-02T07:59", []),
        ("2027-04-02T08:00", ["balance_due:week"]),
        ("2027-04-04T21:00", ["balance_due:week"]),  # nobody was there for two days
        ("2027-04-04T07:00", []),  # made up for, but not by night
        ("2027-04-05T08:00", []),
        ("2027-04-09T08:00", ["balance_due:day"]),
        ("2027-04-23T08:00", ["consent_missing"]),
        ("2027-04-30T08:00", ["what_to_bring"]),
        ("2027-05-06T07:59", []),
        ("2027-05-06T08:00", ["day_before"]),
        ("2027-05-07T08:59", ["day_before"]),
        ("2027-05-07T09:00", []),
        ("2027-05-08T08:00", []),
    ],
)
def test_each_on_its_day_from_eight_o_clock(now: str, expected: list[str]) -> None:
    assert due("2027-05-07", "2027-04-09", now) == expected


def test_a_balance_due_late_meets_what_to_bring() -> None:
    assert due("2027-05-07", "2027-05-07", "2027-04-30T08:00") == [
        "balance_due:week",
        "what_to_bring",
    ]


@pytest.mark.parametrize(
    ("opens", "just_before", "at_eight"),
    [
        # Clocks go forward on 28 March 2027 and back on 31 October 2027: eight is another hour.
        ("2027-03-28", "2027-03-27T07:59+00:00", "2027-03-27T08:00+00:00"),
        ("2027-03-29", "2027-03-28T06:59+00:00", "2027-03-28T07:00+00:00"),
        ("2027-10-31", "2027-10-30T06:59+00:00", "2027-10-30T07:00+00:00"),
        ("2027-11-01", "2027-10-31T07:59+00:00", "2027-10-31T08:00+00:00"),
    ],
)
def test_eight_is_told_by_the_clock_on_the_wall(
    opens: str, just_before: str, at_eight: str
) -> None:
    assert due(opens, "2027-01-01", just_before) == []
    assert due(opens, "2027-01-01", at_eight) == ["day_before"]


@pytest.mark.parametrize(
    ("zone", "at_eight"),
    [(HONOLULU, "2027-05-06T18:00+00:00"), (AUCKLAND, "2027-05-05T20:00+00:00")],
)
def test_the_day_is_the_schools_own(zone: ZoneInfo, at_eight: str) -> None:
    assert due("2027-05-07", "2027-01-01", at_eight, zone) == ["day_before"]
