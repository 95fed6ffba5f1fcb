"""Every reason to refuse or to doubt a still."""

import math
from dataclasses import replace
from typing import Any

import pytest

from assessments.impact.errors import WARNING_WORDS, WORDS, Doubt, Fault, StillRefused
from assessments.impact.geometry import StillGeometry
from assessments.impact.measures import measure_still
from tests.assessments.impact.marks import mirrored, moved, still

Marks = dict[str, tuple[float, float] | None]
SMALL_BALL: Marks = {"ball_edge_a": (637.0, 800.0), "ball_edge_b": (643.0, 800.0)}

# on the base still: elbow (689, 391), wrist (680, 492), grip (685, 480), shaft (637, 817)
FAULTS: list[tuple[Fault, Marks]] = [
    (Fault.LANDMARK_INVALID, {"lead_wrist": (math.nan, 492.0)}),
    (Fault.LANDMARK_INVALID, {"lead_shoulder": (700.0, math.inf)}),
    (Fault.LANDMARK_INVALID, {"lead_wrist": (1e200, 492.0)}),
    (Fault.LANDMARK_MISSING, {"lead_elbow": None}),
    (Fault.LANDMARK_MISSING, {"ball_edge_b": None}),
    (Fault.LANDMARK_MISSING, {"ground_b": None}),
    (Fault.LANDMARK_FAR_OUTSIDE, {"lead_heel": (1921.0, 790.0)}),
    (Fault.LANDMARK_FAR_OUTSIDE, {"lead_shoulder": (700.0, -481.0)}),
    (Fault.BALL_TOO_SMALL, SMALL_BALL),
    (Fault.BALL_TOO_SMALL, {"ball_edge_a": (640.0, 800.0), "ball_edge_b": (640.0, 800.0)}),
    (Fault.BALL_TOO_LARGE, {"ball_edge_a": (519.0, 800.0), "ball_edge_b": (760.0, 800.0)}),
    (Fault.GROUND_LINE_TOO_SHORT, {"ground_a": (600.0, 810.0), "ground_b": (680.0, 810.0)}),
    (Fault.GROUND_LINE_TOO_SHORT, {"ground_a": (600.0, 810.0), "ground_b": (600.0, 810.0)}),
    (Fault.ROLL_IMPLAUSIBLE, {"ground_a": (440.0, 810.0), "ground_b": (840.0, 920.0)}),
    (Fault.ROLL_IMPLAUSIBLE, {"ground_a": (440.0, 400.0), "ground_b": (440.0, 810.0)}),
    (Fault.FOREARM_TOO_SHORT, {"lead_elbow": (680.0, 492.0), "lead_wrist": (680.0, 492.0)}),
    (Fault.FOREARM_TOO_SHORT, {"lead_elbow": (680.0, 459.0)}),
    (Fault.SHAFT_TOO_SHORT, {"grip_end": (650.0, 720.0)}),
    (Fault.WRIST_BELOW_GROUND, {"lead_wrist": (680.0, 809.0)}),
    (Fault.FOREARM_POINTS_UP, {"lead_elbow": (680.0, 600.0)}),
    (Fault.FOREARM_NEAR_HORIZONTAL, {"lead_elbow": (793.0, 451.0)}),
    (Fault.SHAFT_POINTS_UP, {"shaft_low": (640.0, 360.0)}),
    (Fault.SHAFT_NEAR_HORIZONTAL, {"shaft_low": (300.0, 560.0)}),
]


def codes(geometry: StillGeometry) -> tuple[str, ...]:
    with pytest.raises(StillRefused) as refused:
        measure_still(geometry)
    return refused.value.codes


@pytest.mark.parametrize(("fault", "marks"), FAULTS)
def test_each_fault_alone(fault: Fault, marks: Marks) -> None:
    assert codes(moved(still(), **marks)) == (fault,)


@pytest.mark.parametrize(("fault", "marks"), FAULTS)
def test_each_fault_for_a_left_hander(fault: Fault, marks: Marks) -> None:
    assert codes(mirrored(moved(still(), **marks))) == (fault,)


def test_every_fault_is_reached() -> None:
    of_two_frames = {Fault.FRAMES_TOO_ALIKE, Fault.STRIKE_OUTSIDE_FRAMES}
    assert {fault for fault, _ in FAULTS} == set(Fault) - of_two_frames


def test_a_blurred_click_asks_for_a_longer_forearm() -> None:
    assert codes(still(click_sd_px=12.0)) == (Fault.FOREARM_TOO_SHORT,)
    assert codes(still(click_sd_px=18.0)) == (Fault.FOREARM_TOO_SHORT, Fault.SHAFT_TOO_SHORT)


def test_all_faults_are_collected_in_their_order() -> None:
    bad = moved(
        still(),
        **SMALL_BALL,
        lead_heel=(9999.0, 0.0),
        lead_elbow=(680.0, 600.0),
        shaft_low=(300.0, 560.0),
        lead_shoulder=(math.nan, 0.0),
        ground_b=None,
    )
    assert codes(bad) == (
        Fault.LANDMARK_INVALID,
        Fault.LANDMARK_MISSING,
        Fault.LANDMARK_FAR_OUTSIDE,
        Fault.BALL_TOO_SMALL,
        Fault.FOREARM_POINTS_UP,
        Fault.SHAFT_NEAR_HORIZONTAL,
    )


def test_with_a_bad_ground_line_directions_are_not_judged() -> None:
    bad = moved(
        still(), ground_a=(640.0, 300.0), ground_b=(640.0, 800.0), lead_elbow=(680.0, 600.0)
    )
    assert codes(bad) == (Fault.ROLL_IMPLAUSIBLE,)


def test_without_a_ball_or_a_wrist_the_rest_is_still_looked_at() -> None:
    assert codes(moved(still(), ball_edge_a=None, lead_elbow=(680.0, 600.0))) == (
        Fault.LANDMARK_MISSING,
    )
    assert codes(moved(still(), lead_wrist=None, shaft_low=(640.0, 360.0))) == (
        Fault.LANDMARK_MISSING,
        Fault.SHAFT_POINTS_UP,
    )


def test_nothing_marked() -> None:
    assert codes(replace(still(), landmarks={})) == (Fault.LANDMARK_MISSING,)


def test_just_outside_the_picture_is_allowed() -> None:
    assert measure_still(moved(still(), lead_heel=(1300.0, 970.0))).measures


def test_a_driver_needs_the_foot_of_the_tee() -> None:
    assert codes(still(club="driver")) == (Fault.LANDMARK_MISSING,)
    assert measure_still(moved(still(club="driver"), ground_contact=(640.0, 826.0))).measures


def test_the_refusal_names_the_marks_in_words() -> None:
    with pytest.raises(StillRefused) as refused:
        measure_still(moved(still(), lead_elbow=None, grip_end=None))
    (sentence,) = refused.value.sentences
    assert sentence == f"{WORDS[Fault.LANDMARK_MISSING]} (end of the grip, lead elbow)"
    assert str(refused.value) == sentence


# of the picture, not of the marks; see test_gates.py
GATES = {
    *(Doubt.BALL_SOFT, Doubt.BALL_BLURRED, Doubt.WRIST_SOFT, Doubt.WRIST_BLURRED),
    *(Doubt.SHAFT_SOFT, Doubt.SHAFT_FAINT, Doubt.CAMERA_OFF_SQUARE, Doubt.CAMERA_FAR_OFF_SQUARE),
    Doubt.CORNERS_DOUBTFUL,
}

DOUBTS: list[tuple[Doubt, StillGeometry]] = [
    (Doubt.BALL_SMALL, still(px_per_mm=0.35)),
    (Doubt.ROLL_LARGE, moved(still(), ground_a=(400.0, 800.0), ground_b=(880.0, 826.0))),
    (Doubt.FOREARM_LEAN_LARGE, moved(still(), lead_elbow=(765.0, 410.0))),
    (Doubt.SHAFT_LEAN_LARGE, moved(still(), shaft_low=(430.0, 800.0))),
    (Doubt.FOREARM_LENGTH_RATIO, moved(still(), lead_elbow=(690.0, 340.0))),
    (Doubt.FOREARM_LENGTH_RATIO, moved(still(), lead_elbow=(684.0, 432.0))),
    (Doubt.SHAFT_LENGTH_RATIO, moved(still(), shaft_low=(662.0, 640.0))),
    (Doubt.SHAFT_BOWED, moved(still(), shaft_mid=(666.0, 649.0))),
    (Doubt.SHAFT_BENT, moved(still(), shaft_mid=(672.0, 649.0))),
    (Doubt.ROLL_TOO_LARGE, moved(still(), ground_a=(400.0, 800.0), ground_b=(880.0, 846.0))),
    (Doubt.HEAD_OFF_BALL, moved(still(), club_head=(596.0, 800.0))),
    (Doubt.NOT_AT_IMPACT, moved(still(), club_head=(560.0, 800.0))),
    (Doubt.HANDEDNESS_DOUBTFUL, moved(still(), trail_shoulder=(760.0, 300.0))),
]


@pytest.mark.parametrize(("doubt", "geometry"), DOUBTS)
def test_each_doubt_alone(doubt: Doubt, geometry: StillGeometry) -> None:
    assert measure_still(geometry).warnings == (doubt,)
    assert measure_still(mirrored(geometry)).warnings == (doubt,)


def test_every_doubt_is_reached() -> None:
    elsewhere = {*GATES, Doubt.FRAMES_FAR_APART}
    assert {doubt for doubt, _ in DOUBTS} == set(Doubt) - elsewhere


def test_the_base_still_is_not_doubtful() -> None:
    calm: dict[str, Any] = {"shaft_mid": (661.2, 648.7), "trail_shoulder": (560.0, 320.0)}
    assert measure_still(moved(still(), **calm)).warnings == ()


def test_every_code_has_words() -> None:
    assert set(WORDS) == set(Fault)
    assert set(WARNING_WORDS) == set(Doubt)
    assert all(words.endswith(".") for words in (*WORDS.values(), *WARNING_WORDS.values()))
