"""What a report says of its own sureness: places, studies, steps, and the words for a change."""

import re
from typing import Any

import pytest

from assessments.models import Entry, FilmingPlace
from assessments.reports.compose import compose
from assessments.reports.gather import gather
from assessments.reports.render import render
from school.models import Account, Enrolment
from tests.assessments.factories import FLIP, STRONG, FilmingPlaceFactory, StudyFactory
from tests.assessments.reports import scene
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db
CAMERA_WORD = "joints marked with tape"


@pytest.fixture
def place() -> FilmingPlace:
    made: FilmingPlace = FilmingPlaceFactory.create(joints="marked")
    return made


def filmed(*places: FilmingPlace | None, **payload: Any) -> Enrolment:
    """Somebody measured at intake at the first place and at exit at the last."""
    enrolment: Enrolment = EnrolmentFactory.create()
    for phase, name, place in (("intake", FLIP, places[0]), ("exit", STRONG, places[-1])):
        for swing in range(3):
            entry = scene.impact(enrolment, phase, name, shift_px=swing, filming_place=place)
            entry.payload |= payload
            entry.save(update_fields=["payload"])
    return enrolment


def said(enrolment: Enrolment) -> str:
    """The words of the report on one line."""
    bare = re.sub(r"<[^>]+>", " ", compose(gather(enrolment)).html)
    return re.sub(r"\s+", " ", bare)


def test_without_a_place_all_spreads_are_called_assumed() -> None:
    words = said(filmed(None))
    assert "are assumed figures and not measurements of this school" in words
    assert "one frame chosen nearest to the strike" in words
    assert "not how surely a joint can be seen" in words
    assert "calls four to six changed" in words


def test_at_a_known_place_the_joints_are_in_the_range() -> None:
    words = said(filmed(None, placement_sd_mm={"lead_wrist": 3.0}))
    assert "how far a click may lie off and how surely a joint can be seen" in words


def test_a_study_in_force_is_named(place: FilmingPlace) -> None:
    found = {"forearm_line_offset_bd": {"click_sd": 0.4, "rater_sd": 0.2}}
    StudyFactory.create(place=place, is_in_force=True, closed_at="2027-05-07T12:00Z", result=found)
    words = said(filmed(place))
    assert "measured by the school's own study “Spring”" in words
    assert "What we assume." not in words
    assert "study" not in said(filmed(place, None))


def test_different_places_are_said_once_beside_the_stills(place: FilmingPlace) -> None:
    words = said(filmed(place, None))
    assert words.count("not all filmed at one place, so the wider spreads count") == 1
    assert "not all filmed" not in said(filmed(place))


def test_two_frames_are_said(place: FilmingPlace) -> None:
    enrolment = filmed(place, joints="marked")
    for entry in Entry.objects.all():
        # a frame in which everything stood a little farther back, and a head on either side
        later = entry.payload["landmarks"]
        later["club_head"] = [later["ball_edge_b"][0] + 40, later["ball_edge_b"][1]]
        earlier = {mark: [u - 10, v] for mark, (u, v) in later.items()}
        for edge in ("ball_edge_a", "ball_edge_b"):
            earlier[edge] = later[edge]
        earlier["club_head"] = [later["ball_edge_a"][0] - 40, later["ball_edge_a"][1]]
        entry.payload["landmarks_before"] = earlier
        entry.save(update_fields=["payload"])
    words = said(enrolment)
    assert f"the frames on either side of the strike, {CAMERA_WORD}" in words
    assert "the very instant of the strike" not in words
    assert "Measured between two frames, at the instant the club meets the ball." in words


def test_lengths_stand_in_the_steps_of_the_school_too() -> None:
    words = said(filmed(None, step_mm=21.335))
    assert "One step is 21.335 mm." in words
    found = re.search(r"Forearm-line offset .*?\+(\S+) ± \S+ \+(\S+) ± \S+ steps", words)
    assert found is not None
    assert float(found[2]) == pytest.approx(2 * float(found[1]), abs=0.15)


def test_doubts_notes_and_steps_leave_the_club_on_one_leaf(
    place: FilmingPlace, instructor: Account, other_instructor: Account
) -> None:
    enrolment = scene.full_school(instructor)
    bare = render(compose(gather(enrolment))).pages
    for number, entry in enumerate(enrolment.entries.filter(kind="impact")):
        entry.payload |= {"step_mm": 25.4}
        entry.recorded_by = (instructor, other_instructor)[number % 2]
        if entry.phase == "intake":
            entry.warnings = ["wrist_blurred", "shaft_faint", "camera_far_off_square"]
        entry.save(update_fields=["payload", "recorded_by", "warnings"])
    first = enrolment.stills.filter(phase="exit")[0]
    first.filming_place = place
    first.save(update_fields=["filming_place"])
    composed = compose(gather(enrolment))
    assert 'class="leaf wordier"' in composed.html
    assert render(composed).pages == bare


def test_a_step_of_one_ball_is_not_said_twice() -> None:
    assert "steps" not in said(filmed(None, step_mm=42.67))


def test_the_three_verdicts_stand_in_the_same_words_everywhere() -> None:
    words = said(filmed(None))
    assert "a real change, past the" in words
    assert "within what we can measure: only more than" in words
