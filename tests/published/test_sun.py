"""Sunrise and sunset against an almanac and a second set of equations."""

import json
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from astral import Observer

from lessons.queries.daylight import daylight

PUBLISHED = json.loads((Path(__file__).parent / "sun.json").read_text())
TOLERANCE = timedelta(minutes=2)


def at(day: str, clock: str, zone: str) -> datetime:
    return datetime.combine(date.fromisoformat(day), time.fromisoformat(clock), ZoneInfo(zone))


@pytest.mark.parametrize("row", PUBLISHED["rows"], ids=lambda row: f"{row[0]} {row[4]}")
def test_the_sun_rises_and_sets_by_the_local_clocks(row: list[Any]) -> None:
    _, latitude, longitude, zone, day, rises, sets = row
    place = Observer(latitude, longitude)
    light = daylight(place, date.fromisoformat(day), ZoneInfo(zone))
    assert light
    assert abs(light.starts_at - at(day, rises, zone)) <= TOLERANCE
    assert abs(light.ends_at - at(day, sets, zone)) <= TOLERANCE


def test_sunrise_is_that_of_the_almanac() -> None:
    told = PUBLISHED["almanac"]
    place, zone = Observer(told["latitude"], told["longitude"]), told["time_zone"]
    light = daylight(place, date.fromisoformat(told["date"]), ZoneInfo(zone))
    assert light
    assert abs(light.starts_at - at(told["date"], told["sunrise"], zone)) <= TOLERANCE
