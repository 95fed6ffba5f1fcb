"""The invariants of filming places, studies and two frames, tried by going round the forms."""

from typing import Any
from uuid import uuid4

import pytest

from assessments.models import FilmingPlace, Marking, ReferenceStill, Study, StudyStill
from school.models import Account
from tests.assessments.factories import FilmingPlaceFactory, StillFactory, StudyFactory
from tests.constraints import refused

pytestmark = pytest.mark.django_db
CLOSED: dict[str, Any] = {"closed_at": "2027-05-07T12:00Z"}
RECTANGLE = {
    "rectangle_long_mm": 1200,
    "rectangle_wide_mm": 450,
    "rectangle_behind_mm": 0,
    "camera_distance_mm": 4000,
}


@pytest.fixture
def study() -> Study:
    made: Study = StudyFactory.create()
    return made


def marked(study: Study | None, marker: Account, **fields: Any) -> Marking:
    still = fields.pop("still", None) or StillFactory.create()
    columns = {"payload": {}, "values": {}, "definitions_version": "impact-1", "marked_by": marker}
    return Marking.objects.create(id=uuid4(), study=study, still=still, **(columns | fields))


def test_a_place_has_its_name_alone() -> None:
    place = FilmingPlaceFactory.create()
    with refused():
        FilmingPlaceFactory.create(name=place.name)


@pytest.mark.parametrize("spread", ["click_sd_px", "step_mm"])
def test_clicks_and_steps_are_above_nothing(spread: str) -> None:
    with refused():
        FilmingPlaceFactory.create(**{spread: 0})


@pytest.mark.parametrize("missing", RECTANGLE)
def test_a_rectangle_lacks_nothing(missing: str) -> None:
    with refused():
        FilmingPlaceFactory.create(**(RECTANGLE | {missing: None}))


@pytest.mark.parametrize("side", ["rectangle_long_mm", "rectangle_wide_mm", "camera_distance_mm"])
def test_a_rectangle_has_sides(side: str) -> None:
    with refused():
        FilmingPlaceFactory.create(**(RECTANGLE | {side: 0}))


def test_a_whole_rectangle_or_a_distance_alone_is_taken() -> None:
    FilmingPlaceFactory.create(**RECTANGLE)
    FilmingPlaceFactory.create(camera_distance_mm=4000)
    assert FilmingPlace.objects.count() == 2


def test_one_study_of_a_place_is_open() -> None:
    study = StudyFactory.create()
    StudyFactory.create(place=study.place, **CLOSED)
    with refused():
        StudyFactory.create(place=study.place)


def test_one_study_of_a_place_is_in_force() -> None:
    study = StudyFactory.create(is_in_force=True, **CLOSED)
    StudyFactory.create(is_in_force=True, **CLOSED)
    with refused():
        StudyFactory.create(place=study.place, is_in_force=True, **CLOSED)


def test_an_open_study_is_not_in_force() -> None:
    with refused():
        StudyFactory.create(is_in_force=True)


def test_a_study_marks_more_than_once() -> None:
    with refused():
        StudyFactory.create(markings_wanted=1)


def test_a_still_is_in_a_study_once(study: Study) -> None:
    still = StillFactory.create()
    StudyStill.objects.create(study=study, still=still, order=1)
    with refused():
        StudyStill.objects.create(study=study, still=still, order=2)


def test_two_stills_of_a_study_do_not_share_a_place_in_the_order(study: Study) -> None:
    StudyStill.objects.create(study=study, still=StillFactory.create(), order=1)
    with refused():
        StudyStill.objects.create(study=study, still=StillFactory.create(), order=1)


def test_a_still_is_marked_once_a_turn(study: Study, instructor: Account) -> None:
    first = marked(study, instructor)
    marked(study, instructor, still=first.still, turn=2)
    with refused():
        marked(study, instructor, still=first.still)


def test_outside_a_study_it_may_be_marked_as_often_as_wanted(instructor: Account) -> None:
    first = marked(None, instructor)
    assert marked(None, instructor, still=first.still).turn == first.turn


def test_turns_count_from_one(study: Study, instructor: Account) -> None:
    with refused():
        marked(study, instructor, turn=0)


def test_a_still_is_a_reference_once() -> None:
    still = StillFactory.create()
    ReferenceStill.objects.create(still=still)
    with refused():
        ReferenceStill.objects.create(still=still)


@pytest.mark.parametrize(
    "before",
    [
        {"picture_before": "stills/before.jpg"},
        {"sha256_before": "b" * 64},
        {"picture_before": "stills/before.jpg", "sha256_before": "a" * 64},
    ],
)
def test_the_frame_before_is_whole_and_another_frame(before: dict[str, str]) -> None:
    with refused():
        StillFactory.create(sha256="a" * 64, **before)
