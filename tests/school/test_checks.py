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
