"""One scale of a camera that stays where it is."""

import math
from datetime import timedelta
from typing import Any

import pytest

from assessments.models import FilmingPlace, Still
from assessments.queries.scale import scale_of
from tests.assessments.factories import EntryFactory, FilmingPlaceFactory, StillFactory, marking
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def place() -> FilmingPlace:
    made: FilmingPlace = FilmingPlaceFactory.create(is_camera_fixed=True)
    return made


@pytest.fixture
def still(place: FilmingPlace) -> Still:
    made: Still = StillFactory.create(filming_place=place)
    return made


def marked(still: Still, diameter_px: float, click_sd_px: float = 1.5, **fields: Any) -> Still:
    """Another still like this one, on which the ball is that wide."""
    columns = {"filming_place": still.filming_place, "uploaded_at": still.uploaded_at}
    other: Still = StillFactory.create(**(columns | fields))
    payload = marking() | {"click_sd_px": click_sd_px}
    payload["landmarks"]["ball_edge_a"] = [100.0, 100.0]
    payload["landmarks"]["ball_edge_b"] = [100.0 + diameter_px, 100.0]
    EntryFactory.create(kind="impact", still=other, payload=payload)
    return other


def test_it_is_the_median_of_the_days_others_and_its_error_that_of_a_median(still: Still) -> None:
    for diameter in (20.0, 21.0, 26.0):
        marked(still, diameter)
    scale = scale_of(still)
    assert scale is not None
    assert scale.px == pytest.approx(21.0)
    assert scale.sd_px == pytest.approx(1.2533 * math.sqrt(2) * 1.5 / math.sqrt(3))


def test_the_largest_error_of_a_click_counts(still: Still) -> None:
    for click in (1.0, 2.0, 1.0):
        marked(still, 20.0, click)
    scale = scale_of(still)
    assert scale is not None
    assert scale.sd_px == pytest.approx(1.2533 * math.sqrt(2) * 2.0 / math.sqrt(3))


def test_two_others_are_too_few_and_the_still_itself_does_not_count(still: Still) -> None:
    marked(still, 20.0)
    marked(still, 20.0)
    EntryFactory.create(kind="impact", still=still, payload=marking())
    assert scale_of(still) is None


@pytest.mark.parametrize("other", ["size", "day", "place"])
def test_a_still_of_another_size_day_or_place_does_not_count(other: str, still: Still) -> None:
    fields: dict[str, dict[str, Any]] = {
        "size": {"width_px": 1920},
        "day": {"uploaded_at": still.uploaded_at - timedelta(days=1)},
        "place": {"filming_place": None},
    }
    marked(still, 20.0)
    marked(still, 20.0)
    marked(still, 20.0, **fields[other])
    assert scale_of(still) is None


def test_a_corrected_still_counts_once_as_it_stands(still: Still) -> None:
    others = [marked(still, 20.0) for _ in range(3)]
    wrong = others[0].entries.get()
    right = marking()
    right["landmarks"]["ball_edge_a"], right["landmarks"]["ball_edge_b"] = [0.0, 0.0], [24.0, 0.0]
    EntryFactory.create(kind="impact", still=others[0], payload=right, supersedes=wrong)
    marked(still, 25.0)
    scale = scale_of(still)
    assert scale is not None
    assert scale.px == pytest.approx(22.0)


def test_of_two_frames_the_ball_is_measured_in_the_one_before_the_strike(still: Still) -> None:
    for diameter in (20.0, 21.0, 26.0):
        entry = marked(still, diameter).entries.get()
        at = entry.payload["landmarks"]
        ball = {key: at.pop(key) for key in ("ball_edge_a", "ball_edge_b")}
        entry.payload["landmarks_before"] = at | ball
        entry.save(update_fields=["payload"])
    scale = scale_of(still)
    assert scale is not None
    assert scale.px == pytest.approx(21.0)


def test_one_query_however_many(still: Still) -> None:
    marked(still, 20.0)
    assert queries_of(lambda: scale_of(still)) == 1
    for _ in range(4):
        marked(still, 20.0)
    assert queries_of(lambda: scale_of(still)) == 1
