"""How sure a comparison of stills is, by how they were filmed and who marked them."""

from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from assessments.models import Entry, FilmingPlace, Study
from assessments.queries.entries import current_entries
from assessments.queries.findings import findings_for
from assessments.queries.spreads import Basis, assumed_of, basis_of, spreads_for
from assessments.statistics.change import SET_UPS
from assessments.statistics.spreads import ONE_FRAME, TWO_FRAMES, widest
from school.models import Account, Enrolment
from tests.assessments.factories import (
    EntryFactory,
    FilmingPlaceFactory,
    StillFactory,
    StudyFactory,
    marking,
    marks_of,
)
from tests.assessments.reports import scene
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db
FLO = "forearm_line_offset_bd"
PAIR = {"joints": "marked", "landmarks_before": marks_of()}


@pytest.fixture
def place() -> FilmingPlace:
    made: FilmingPlace = FilmingPlaceFactory.create(joints="marked")
    return made


def entry(place: FilmingPlace | None, **payload: Any) -> Entry:
    made: Entry = EntryFactory.create(
        kind="impact",
        still=StillFactory.create(filming_place=place),
        payload=marking() | payload,
    )
    return made


def in_force(place: FilmingPlace, **spreads: float) -> Study:
    made: Study = StudyFactory.create(
        place=place,
        name="Spring",
        is_in_force=True,
        closed_at="2027-05-07T12:00Z",
        result={FLO: {"click_sd": 0.4, "rater_sd": 0.2} | spreads},
    )
    return made


def test_the_whole_protocol_is_the_published_set_up() -> None:
    ours, theirs = TWO_FRAMES[FLO], SET_UPS["protocol"]
    for spread in ("swing_sd", "session_sd", "click_sd", "rater_sd"):
        assert getattr(ours, spread) == getattr(theirs, spread)


def test_the_protocol_is_surer_in_every_spread_of_every_measure() -> None:
    for name, better in TWO_FRAMES.items():
        assert better.mdc95() < ONE_FRAME[name].mdc95()
        assert widest([{name: better}, {name: ONE_FRAME[name]}])[name] == ONE_FRAME[name]


@pytest.mark.parametrize(
    ("joints", "frames", "expected"),
    [("marked", 2, TWO_FRAMES), ("marked", 1, ONE_FRAME), ("unmarked", 2, ONE_FRAME)],
)
def test_marked_joints_and_two_frames_make_the_protocol(
    joints: str, frames: int, expected: Any
) -> None:
    place = FilmingPlaceFactory.create(joints=joints)
    assert assumed_of(place, frames) == spreads_for(place, frames) == expected


def test_of_no_place_the_least_is_assumed() -> None:
    assert spreads_for(None) == basis_of([]).spreads == ONE_FRAME


def test_a_study_in_force_replaces_the_spreads_of_marks(place: FilmingPlace) -> None:
    StudyFactory.create(place=place, closed_at="2027-05-07T12:00Z", result={FLO: {}})
    assert spreads_for(place)[FLO].assumed
    in_force(place)
    found = spreads_for(place)
    assert (found[FLO].click_sd, found[FLO].rater_sd, found[FLO].assumed) == (0.4, 0.2, False)
    assert found[FLO].swing_sd == TWO_FRAMES[FLO].swing_sd
    assert found["shaft_lean_deg"] == TWO_FRAMES["shaft_lean_deg"]


def test_what_counts_is_how_a_still_was_filmed(place: FilmingPlace) -> None:
    pair = entry(place, **PAIR)
    assert basis_of([pair]) == Basis(TWO_FRAMES, is_two_frames=True, is_protocol=True)
    FilmingPlace.objects.update(joints="unmarked")
    again = Entry.objects.select_related("still__filming_place").get(pk=pair.pk)
    assert basis_of([again]).spreads == TWO_FRAMES


def test_one_single_frame_makes_the_comparison_as_sure_as_that(place: FilmingPlace) -> None:
    basis = basis_of([entry(place, **PAIR), entry(place, joints="marked")])
    assert basis.spreads == ONE_FRAME
    assert not basis.is_two_frames
    assert not basis.is_protocol
    assert basis.words == ()


def test_frames_too_far_apart_count_as_one(place: FilmingPlace) -> None:
    pair = entry(place, **PAIR)
    pair.warnings = ["frames_far_apart"]
    assert basis_of([pair]).spreads == ONE_FRAME


def test_a_corrected_camera_is_said_unless_the_corners_were_doubtful() -> None:
    corners = {mark: [0.0, 0.0] for mark in ("ground_a", "ground_b", "ground_c", "ground_d")}
    camera = {"rectangle_long_mm": 1200}
    squared = entry(None, landmarks=marks_of() | corners, camera=camera)
    assert basis_of([squared]).words == (
        "Where the camera stood was found from the ground and is corrected for.",
    )
    assert not basis_of([squared, entry(None)]).is_squared
    squared.warnings = ["corners_doubtful"]
    assert not basis_of([squared]).is_squared


def test_two_places_take_the_wider_spreads_and_say_so(place: FilmingPlace) -> None:
    in_force(place, click_sd=1.4, rater_sd=0.1)
    basis = basis_of([entry(place, **PAIR), entry(None)])
    assert basis.spreads[FLO].click_sd == 1.4
    assert basis.spreads[FLO].rater_sd == ONE_FRAME[FLO].rater_sd
    assert basis.spreads[FLO].assumed
    assert basis.study == ""
    assert basis.words[0].startswith("The stills were not all filmed at one place")


def test_different_markers_are_counted_in(instructor: Account, other_instructor: Account) -> None:
    entries = [entry(None), entry(None)]
    for one, by in zip(entries, (instructor, other_instructor), strict=True):
        one.recorded_by = by
    assert basis_of(entries).words == (
        "Different people marked them; how far people differ is counted in.",
    )


def thresholds(enrolment: Enrolment) -> list[float]:
    return [one.change.threshold for one in findings_for(enrolment) if one.change]


@pytest.mark.parametrize("swings", [1, 3])
def test_another_marker_makes_the_threshold_larger(
    swings: int, instructor: Account, other_instructor: Account
) -> None:
    enrolment = EnrolmentFactory.create()
    for phase in ("intake", "exit"):
        for swing in range(swings):
            scene.impact(enrolment, phase, shift_px=swing)
    same = thresholds(enrolment)
    enrolment.entries.filter(phase="exit").update(recorded_by=instructor)
    enrolment.entries.filter(phase="intake").update(recorded_by=other_instructor)
    assert all(more > less for more, less in zip(thresholds(enrolment), same, strict=True))


def test_a_place_costs_one_query_and_two_cost_no_more(
    place: FilmingPlace, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    in_force(place)
    enrolment = EnrolmentFactory.create()
    scene.impact(enrolment, "intake", filming_place=place)
    for other in (place, FilmingPlaceFactory.create()):
        scene.impact(enrolment, "exit", filming_place=other)
        with django_assert_num_queries(3):
            findings_for(enrolment)
    assert not basis_of(current_entries([enrolment])).is_one_place
