"""Which slots of a school are dark."""

from datetime import date, time

import pytest
from pytest_django.fixtures import Settings

from lessons.queries.daylight import dark_slots
from lessons.queries.slots import all_slots
from school.models import School
from tests.factories import SchoolFactory

pytestmark = pytest.mark.django_db


def dark(school: School) -> set[tuple[int, int]]:
    return set(dark_slots(school, all_slots(school)))


@pytest.fixture
def by_the_sea(settings: Settings) -> None:
    settings.HOUSE_LATITUDE, settings.HOUSE_LONGITUDE = 56.34, -2.80


def winter_school(**fields: object) -> School:
    """Slots of 45 minutes from 9:00, the last from 15:15 to 16:00."""
    return SchoolFactory.create(starts_on=date(2026, 12, 20), **fields)


def test_a_house_that_says_not_where_it_stands_knows_no_sunset() -> None:
    assert dark(winter_school()) == set()


@pytest.mark.usefixtures("by_the_sea")
def test_a_slot_that_ends_after_sunset_is_dark() -> None:
    """The sun sets at 15:35."""
    assert dark(winter_school()) == {(day, 7) for day in range(3)}


@pytest.mark.usefixtures("by_the_sea")
def test_a_slot_that_begins_before_sunrise_is_dark() -> None:
    """The sun rises at 8:43, in the middle of the first slot."""
    found = dark(winter_school(day_opens=time(8, 15)))
    assert found == {(day, 0) for day in range(3)}


@pytest.mark.usefixtures("by_the_sea")
def test_the_clocks_change_and_the_sun_does_not() -> None:
    """The last slot ends at 17:15: by daylight on Saturday, and on Sunday, when the clocks have
    gone back an hour, in the dark."""
    school = SchoolFactory.create(starts_on=date(2026, 10, 24), day_opens=time(10, 15))
    assert dark(school) == {(1, 7), (2, 7)}


@pytest.mark.parametrize(("starts_on", "count"), [(date(2026, 6, 20), 0), (date(2026, 12, 20), 24)])
def test_beyond_the_polar_circle_it_is_light_or_dark_all_day(
    settings: Settings, starts_on: date, count: int
) -> None:
    settings.HOUSE_LATITUDE, settings.HOUSE_LONGITUDE = 71.0, 25.8
    assert len(dark(SchoolFactory.create(starts_on=starts_on, time_zone="Europe/Oslo"))) == count
