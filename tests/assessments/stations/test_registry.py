"""A station is found because its module is there, and for no other reason."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from assessments import stations
from assessments.stations import registry

DROPPED_IN = """
from assessments.stations.base import Computed, StationForm, StationModule
STATION = StationModule("{kind}", "Bunker", StationForm, (), lambda payload, context: Computed())
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setattr(stations, "__path__", [*stations.__path__, str(tmp_path)])
    registry.cache_clear()
    yield tmp_path
    registry.cache_clear()


def test_the_house_has_four() -> None:
    assert set(registry()) == {"impact", "ball_flight", "putting", "coach_paragraph"}


def test_a_module_dropped_in_is_found(folder: Path) -> None:
    (folder / "bunker.py").write_text(DROPPED_IN.format(kind="bunker"))
    assert registry()["bunker"].title == "Bunker"


def test_a_module_without_a_station_is_passed_over(folder: Path) -> None:
    (folder / "helper_of_nobody.py").write_text("ANSWER = 42")
    assert len(registry()) == 4


def test_two_of_one_kind_are_a_mistake(folder: Path) -> None:
    (folder / "putting_again.py").write_text(DROPPED_IN.format(kind="putting"))
    with pytest.raises(ValueError, match="Two stations"):
        registry()


@pytest.mark.parametrize("kind", ["impact", "ball_flight", "putting", "coach_paragraph"])
def test_one_measure_is_primary_where_there_are_any(kind: str) -> None:
    measures = registry()[kind].measures
    assert sum(measure.primary for measure in measures) == (1 if measures else 0)
