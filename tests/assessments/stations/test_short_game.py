from collections.abc import Callable
from typing import Any

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from assessments.errors import EntryRefused
from assessments.models import Entry
from assessments.stations.base import Context, MeasureValue
from assessments.stations.short_game import STATION, ShortGameForm
from school.models import Account
from tests.assessments.factories import attendee_of, session_at

CHIPS = {"task": "chip", "length_m": 10, "left_m": [1.0, 0, 2.0, 0.5]}
PITCHES = {"task": "pitch", "length_m": 20, "left_m": [2.0, 5.0, 3.0]}
LONG = {"task": "long_pitch", "length_m": 40, "left_m": [6.0, 25.0]}
UP_AND_DOWN = {"tries": 8, "saved": 3}
EVERYTHING = {"tasks": [CHIPS, PITCHES, LONG], "up_and_down": UP_AND_DOWN}
TYPED = {"entry_id": "3f0f2b1a-0000-4000-8000-000000000002"}


def measured(payload: dict[str, Any]) -> dict[str, MeasureValue]:
    return {value.name: value for value in STATION.compute(payload, Context()).measures}


def refusal(payload: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(EntryRefused) as refused:
        STATION.compute(payload, Context())
    return refused.value.words


def typed(**more: Any) -> ShortGameForm:
    form = ShortGameForm(TYPED | more)
    assert form.is_valid(), form.errors
    return form


def refused_beside(**more: Any) -> set[str]:
    form = typed(**more)
    form.show_refusal(refusal(form.payload()))
    return set(form.errors)


def test_every_measure_that_is_promised_can_be_measured() -> None:
    assert set(measured(EVERYTHING)) == {kind.name for kind in STATION.measures}


def test_what_is_left_is_a_mean_with_students_interval() -> None:
    left = measured(EVERYTHING)["proximity_pitch_m"]
    assert left.value == pytest.approx(10 / 3)
    assert left.high == pytest.approx(7.13, abs=0.01)  # 3.333 + 4.303 × 0.882
    assert left.source == "mean of 3 balls; their scatter and Student's t"


def test_nothing_is_left_nearer_than_the_hole() -> None:
    assert measured(EVERYTHING)["proximity_long_pitch_m"].low == 0


def test_the_score_weighs_the_three_tasks_alike() -> None:
    found = measured(EVERYTHING)["short_game_score"]
    # chips 75, 100, 45, 90; pitches 75, 30, 60; long pitches 60, 0
    assert found.value == pytest.approx((77.5 + 55 + 30) / 3)
    assert "our own scale" in found.source


def test_there_is_no_score_of_two_tasks() -> None:
    assert "short_game_score" not in measured({"tasks": [CHIPS, PITCHES]})


def test_up_and_down_has_wilsons_interval() -> None:
    rate = measured({"up_and_down": UP_AND_DOWN})["up_and_down_rate"]
    assert (rate.value, rate.low, rate.high) == pytest.approx((37.5, 13.7, 69.4), abs=0.1)


@pytest.mark.parametrize(
    ("payload", "place"),
    [
        ({}, "tasks"),
        ({"tasks": "chip"}, "tasks"),
        ({"tasks": [CHIPS, CHIPS]}, "tasks"),
        ({"tasks": [CHIPS | {"length_m": 12}]}, "tasks"),
        ({"tasks": [CHIPS | {"task": ["chip"]}]}, "tasks"),
        (EVERYTHING | {"flop": 1}, "tasks"),
        ({"tasks": [CHIPS | {"left_m": None}]}, "chip"),
        ({"tasks": [CHIPS | {"left_m": [1.0]}]}, "chip"),
        ({"tasks": [CHIPS | {"left_m": [1.0] * 11}]}, "chip"),
        ({"tasks": [CHIPS | {"left_m": [1.0, -0.5]}]}, "chip.1"),
        ({"tasks": [CHIPS | {"left_m": [101, 1.0]}]}, "chip.0"),
        ({"up_and_down": {"tries": 0, "saved": 0}}, "tries"),
        ({"up_and_down": {"tries": 4}}, "saved"),
        ({"up_and_down": {"tries": 4, "saved": 5}}, "saved"),
        ({"up_and_down": 4}, "tries"),
    ],
)
def test_what_cannot_be_is_refused_in_words_at_its_place(
    payload: dict[str, Any], place: str
) -> None:
    words = refusal(payload)
    assert set(words) == {place}
    assert words[place].endswith(".")


@pytest.mark.parametrize("payload", [EVERYTHING, {"tasks": [LONG]}, {"up_and_down": UP_AND_DOWN}])
def test_what_is_typed_becomes_a_payload_and_comes_back(payload: dict[str, Any]) -> None:
    assert typed(**ShortGameForm.initial_from(payload)).payload() == payload


def test_a_ball_that_is_wrong_is_named_though_others_are_empty() -> None:
    assert refused_beside(pitch_2="3", pitch_7="-1") == {"pitch_7"}


def test_one_ball_alone_is_named_where_it_was_typed() -> None:
    assert refused_beside(chip_4="3") == {"chip_4"}


def test_saved_without_tries_is_named() -> None:
    assert refused_beside(saved="3") == {"tries"}


def test_a_leave_costs_by_the_published_averages() -> None:
    assert STATION.costs
    costs = STATION.costs(measured({"tasks": [CHIPS, PITCHES]}))
    # 20 m are 21.872 yd: 2.40 + 0.01 × 1.872, less 1; 3.333 m are 10.936 ft: 1.61 + 0.026 × 0.936
    assert costs == {"proximity_pitch_m": pytest.approx(1.63434 - 1.41872, abs=0.0001)}
    assert "2003 to 2010" in STATION.costs_source


def test_the_page_cautions_and_calls_the_scale_our_own() -> None:
    page = render_to_string(STATION.page_template, {"form": ShortGameForm()})
    assert "Nobody stands ahead of" in page
    assert "our own scale" in page
    assert page.count('inputmode="decimal"') == 30


def test_the_details_tell_every_ball() -> None:
    assert STATION.details
    assert STATION.detail_template
    details = STATION.details(EVERYTHING)
    page = " ".join(render_to_string(STATION.detail_template, {"details": details}).split())
    assert "1, holed, 2, 0.5: 78 points of 100, on our own scale" in page


@pytest.mark.django_db
def test_it_is_recorded_and_shown(
    instructor: Account, client_of: Callable[[Account | None], Client]
) -> None:
    session = session_at(instructor, "short_game")
    page = reverse("entry_new", args=[session.pk, attendee_of(session).pk, "short_game"])
    answer = client_of(instructor).post(
        page, TYPED | {"chip_1": "1", "chip_2": "3.5", "tries": "", "saved": ""}, follow=True
    )
    assert "Left by a chip" in answer.content.decode()
    assert Entry.objects.get().kind == "short_game"
