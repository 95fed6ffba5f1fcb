from typing import Any

import pytest
from django.template.loader import render_to_string

from assessments.errors import EntryRefused
from assessments.stations.base import Context, MeasureValue
from assessments.stations.putting import STATION
from assessments.stations.putting_form import PuttingForm
from assessments.stations.putting_parts import gate_angle_deg
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


GATE = {"width_mm": 60, "distance_m": 0.5, "through": 8, "balls": 10}
CONTROL = [{"distance_m": 6, "ends_m": [0.4, -0.8, 0.0, 1.2]}]
PLAYED_OUT = [{"distance_m": 6.0, "putts": [2, 1, 2]}, {"distance_m": 9, "putts": [3, 2]}]
EVERYTHING = putts(9, 5, 3) | {"gate": GATE, "control": CONTROL, "played_out": PLAYED_OUT}
TYPED = {
    "entry_id": "3f0f2b1a-0000-4000-8000-000000000001",
    "balls_1": 10,
    "balls_2": 10,
    "balls_3": 10,
}


def typed(**more: Any) -> PuttingForm:
    form = PuttingForm(TYPED | more)
    assert form.is_valid(), form.errors
    return form


def refused_beside(**more: Any) -> dict[str, Any]:
    """The errors of a form whose payload is refused, by field."""
    form = typed(**more)
    form.show_refusal(refusal(form.payload()))
    return form.errors


@pytest.mark.parametrize("part", [{"gate": GATE}, {"control": CONTROL}, {"played_out": PLAYED_OUT}])
def test_any_part_may_stand_alone(part: dict[str, Any]) -> None:
    assert measured(part)


def test_every_measure_that_is_promised_can_be_measured() -> None:
    ends = [{"distance_m": d, "ends_m": [0.1, 0.3]} for d in (3, 6, 9)]
    assert set(measured(EVERYTHING | {"control": ends})) == {kind.name for kind in STATION.measures}


def test_a_gate_rate_says_what_its_gate_allows() -> None:
    rate = measured({"gate": GATE})["gate_rate"]
    assert (rate.value, rate.low, rate.high) == pytest.approx((80, 49.0, 94.3), abs=0.1)
    assert rate.source == "8 of 10 through a gate that allows ±1.0°; Wilson's interval"


def test_the_angle_of_a_gate_is_that_of_the_triangle() -> None:
    # half of 77.34 mm beyond the ball, a metre away: tan 2.2147° = 0.03867
    assert gate_angle_deg(120.01, 1.0) == pytest.approx(2.2146, abs=0.001)


@pytest.mark.parametrize(
    ("changed", "place", "words"),
    [
        ({"width_mm": 42}, "gate.width_mm", "wider than the ball"),
        ({"distance_m": None}, "gate.distance_m", "0.1 to 3 m"),
        ({"through": 11}, "gate.through", "11 cannot have gone through"),
        ({"through": None}, "gate.through", "missing"),
        ({"balls": 0}, "gate.balls", "1 to 50 balls"),
    ],
)
def test_a_gate_that_cannot_be_names_the_field(
    changed: dict[str, Any], place: str, words: str
) -> None:
    assert words in refusal({"gate": GATE | changed})[place]


def test_distance_control_gives_the_mean_end_and_its_spread() -> None:
    found = measured({"control": CONTROL})
    assert found["distance_bias_6m"].value == pytest.approx(0.2)
    assert found["distance_spread_6m"].value == pytest.approx(0.8327, abs=0.0001)
    assert found["distance_spread_6m"].high == pytest.approx(3.105, abs=0.001)


@pytest.mark.parametrize(
    ("ends", "place"),
    [([0.4], "control.3"), ([0.4] * 11, "control.3"), ([0.4, -3.5], "control.3.1")],
)
def test_ends_that_cannot_be_name_the_ball(ends: list[float], place: str) -> None:
    assert set(refusal({"control": [{"distance_m": 3, "ends_m": ends}]})) == {place}


def test_strokes_gained_are_the_average_less_the_putts() -> None:
    gained = measured({"played_out": PLAYED_OUT})["putting_strokes_gained"]
    # 6 m are 19.685 ft: 1.87 - 0.026 × 0.315; 9 m are 29.528 ft: 1.87 + 0.0095 × 9.528
    assert gained.value == pytest.approx((3 * 1.86181 + 2 * 1.96051 - 10) / 5, abs=0.0001)
    assert "2003 to 2010" in gained.source
    assert gained.low is not None
    assert gained.low < gained.value


@pytest.mark.parametrize(
    ("row", "place"),
    [
        ({"distance_m": 0.5, "putts": [1, 1]}, "distance_m"),
        ({"distance_m": 19, "putts": [2, 2]}, "distance_m"),
        ({"distance_m": 6, "putts": [2, 0]}, "putts"),
        ({"distance_m": 6, "putts": [2]}, "putts"),
        ({"distance_m": 6, "putts": "22"}, "putts"),
    ],
)
def test_balls_played_out_that_cannot_be_name_the_field(row: dict[str, Any], place: str) -> None:
    assert set(refusal({"played_out": [row]})) == {f"played_out.0.{place}"}


@pytest.mark.parametrize(
    ("part", "place"),
    [
        ({"gate": [1]}, "gate"),
        ({"control": "far"}, "control"),
        ({"control": CONTROL * 2}, "control"),
        ({"control": [{"distance_m": [6], "ends_m": [0, 0]}]}, "control"),
        ({"played_out": PLAYED_OUT * 2}, "played_out"),
        ({"speed": 11}, "putts"),
    ],
)
def test_a_part_that_is_none_is_refused_in_words(part: dict[str, Any], place: str) -> None:
    assert refusal(part)[place].endswith(".")


def test_eighteen_first_putts_cost_eighteen_times_what_one_loses() -> None:
    assert STATION.costs
    gained = measured({"played_out": PLAYED_OUT})
    costs = STATION.costs(gained)
    assert costs == {"putting_strokes_gained": -18 * gained["putting_strokes_gained"].value}
    assert STATION.costs(measured(putts(9))) == {}


@pytest.mark.parametrize("payload", [putts(9), EVERYTHING])
def test_what_is_typed_becomes_a_payload_and_comes_back(payload: dict[str, Any]) -> None:
    assert typed(**PuttingForm.initial_from(payload)).payload() == payload


def test_a_ball_that_is_wrong_is_named_though_others_are_empty() -> None:
    errors = refused_beside(end_6_2="0.5", end_6_5="-7")
    assert set(errors) == {"end_6_5"}


def test_one_ball_alone_is_named_where_it_was_typed() -> None:
    assert set(refused_beside(end_9_4="1")) == {"end_9_4"}


def test_a_start_that_is_wrong_is_named_though_others_are_empty() -> None:
    assert set(refused_beside(start_3="30", putts_3="22")) == {"start_3"}


def test_putts_are_one_digit_a_ball() -> None:
    assert typed(start_1="6", putts_1="2 1,2").payload()["played_out"][0]["putts"] == [2, 1, 2]
    assert "one digit a ball" in PuttingForm(TYPED | {"putts_1": "2x"}).errors["putts_1"][0]


def test_the_page_opens_the_parts_that_hold_something() -> None:
    form = PuttingForm(initial=PuttingForm.initial_from({"gate": GATE}))
    assert (form.has_gate(), form.has_control(), form.has_played_out()) == (True, False, False)
    page = render_to_string(STATION.page_template, {"form": form})
    assert page.count('<details class="part" open>') == 2
    assert "not this golfer’s target" in page


def test_the_details_say_the_gate_and_the_baseline_with_its_date() -> None:
    assert STATION.details
    assert STATION.detail_template
    details = STATION.details(EVERYTHING)
    page = " ".join(render_to_string(STATION.detail_template, {"details": details}).split())
    assert "starts up to 1.0° off line" in page
    assert "+0.4, −0.8, 0, +1.2" in page
    assert "2, 1, 2 putts; tour players 1.86" in page
    assert "2003 to 2010" in page
