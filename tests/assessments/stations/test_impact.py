from typing import Any

import pytest

from assessments.errors import EntryRefused
from assessments.impact.errors import StillRefused
from assessments.models import Still
from assessments.stations.base import Computed, Context
from assessments.stations.impact import STATION, club_of
from tests.assessments.factories import marking, marks_of


def still(**fields: Any) -> Still:
    columns = {"club_class": "iron", "shot_kind": "full", "handedness": "right"}
    return Still(width_px=1280, height_px=960, **(columns | fields))


def computed(payload: dict[str, Any], **fields: Any) -> Computed:
    return STATION.compute(payload, Context(still(**fields)))


def test_every_measure_of_the_still_is_given_with_its_worth() -> None:
    found = {value.name: value for value in computed(marking()).measures}
    offset = found["forearm_line_offset_bd"]
    assert offset.value == pytest.approx(2.3849, abs=1e-4)
    assert offset.source == "error of marking, first order; impact-1"
    assert {"roll_deg", "ball_diameter_px", "forearm_line_offset_mm"} <= found.keys()


def test_a_left_hander_is_mirrored() -> None:
    found = computed(marking("07_iron_left_strong"), handedness="left").measures
    offset = next(value for value in found if value.name == "forearm_line_offset_bd")
    assert offset.value > 0


def test_doubts_come_as_codes_that_have_words() -> None:
    marks = marks_of()
    marks["lead_shoulder"], marks["trail_shoulder"] = (
        marks["trail_shoulder"],
        marks["lead_shoulder"],
    )
    warnings = computed({"landmarks": marks, "click_sd_px": 1.5}).warnings
    assert warnings == ("handedness_doubtful",)
    assert STATION.warning_words[warnings[0]].startswith("The trail shoulder")


def test_verdicts_are_sentences() -> None:
    measures = {value.name: value for value in computed(marking()).measures}
    assert STATION.verdicts is not None
    assert STATION.verdicts(measures)[0].startswith("The club trails: ")


def test_a_specialty_shot_is_a_club_class_of_its_own() -> None:
    assert club_of(still(shot_kind="specialty", club_class="driver")) == "specialty"
    assert club_of(still(club_class="driver")) == "driver"


def test_marks_that_cannot_be_right_are_refused() -> None:
    with pytest.raises(StillRefused, match="not been placed"):
        computed({"landmarks": {}, "click_sd_px": 1.5})


@pytest.mark.parametrize(
    "payload",
    [
        {},
        {"landmarks": [], "click_sd_px": 1.5},
        {"landmarks": {}},
        {"landmarks": {}, "click_sd_px": 0},
        {"landmarks": {}, "click_sd_px": "1.5"},
    ],
)
def test_anything_else_is_refused_in_words(payload: dict[str, Any]) -> None:
    with pytest.raises(EntryRefused):
        computed(payload)


def test_impact_is_measured_on_a_still() -> None:
    with pytest.raises(EntryRefused, match="on a still"):
        STATION.compute(marking(), Context())
