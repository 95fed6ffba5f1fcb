"""Strikes on the face of the club, from the page to measures with their worth."""

from collections.abc import Callable
from math import comb
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from assessments.errors import EntryRefused
from assessments.models import Entry
from assessments.stations.base import Context, MeasureValue
from assessments.stations.strike import STATION, StrikeForm
from school.models import Account
from tests.assessments.factories import attendee_of, session_at


def struck(**counts: Any) -> dict[str, Any]:
    return {"club_class": "iron", "counts": counts}


def measured(payload: dict[str, Any]) -> dict[str, MeasureValue]:
    return {value.name: value for value in STATION.compute(payload, Context()).measures}


def test_every_measure_that_is_promised_is_measured() -> None:
    assert set(measured(struck(centre_middle=5))) == {kind.name for kind in STATION.measures}


def test_the_centred_are_a_share_with_wilsons_interval() -> None:
    rate = measured(struck(centre_middle=8, toe_low=2))["centred_rate"]
    assert (rate.value, rate.low, rate.high) == pytest.approx((80, 49.0, 94.3), abs=0.1)
    assert rate.source == "8 of 10 in the middle field; Wilson's interval"


def test_biases_count_toe_and_high_above_nothing() -> None:
    found = measured(struck(toe_high=3, toe_middle=2, heel_low=1, centre_low=4))
    assert found["toe_heel_bias"].value == pytest.approx(40)
    assert found["high_low_bias"].value == pytest.approx(-20)


def test_all_in_the_centre_still_leaves_a_width() -> None:
    bias = measured(struck(centre_middle=10))["toe_heel_bias"]
    assert bias.value == 0
    assert bias.low == pytest.approx(-(bias.high or 0))
    assert bias.standard_uncertainty == pytest.approx(100 * (2 / 12 / 12) ** 0.5)


@pytest.mark.parametrize(("toe", "heel"), [(0.2, 0.2), (0.5, 0.1), (0.1, 0.05), (0.8, 0.1)])
def test_the_interval_of_a_bias_holds_the_truth_19_times_in_20(toe: float, heel: float) -> None:
    """Every outcome of twelve balls, weighted by how often it comes."""
    held = 0.0
    for up in range(13):
        for down in range(13 - up):
            rest = 12 - up - down
            bias = measured(struck(toe_middle=up, heel_middle=down, centre_middle=rest))
            low, high = bias["toe_heel_bias"].low, bias["toe_heel_bias"].high
            assert low is not None
            assert high is not None
            if low <= 100 * (toe - heel) <= high:
                chance = toe**up * heel**down * (1 - toe - heel) ** rest
                held += comb(12, up) * comb(12 - up, down) * chance
    assert held > 0.94


@pytest.mark.parametrize(
    ("payload", "place"),
    [
        (struck(), "counts"),
        (struck(centre_middle=4), "counts"),
        (struck(centre_middle=20, toe_low=11), "counts"),
        (struck(edge=5), "counts"),
        ({"club_class": "iron", "counts": [5]}, "counts"),
        ({"club_class": "putter", "counts": {"toe_low": 5}}, "club_class"),
        (struck(toe_low=-1), "toe_low"),
        (struck(toe_low=True), "toe_low"),
        (struck(toe_low=5.0), "toe_low"),
    ],
)
def test_what_cannot_be_right_is_refused_in_words(payload: dict[str, Any], place: str) -> None:
    with pytest.raises(EntryRefused) as refused:
        STATION.compute(payload, Context())
    assert set(refused.value.words) == {place}


def test_the_form_gives_back_what_it_was_filled_with() -> None:
    payload = struck(centre_middle=4, toe_low=1)
    form = StrikeForm(StrikeForm.initial_from(payload) | {"entry_id": ENTRY_ID})
    assert form.is_valid(), form.errors
    assert form.payload() == payload


@pytest.mark.django_db
def test_strikes_are_recorded_and_shown_on_the_face(
    instructor: Account, client_of: Callable[[Account | None], Client]
) -> None:
    session, client = session_at(instructor, "strike"), client_of(instructor)
    at = reverse("entry_new", args=[session.pk, attendee_of(session).pk, "strike"])
    assert 'aria-label="Balls toe, low"' in client.get(at).content.decode()
    typed = {"entry_id": ENTRY_ID, "club_class": "iron", "centre_middle": "4"}
    page = client.post(at, typed).content.decode()
    assert "Hit 5 to 30 balls; 4 are here." in page
    page = client.post(at, typed | {"toe_low": "2"}, follow=True).content.decode()
    assert "Balls on the face, iron" in page
    assert Entry.objects.get().payload["counts"] == {"centre_middle": 4, "toe_low": 2}


ENTRY_ID = "3f0f2b1a-0000-4000-8000-000000000009"
