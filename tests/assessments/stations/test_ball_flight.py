import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.errors import EntryRefused
from assessments.stations.ball_flight import STATION
from assessments.stations.ball_flight_form import BallFlightForm
from assessments.stations.ball_flight_shots import QUANTITIES
from assessments.stations.base import Context, MeasureValue

SHOT = {
    "carry_m": 130.0,
    "side_m": -4.0,
    "ball_speed_mps": 46.0,
    "club_speed_mps": 34.0,
    "launch_deg": 17.0,
}
ENTRY = {"entry_id": "3f0f2b1a-0000-4000-8000-000000000001", "club": "7i"}
IMPERIAL = ENTRY | {"distance_unit": "yd", "speed_unit": "mph"}


def shots(*changes: dict[str, Any], club: str = "iron") -> dict[str, Any]:
    return {"club_class": club, "shots": [SHOT | change for change in changes]}


def measured(payload: dict[str, Any]) -> dict[str, MeasureValue]:
    return {value.name: value for value in STATION.compute(payload, Context()).measures}


def refusal(payload: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(EntryRefused) as refused:
        STATION.compute(payload, Context())
    return refused.value.words


def test_of_fewer_than_six_shots_the_typical_one_is_the_mean() -> None:
    carry = measured(shots({"carry_m": 120.0}, {"carry_m": 130.0}, {"carry_m": 140.0}))["carry_m"]
    u = math.hypot(10 / math.sqrt(3), 1 / math.sqrt(12))
    assert (carry.value, carry.standard_uncertainty) == pytest.approx((130.0, u))
    assert carry.high == pytest.approx(130 + 4.3027 * u, abs=1e-3)
    assert carry.source == "mean of 3 shots, too few for a median; Student's t"


def around(*sides: float, club: str = "7i") -> dict[str, Any]:
    """Shots that land 128, 130, 132, ... m away and as far to the side as is given."""
    made = [{"carry_m": 128.0 + 2 * place, "side_m": side} for place, side in enumerate(sides)]
    return shots(*made) | {"club": club}


SCATTERED = (-4.0, 6.0, 1.0, -7.0, 3.0, 8.0, -2.0, 0.0)


def test_from_six_shots_on_the_typical_one_is_the_median() -> None:
    found = measured(around(*SCATTERED))
    assert found["carry_m"].value == 135.0
    assert found["carry_m"].source == "median of 8 shots; order statistics"
    assert found["side_spread_m"].source == "robust spread (Qn) of 8 shots; chi-squared interval"
    assert found["dispersion_area_m2"].source.startswith("covariance of 8 of 8 shots")


def test_one_wild_shot_hardly_moves_what_is_said_of_a_club() -> None:
    before, after = measured(around(*SCATTERED)), measured(around(*SCATTERED, -160.0))
    assert after["side_m"].value == pytest.approx(before["side_m"].value, abs=1.0)
    assert after["side_spread_m"].value < 1.5 * before["side_spread_m"].value
    area = before["dispersion_area_m2"].value
    assert after["dispersion_area_m2"].value == pytest.approx(area)


def test_fewer_than_six_shots_have_no_ellipse() -> None:
    assert "dispersion_area_m2" not in measured(around(*SCATTERED[:5]))


def test_a_wild_shot_is_marked_counted_and_kept() -> None:
    assert STATION.details is not None
    shown = STATION.details(around(*SCATTERED, -160.0))
    assert [row.is_wild for row in shown["rows"]] == [False] * 8 + [True]
    assert shown["said"][0].startswith("1 of 9 shots lies far off the others.")


def test_without_sides_a_wild_carry_is_marked() -> None:
    assert STATION.details is not None
    carries = [{"carry_m": carry} for carry in (140, 141, 139, 142, 138, 60)]
    shown = STATION.details({"club": "7i", "club_class": "iron", "shots": carries})
    assert [row.is_wild for row in shown["rows"]] == [False] * 5 + [True]
    assert shown["columns"] == ["Carry,\N{NO-BREAK SPACE}m"]


def test_shots_on_one_line_say_why_there_is_no_ellipse() -> None:
    assert STATION.details is not None
    assert "on one line" in STATION.details(around(*[0.0] * 7))["said"][-1]


@pytest.mark.parametrize(
    ("club", "club_class", "words"),
    [
        ("7i", "wedge", "A 7-iron is not tested as a wedge."),
        ("spoon", "wood", "Nobody knows the club spoon"),
        (["7i"], "iron", "Nobody knows the club"),
        ("7i", "putter", "clubs are never pooled"),
    ],
)
def test_a_club_and_its_class_agree(club: object, club_class: str, words: str) -> None:
    assert words in refusal(shots({}, club=club_class) | {"club": club})["club"]


def test_an_entry_from_before_clubs_had_names_is_read_as_its_class() -> None:
    assert STATION.details is not None
    assert STATION.details(shots({}))["club"] == "iron"
    assert BallFlightForm.initial_from(shots({}))["club"] == "iron"
    form = BallFlightForm(IMPERIAL | {"club": "iron", "carry_1": "150"})
    assert form.is_valid()
    assert "club" not in form.payload()
    assert form.payload()["club_class"] == "iron"


def test_the_spread_is_a_measure_of_its_own() -> None:
    side = measured(shots({"side_m": -10.0}, {"side_m": 10.0}))["side_spread_m"]
    assert side.value == pytest.approx(math.sqrt(200))


def test_one_shot_has_no_worth_and_no_spread() -> None:
    found = measured(shots({}))
    assert "carry_spread_m" not in found
    assert found["carry_m"].standard_uncertainty is None
    assert "one shot" in found["carry_m"].source


def test_the_ratio_is_taken_shot_by_shot() -> None:
    found = measured(
        shots(
            {"ball_speed_mps": 45.0, "club_speed_mps": 30.0},
            {"ball_speed_mps": 39.0, "club_speed_mps": 30.0},
            {"club_speed_mps": None},
        )
    )
    assert found["speed_ratio"].value == pytest.approx(1.4)


def test_what_was_not_read_gives_no_measure() -> None:
    assert set(measured({"club_class": "iron", "shots": [{"carry_m": 100.0}]})) == {"carry_m"}


def test_a_ball_faster_than_any_club_can_send_it_is_refused() -> None:
    words = refusal(shots({}, {"ball_speed_mps": 60.0}))
    assert list(words) == ["shots.1.ball_speed"]
    assert "1.76 times" in words["shots.1.ball_speed"]


def test_the_best_strike_there_is_passes() -> None:
    assert measured(shots({"ball_speed_mps": 34.0 * 1.5}))["speed_ratio"].value == pytest.approx(
        1.5
    )


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"carry_m": 900.0}, "carry"),
        ({"carry_m": None}, "carry"),
        ({"carry_m": math.nan}, "carry"),
        ({"side_m": 250.0}, "side"),
        ({"launch_deg": 90.0}, "launch"),
        ({"club_speed_mps": "fast"}, "club_speed"),
        ({"spin_rpm": 30000}, "spin"),
        ({"attack_angle_deg": 40}, "attack_angle"),
        ({"club_path_deg": -50}, "club_path"),
        ({"face_angle_deg": True}, "face_angle"),
        ({"spin": 6000}, "unknown"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(change: dict[str, Any], name: str) -> None:
    assert refusal(shots(change))[f"shots.0.{name}"].startswith("Shot 1: ")


@pytest.mark.parametrize(
    "payload",
    [
        {"club_class": "iron"},
        {"club_class": "iron", "shots": []},
        {"club_class": "iron", "shots": ["far"]},
        shots(*[{}] * 31),
        shots({}, club="putter"),
    ],
)
def test_anything_else_is_refused_in_words(payload: dict[str, Any]) -> None:
    assert all(words.endswith(".") for words in refusal(payload).values())


def test_limits_are_told_in_the_units_that_were_typed() -> None:
    payload = shots({"carry_m": 900.0}) | {"entered_in": {"distance": "yd", "speed": "mph"}}
    assert "0 to 437 yd" in refusal(payload)["shots.0.carry"]


def test_yards_and_miles_an_hour_are_stored_as_metres_and_metres_a_second() -> None:
    form = BallFlightForm(IMPERIAL | {"carry_1": "150", "ball_speed_1": "100"})
    assert form.is_valid(), form.errors
    assert form.payload()["shots"] == [{"carry_m": 137.16, "ball_speed_mps": 44.704}]


def test_an_empty_row_between_is_left_out_and_errors_still_find_their_row() -> None:
    form = BallFlightForm(IMPERIAL | {"carry_1": "150", "carry_4": "150", "side_4": "-3"})
    assert form.is_valid()
    assert len(form.payload()["shots"]) == 2
    assert form.field_for("shots.1.carry") == "carry_4"
    assert form.field_for("club") == "club"
    assert form.field_for("shots") is None


@given(st.integers(0, 4000), st.integers(-900, 900), st.integers(10, 2400))
def test_what_was_typed_comes_back_as_it_was_typed(carry: int, side: int, speed: int) -> None:
    """To one decimal, in yards and miles an hour."""
    typed = {"carry_1": carry / 10, "side_1": side / 10, "ball_speed_1": speed / 10}
    form = BallFlightForm(IMPERIAL | {name: str(value) for name, value in typed.items()})
    assert form.is_valid()
    initial = BallFlightForm.initial_from(form.payload())
    assert {name: initial[name] for name in typed} == typed


def test_rows_that_are_folded_away_open_when_they_hold_something() -> None:
    blocks = BallFlightForm(IMPERIAL | {"carry_1": "150", "side_29": "0"}).blocks()
    assert [block.title for block in blocks if block.is_open] == ["Shots 1 to 5", "Shots 26 to 30"]


def test_what_few_instruments_read_is_shown_when_it_holds_something() -> None:
    assert not BallFlightForm(IMPERIAL | {"launch_1": "17"}).has_rare()
    assert BallFlightForm(IMPERIAL | {"spin_30": "6400"}).has_rare()


def test_what_is_usual_says_whose_word_it_is_and_is_possible_at_all() -> None:
    bounds = {quantity.key: quantity for quantity in QUANTITIES}
    usual = [(kind.name, one) for kind in STATION.measures for one in kind.typical]
    assert {name for name, _ in usual} >= {"attack_angle_deg", "club_path_deg", "spin_rpm"}
    for name, one in usual:
        assert one.source == "common practice, no source"
        assert one.club_class in ("", "driver", "iron")
        if name in bounds:
            assert one.low is not None
            assert one.high is not None
            assert bounds[name].low < one.low < one.high < bounds[name].high
