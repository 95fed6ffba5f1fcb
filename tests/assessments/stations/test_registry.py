"""A station is found because its module is there, and for no other reason."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from assessments import stations
from assessments.stations import registry

DROPPED_IN = """
from assessments.stations.base import Computed, StationForm, StationModule
STATION = StationModule("{kind}", "Tempo", StationForm, (), lambda payload, context: Computed())
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setattr(stations, "__path__", [*stations.__path__, str(tmp_path)])
    registry.cache_clear()
    yield tmp_path
    registry.cache_clear()


def test_every_module_with_a_station_is_found() -> None:
    modules = Path(stations.__path__[0]).glob("*.py")
    assert len(registry()) == sum("\nSTATION = " in module.read_text() for module in modules)
    assert {"impact", "ball_flight", "putting", "short_game", "bunker"} <= set(registry())


def test_a_module_dropped_in_is_found(folder: Path) -> None:
    (folder / "tempo.py").write_text(DROPPED_IN.format(kind="tempo"))
    assert registry()["tempo"].title == "Tempo"


def test_a_module_without_a_station_is_passed_over(folder: Path) -> None:
    found = set(registry())
    registry.cache_clear()
    (folder / "helper_of_nobody.py").write_text("ANSWER = 42")
    assert set(registry()) == found


def test_two_of_one_kind_are_a_mistake(folder: Path) -> None:
    (folder / "putting_again.py").write_text(DROPPED_IN.format(kind="putting"))
    with pytest.raises(ValueError, match="Two stations"):
        registry()


def test_one_measure_is_primary_where_there_are_any() -> None:
    for kind, station in registry().items():
        primary = [measure.name for measure in station.measures if measure.primary]
        assert len(primary) == bool(station.measures), kind


def test_in_a_sentence_a_measure_does_not_say_what_its_plus_means() -> None:
    kinds = {kind.name: kind for station in registry().values() for kind in station.measures}
    assert kinds["side_m"].bare_label == "side"
    assert kinds["carry_m"].bare_label == kinds["carry_m"].label
    assert not any("+" in kind.bare_label for kind in kinds.values())
