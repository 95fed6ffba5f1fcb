"""What `manage.py check` says of this machine."""

import ctypes
from typing import NoReturn

import pytest
from pytest_django.fixtures import Settings

from school import checks


def test_a_machine_with_pango_has_nothing_to_hear() -> None:
    assert checks.text_layout() == []


def test_without_pango_one_line_says_how_to_install_it(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(name: str) -> NoReturn:
        raise OSError

    monkeypatch.setattr(ctypes, "CDLL", refuse)
    warning = checks.text_layout()[0]
    assert "pango" in warning.msg
    assert "apt install libpango-1.0-0" in str(warning.hint)
    assert "brew install pango" in str(warning.hint)
    assert not warning.is_serious()


def test_a_time_zone_that_is_none_stops_the_site(settings: Settings) -> None:
    assert checks.time_zone() == []
    settings.HOUSE_TIME_ZONE = "Europe/Nowhere"
    (found,) = checks.time_zone()
    assert (found.id, "Europe/Nowhere" in found.msg) == ("school.E002", True)


@pytest.mark.parametrize(
    ("latitude", "longitude", "said"),
    [
        (56.3, None, "Only one"),
        (None, -2.8, "Only one"),
        (91.0, 0.0, "no place on earth"),
        (56.3, 181.0, "no place on earth"),
        (float("nan"), 0.0, "no place on earth"),
    ],
)
def test_half_a_place_and_a_place_that_is_nowhere_stop_the_site(
    settings: Settings, latitude: float | None, longitude: float | None, said: str
) -> None:
    settings.HOUSE_LATITUDE, settings.HOUSE_LONGITUDE = latitude, longitude
    (found,) = checks.house_on_earth()
    assert (found.id, said in found.msg) == ("school.E003", True)


@pytest.mark.parametrize("place", [(None, None), (0.0, 0.0), (-90.0, 180.0)])
def test_a_place_on_earth_or_none_is_well(
    settings: Settings, place: tuple[float | None, float | None]
) -> None:
    settings.HOUSE_LATITUDE, settings.HOUSE_LONGITUDE = place
    assert checks.house_on_earth() == []
