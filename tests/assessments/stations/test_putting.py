from typing import Any

import pytest

from assessments.errors import EntryRefused
from assessments.stations.base import Context, MeasureValue
from assessments.stations.putting import STATION, PuttingForm
from tests.assessments.factories import putts


def measured(payload: dict[str, Any]) -> dict[str, MeasureValue]:
    return {value.name: value for value in STATION.compute(payload, Context()).measures}


def refusal(payload: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(EntryRefused) as refused:
        STATION.compute(payload, Context())
    return refused.value.words


def test_a_make_rate_is_a_share_with_wilsons_interval() -> None:
    rate = measured(putts(9, 5, 3))["make_rate_2m"]
    assert (rate.value, rate.unit) == (50.0, "%")
    assert (rate.low, rate.high) == pytest.approx((23.66, 76.34), abs=0.01)
    assert rate.source == "5 of 10 holed; Wilson's interval"


def test_all_holed_is_not_certain() -> None:
    rate = measured(putts(10))["make_rate_1m"]
    assert rate.low == pytest.approx(72.2, abs=0.1)
    assert rate.standard_uncertainty is not None
    assert rate.standard_uncertainty > 0


def test_a_distance_may_be_left_out() -> None:
    assert set(measured({"putts": putts(9, 5, 3)["putts"][1:]})) == {"make_rate_2m", "make_rate_3m"}


def test_more_holed_than_played_names_the_field() -> None:
    assert "11 cannot have been holed" in refusal(putts(9, 11))["holed_2"]


def test_no_balls_played_names_the_field() -> None:
    assert "balls_1" in refusal(putts(0, balls=0))


@pytest.mark.parametrize(
    "payload",
    [
        {},
        {"putts": []},
        {"putts": [9]},
        {"putts": putts(9)["putts"] * 2},
        {"putts": [{"distance_m": 7, "holed": 1, "balls": 2}]},
        {"putts": [{"distance_m": 1, "holed": 1.5, "balls": 2}]},
        {"putts": [{"distance_m": 1, "holed": True, "balls": 2}]},
        {"putts": [{"distance_m": 1, "balls": 2}]},
    ],
)
def test_anything_else_is_refused_in_words(payload: dict[str, Any]) -> None:
    assert refusal(payload)["putts"].endswith(".")


def test_what_is_typed_becomes_a_payload_and_comes_back() -> None:
    typed = {"entry_id": "3f0f2b1a-0000-4000-8000-000000000001", "balls_1": 10, "balls_2": 10}
    form = PuttingForm(typed | {"balls_3": 5, "holed_1": 9, "holed_3": 0})
    assert form.is_valid(), form.errors
    payload = form.payload()
    assert [row["holed"] for row in payload["putts"]] == [9, 0]
    assert PuttingForm.initial_from(payload) == {
        "holed_1": 9,
        "balls_1": 10,
        "holed_3": 0,
        "balls_3": 5,
    }
