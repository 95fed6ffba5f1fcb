"""When the sun is up over the house, as far as anybody has said where the house stands.

Sunrise and sunset are those of an almanac: the upper edge of the sun on a flat horizon.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from astral import Observer
from astral.sun import elevation, noon, sunrise, sunset
from django.conf import settings

from lessons.queries.slots import Stretch
from school.models import School


def dark_slots(
    school: School, slots: Mapping[tuple[int, int], Stretch]
) -> frozenset[tuple[int, int]]:
    """The slots that do not lie wholly between sunrise and sunset; none where no place is set."""
    if settings.HOUSE_LATITUDE is None or settings.HOUSE_LONGITUDE is None:
        return frozenset()
    house = Observer(settings.HOUSE_LATITUDE, settings.HOUSE_LONGITUDE)
    light = [daylight(house, day, school.zone) for day in school.dates]
    return frozenset(
        when
        for when, slot in slots.items()
        if (up := light[when[0]]) is None or not up.covers(slot)
    )


def daylight(place: Observer, day: date, zone: ZoneInfo) -> Stretch | None:
    """From sunrise to sunset of a local date; None if the sun stays down all day.

    Where it does not set, the day lasts from the noon before to the noon after.
    """
    try:
        return Stretch(sunrise(place, day, zone), sunset(place, day, zone))
    except ValueError:  # the sun does not cross the horizon on that day
        middle: datetime = noon(place, day, zone)
        if elevation(place, middle) < 0:
            return None
        return Stretch(middle - timedelta(days=1), middle + timedelta(days=1))
