from collections.abc import Callable
from typing import Any

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from assessments.errors import EntryRefused
from assessments.models import Entry
from assessments.stations.base import Context, MeasureValue
from assessments.stations.bunker import STATION, BunkerForm
from school.models import Account
from tests.assessments.factories import attendee_of, session_at

TYPED = {"entry_id": "3f0f2b1a-0000-4000-8000-000000000003", "stayed_in": "0"}


def sand(*left_m: float, stayed_in: int = 0, **more: Any) -> dict[str, Any]:
    return {"length_m": 8, "left_m": list(left_m), "stayed_in": stayed_in} | more


def measured(payload: dict[str, Any]) -> dict[str, MeasureValue]:
    return {value.name: value for value in STATION.compute(payload, Context()).measures}


def refusal(payload: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(EntryRefused) as refused:
        STATION.compute(payload, Context())
    return refused.value.words


def typed(**more: Any) -> BunkerForm:
    form = BunkerForm(TYPED | more)
    assert form.is_valid(), form.errors
    return form


def test_every_measure_that_is_promised_can_be_measured() -> None:
    assert set(measured(sand(2, 1))) == {kind.name for kind in STATION.measures}


def test_a_ball_that_stayed_in_scores_nothing_and_has_no_distance() -> None:
    found = measured(sand(0.8, 1.6, stayed_in=2))
    assert found["bunker_score"].value == (75 + 45 + 0 + 0) / 4
    assert found["bunker_proximity_m"].value == pytest.approx(1.2)


def test_the_balls_out_are_a_share_with_wilsons_interval() -> None:
    rate = measured(sand(2, 1, 3, 4, 2, 1, 1, 2, stayed_in=2))["bunker_out_rate"]
    assert (rate.value, rate.low, rate.high) == pytest.approx((80, 49.0, 94.3), abs=0.1)
    assert rate.source == "8 of 10 out; Wilson's interval"


def test_none_out_leaves_nothing_and_scores_nothing() -> None:
    found = measured(sand(stayed_in=5))
    assert set(found) == {"bunker_score", "bunker_out_rate"}
    assert (found["bunker_score"].value, found["bunker_score"].low) == (0, 0)


def test_one_out_is_known_by_itself_alone() -> None:
    left = measured(sand(2.5, stayed_in=4))["bunker_proximity_m"]
    assert (left.value, left.low, left.standard_uncertainty) == (2.5, None, None)


@pytest.mark.parametrize(
    ("payload", "place"),
    [
        (sand(), "bunker"),
        (sand(2), "bunker"),
        (sand(stayed_in=1), "bunker"),
        (sand(2, -1), "bunker.1"),
        (sand(2, 1, length_m=10), "length_m"),
        (sand(2, 1, stayed_in=11), "stayed_in"),
        (sand(2, 1, 3, stayed_in=8), "stayed_in"),
        (sand(2, 1) | {"stayed_in": None}, "stayed_in"),
        (sand() | {"left_m": 4}, "bunker"),
    ],
)
def test_what_cannot_be_is_refused_in_words_at_its_place(
    payload: dict[str, Any], place: str
) -> None:
    words = refusal(payload)
    assert set(words) == {place}
    assert words[place].endswith(".")


@pytest.mark.parametrize("payload", [sand(2.0, 0.0, 1.5), sand(stayed_in=3), sand(1, stayed_in=4)])
def test_what_is_typed_becomes_a_payload_and_comes_back(payload: dict[str, Any]) -> None:
    assert typed(**BunkerForm.initial_from(payload)).payload() == payload


def test_a_ball_that_is_wrong_is_named_though_others_are_empty() -> None:
    form = typed(bunker_3="1", bunker_9="200")
    form.show_refusal(refusal(form.payload()))
    assert set(form.errors) == {"bunker_9"}


def test_a_ball_that_stays_in_costs_its_stroke() -> None:
    assert STATION.costs
    assert STATION.costs(measured(sand(2, 1, 3, stayed_in=1))) == {"bunker_out_rate": 0.25}


def test_the_page_cautions_about_sand_and_swings() -> None:
    page = render_to_string(STATION.page_template, {"form": BunkerForm()})
    assert all(words in page for words in ("Sand flies", "Nobody stands ahead of", "no source"))


def test_the_details_tell_every_ball() -> None:
    assert STATION.details
    assert STATION.detail_template
    details = STATION.details(sand(2, 0, stayed_in=1))
    page = " ".join(render_to_string(STATION.detail_template, {"details": details}).split())
    assert "2, holed; 1 stayed in: 43 points of 100" in page


@pytest.mark.django_db
def test_it_is_recorded_and_shown(
    instructor: Account, client_of: Callable[[Account | None], Client]
) -> None:
    session = session_at(instructor, "bunker")
    page = reverse("entry_new", args=[session.pk, attendee_of(session).pk, "bunker"])
    answer = client_of(instructor).post(
        page, TYPED | {"bunker_1": "1", "bunker_2": "3.5"}, follow=True
    )
    assert "Out of the sand" in answer.content.decode()
    assert Entry.objects.get().kind == "bunker"
