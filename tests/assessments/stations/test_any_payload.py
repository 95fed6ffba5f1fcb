"""Whatever is sent as a payload is measured or refused in words; nothing breaks on it."""

from collections.abc import Mapping
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.errors import EntryRefused
from assessments.stations import bunker, putting, registry, short_game
from assessments.stations.base import Context, MeasureValue, StationModule
from tests.assessments.stations.test_full_payloads import FULL

Made = st.SearchStrategy[Any]
JUNK = (
    st.none()
    | st.integers(-3, 60)
    | st.floats()
    | st.sampled_from([True, "a", "6", [], {}, 10**400, -(10**400)])
)
METRES, BALLS, PUTTS = st.floats(0.7, 18), st.integers(6, 10), st.integers(1, 4)


def several(row: Made, key: str) -> Made:
    return st.lists(row, min_size=1, max_size=3, unique_by=lambda made: made[key])


def left(low: float = 0) -> Made:
    return st.lists(st.floats(low, 15), min_size=2, max_size=5)


def some(**parts: Made) -> Made:
    return st.fixed_dictionaries({}, optional=parts).filter(bool)


MADE = st.fixed_dictionaries(
    {"distance_m": st.integers(1, 3), "holed": st.integers(0, 6), "balls": BALLS}
)
CONTROL = st.fixed_dictionaries({"distance_m": st.sampled_from([3, 6, 9]), "ends_m": left(-3)})
START = st.fixed_dictionaries(
    {"distance_m": METRES, "putts": st.lists(PUTTS, min_size=2, max_size=6)}
)
GATE = {"width_mm": 60, "distance_m": 0.5, "through": 4, "balls": 8}
LENGTHS = [("chip", 10), ("pitch", 20), ("long_pitch", 40)]
TASK = st.builds(
    lambda task, left_m: {"task": task[0], "length_m": task[1], "left_m": left_m},
    st.sampled_from(LENGTHS),
    left(),
)
PUTTING = some(
    putts=several(MADE, "distance_m"),
    gate=st.just(GATE),
    control=several(CONTROL, "distance_m"),
    played_out=several(START, "distance_m"),
)
SHORT_GAME = some(tasks=several(TASK, "task"), up_and_down=st.just({"tries": 8, "saved": 3}))
BUNKER = st.fixed_dictionaries(
    {"length_m": st.just(8), "left_m": left(), "stayed_in": st.integers(0, 5)}
)
STATIONS = pytest.mark.parametrize(
    ("station", "payloads"),
    [(putting.STATION, PUTTING), (short_game.STATION, SHORT_GAME), (bunker.STATION, BUNKER)],
    ids=["putting", "short game", "bunker"],
)


def outcome(
    station: StationModule, payload: dict[str, Any]
) -> tuple[tuple[MeasureValue, ...], Mapping[str, str]]:
    """The measures, or the words of the refusal."""
    try:
        return station.compute(payload, Context()).measures, {}
    except EntryRefused as refused:
        return (), refused.words


def spoil(payload: Any, data: st.DataObject) -> Any:
    """The same with one thing in it, large or small, replaced by junk."""
    if not isinstance(payload, dict | list) or not payload or data.draw(st.integers(0, 3)) == 0:
        return data.draw(JUNK)
    if isinstance(payload, dict):
        key = data.draw(st.sampled_from(sorted(payload)))
        return payload | {key: spoil(payload[key], data)}
    index = data.draw(st.integers(0, len(payload) - 1))
    return [*payload[:index], spoil(payload[index], data), *payload[index + 1 :]]


@STATIONS
@given(data=st.data())
def test_what_is_right_is_measured_and_told(
    station: StationModule, payloads: Made, data: st.DataObject
) -> None:
    payload = data.draw(payloads)
    measures, words = outcome(station, payload)
    assert not words
    assert station.details
    assert station.details(payload)
    for value in measures:
        low, high = (value.value if end is None else end for end in (value.low, value.high))
        assert low <= value.value <= high, value


WRITTEN: dict[str, dict[str, Any]] = {
    "ball_flight": FULL["ball_flight"] | {"entered_in": {"distance": "yd", "speed": "mph"}},
    "on_course": FULL["on_course"]
    | {
        "tees": {"course_rating": 71.4, "slope": 128, "par": 72},
        "handicap_index": 14.2,
        "low_index": 13.0,
        "record": [14.1, 12.0, 15.2],
        "allowance": "stroke_play",
    },
    "coach_paragraph": {"text": "More speed, and the same line. " * 5},
    "video_note": {"text": "The head stays where it was.", "tag": "turn"},
}


def test_every_station_without_a_still_is_spoilt() -> None:
    without = {kind for kind, station in registry().items() if not station.needs_still}
    assert FULL.keys() | WRITTEN.keys() == without


@pytest.mark.parametrize("kind", sorted(FULL.keys() | WRITTEN.keys()))
@given(data=st.data())
def test_what_is_spoilt_is_taken_and_shown_or_refused_in_words(
    kind: str, data: st.DataObject
) -> None:
    station = registry()[kind]
    payload = spoil(WRITTEN.get(kind) or FULL[kind], data)
    if not isinstance(payload, dict):
        return
    measures, words = outcome(station, payload)
    assert all(sentence.endswith(".") for sentence in words.values())
    if not words:
        assert bool(measures) == bool(station.measures)
        assert station.details is None or station.details(payload)
        assert station.form_class.initial_from(payload)


@pytest.mark.parametrize(
    ("kind", "changed", "place"),
    [
        ("ball_flight", {"shots": [{"carry_m": 10**400}]}, "shots.0.carry"),
        (
            "ball_flight",
            {"shots": [{"carry_m": 9, "ball_speed_mps": 10**400}]},
            "shots.0.ball_speed",
        ),
        ("ball_flight", {"entered_in": None}, "distance_unit"),
        ("ball_flight", {"entered_in": {"distance": "mph"}}, "distance_unit"),
        ("on_course", {"allowance": []}, "allowance"),
        ("video_note", {"tag": []}, "tag"),
    ],
)
def test_what_breaks_arithmetic_is_refused_where_it_stands(
    kind: str, changed: dict[str, Any], place: str
) -> None:
    _, words = outcome(registry()[kind], (WRITTEN.get(kind) or FULL[kind]) | changed)
    assert list(words) == [place]
