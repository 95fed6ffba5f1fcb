"""What a filming place adds to a payload, and how an entry keeps it."""

from typing import Any
from uuid import uuid4

import pytest

from assessments.actions.entries import record_entry
from assessments.errors import EntryConflict
from assessments.impact.filmed import filming_of
from assessments.impact.landmarks import (
    PLACEMENT_MARKED_MM,
    PLACEMENT_UNMARKED_MM,
    Landmark,
)
from assessments.impact.pose import CameraSetUp
from assessments.models import Entry, FilmingPlace, Still
from assessments.stations.impact_settings import settings_of
from school.models import Account
from tests.assessments.factories import (
    EntryFactory,
    FilmingPlaceFactory,
    StillFactory,
    attendee_of,
    marking,
    marks_of,
    session_at,
)
from tests.factories import consented
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db
RECTANGLE = {
    "camera_distance_mm": 4000,
    "rectangle_long_mm": 1200,
    "rectangle_wide_mm": 450,
    "rectangle_behind_mm": 80,
}


def still_at(**settings: Any) -> Still:
    made: Still = StillFactory.create(filming_place=FilmingPlaceFactory.create(**settings))
    return made


def test_of_no_place_only_the_error_of_a_click_is_assumed() -> None:
    assert settings_of(StillFactory.create()) == {"click_sd_px": 1.5}


@pytest.mark.parametrize(
    ("joints", "spreads"), [("marked", PLACEMENT_MARKED_MM), ("unmarked", PLACEMENT_UNMARKED_MM)]
)
def test_the_doubt_of_a_joint_follows_from_how_it_is_marked(
    joints: str, spreads: dict[Landmark, float]
) -> None:
    found = settings_of(still_at(joints=joints, click_sd_px=1.1, step_mm=25.4))
    assert found["placement_sd_mm"] == {str(mark): sd for mark, sd in spreads.items()}
    assert (found["joints"], found["click_sd_px"], found["step_mm"]) == (joints, 1.1, 25.4)


def test_a_camera_comes_back_as_it_was_set_up() -> None:
    settings = settings_of(still_at(is_camera_level=True, frames_a_second=240, **RECTANGLE))
    filming = filming_of(settings["camera"])
    assert filming.camera == CameraSetUp(4000, None, 1200, 450, 80)
    assert (filming.is_level, filming.frames_a_second) == (True, 240)


def test_a_camera_without_a_rectangle_is_not_turned() -> None:
    settings = settings_of(still_at(camera_distance_mm=4000))
    assert filming_of(settings["camera"]).camera is None
    assert filming_of({}).camera is None


def test_a_fixed_camera_has_one_scale_once_three_others_are_marked() -> None:
    still = still_at(is_camera_fixed=True)
    assert "scale_px" not in settings_of(still)
    for _ in range(3):
        other = StillFactory.create(filming_place=still.filming_place)
        EntryFactory.create(kind="impact", still=other, payload=marking())
    assert settings_of(still)["scale_px"] > 10
    FilmingPlace.objects.update(is_camera_fixed=False)
    assert "scale_px" not in settings_of(Still.objects.get(pk=still.pk))


def test_it_takes_two_queries_at_most() -> None:
    still = Still.objects.get(pk=still_at(is_camera_fixed=True).pk)
    assert queries_of(lambda: settings_of(still)) == 2


@pytest.fixture
def still(instructor: Account) -> Still:
    attendee = consented(attendee_of(session_at(instructor, "impact")))
    made: Still = StillFactory.create(
        enrolment=attendee, filming_place=FilmingPlaceFactory.create(joints="marked")
    )
    return made


def recorded(still: Still, by: Account, entry_id: Any, **payload: Any) -> Entry:
    return record_entry(
        id=entry_id,
        enrolment=still.enrolment,
        kind="impact",
        phase=still.phase,
        payload={"landmarks": marks_of()} | payload,
        still=still,
        recorded_by=by,
    )


def test_an_entry_keeps_what_was_known_when_it_was_recorded(
    still: Still, instructor: Account
) -> None:
    entry = recorded(still, instructor, uuid4())
    assert entry.payload["joints"] == "marked"
    assert entry.payload["placement_sd_mm"]["lead_elbow"] == 3.0
    assert entry.measures.get(name="forearm_line_offset_bd").source.startswith(
        "error of marks and joints, "
    )


def test_the_same_marks_after_the_settings_changed_are_the_same_entry(
    still: Still, instructor: Account
) -> None:
    entry = recorded(still, instructor, uuid4())
    FilmingPlace.objects.update(joints="unmarked", step_mm=25.4)
    again = recorded(Still.objects.get(pk=still.pk), instructor, entry.pk)
    assert again == entry
    assert Entry.objects.get().payload["joints"] == "marked"


def test_other_marks_under_the_same_id_are_a_conflict(still: Still, instructor: Account) -> None:
    entry = recorded(still, instructor, uuid4())
    moved = marks_of() | {"lead_wrist": [700.0, 500.0]}
    with pytest.raises(EntryConflict):
        recorded(still, instructor, entry.pk, landmarks=moved)


def test_what_the_device_says_of_the_place_counts_more(still: Still, instructor: Account) -> None:
    """Whoever sends a click error means it; the page sends none."""
    entry = recorded(still, instructor, uuid4(), click_sd_px=2.5)
    assert entry.payload["click_sd_px"] == 2.5
