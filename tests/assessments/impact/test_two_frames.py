"""A swing measured between two frames, against a golfer whose club and arm turn evenly."""

import math
from dataclasses import replace

import numpy as np
import pytest

from assessments.impact.errors import Doubt, Fault, StillRefused
from assessments.impact.geometry import StillGeometry
from assessments.impact.landmarks import Landmark
from assessments.impact.measures import measure_still
from assessments.impact.two_frames import measure_two_frames
from tests.assessments.impact.marks import BASE_MM, GRIP, WRIST, mirrored, moved, still

FLO, LEAN = "forearm_line_offset_bd", "shaft_lean_deg"
HANDS_MM_S, CLUB_MM_S = 9000.0, 38000.0


def frame(late_s: float) -> StillGeometry:
    """So long after the strike: the hands move on, the club turns about the grip, the arm leans."""
    turned = (CLUB_MM_S - HANDS_MM_S) / 850 * late_s
    lean, shaft = math.radians(5) - 6 * late_s, math.radians(8) - turned
    wrist = (WRIST[0] + HANDS_MM_S * late_s, WRIST[1])
    grip = (GRIP[0] + HANDS_MM_S * late_s, GRIP[1])
    at_strike = -BASE_MM[Landmark.BALL_EDGE_B][0]
    return still(
        BASE_MM
        | {
            Landmark.LEAD_WRIST: wrist,
            Landmark.LEAD_ELBOW: (
                wrist[0] + 255 * math.sin(lean),
                wrist[1] + 255 * math.cos(lean),
            ),
            Landmark.GRIP_END: grip,
            Landmark.SHAFT_LOW: (grip[0] - 850 * math.sin(shaft), grip[1] - 850 * math.cos(shaft)),
            Landmark.CLUB_HEAD: (at_strike + CLUB_MM_S * late_s, 0.0),
        }
    )


def pair(rate: float, share: float) -> tuple[StillGeometry, StillGeometry]:
    """Two frames that follow each other, the strike at a share of the way between them."""
    return frame(-share / rate), frame((1 - share) / rate)


TRUTH = measure_still(moved(frame(0), club_head=None)).measures


@pytest.mark.parametrize("share", [0.0, 0.3, 0.5, 0.9, 1.0])
@pytest.mark.parametrize(("rate", "most_bd", "most_deg"), [(240, 0.03, 0.1), (120, 0.1, 0.3)])
def test_the_strike_is_found_between_the_frames(
    rate: float, most_bd: float, most_deg: float, share: float
) -> None:
    result = measure_two_frames(*pair(rate, share))
    assert result.frames == 2
    assert result.strike_weight == pytest.approx(share, abs=1e-9)
    assert result.measures[FLO].value == pytest.approx(TRUTH[FLO].value, abs=most_bd)
    assert result.measures[LEAN].value == pytest.approx(TRUTH[LEAN].value, abs=most_deg)


def test_the_nearest_single_frame_is_far_worse() -> None:
    early, _ = pair(240, 0.5)
    single = measure_still(moved(early, club_head=None)).measures[FLO].value
    assert abs(single - TRUTH[FLO].value) > 0.5


def test_the_ball_of_the_first_frame_serves_a_second_that_has_lost_it() -> None:
    before, after = pair(240, 0.4)
    gone = moved(after, ball_edge_a=None, ball_edge_b=None, ground_a=None, ground_b=None)
    whole, borrowed = measure_two_frames(before, after), measure_two_frames(before, gone)
    for name, measured in whole.measures.items():
        assert borrowed.measures[name].value == pytest.approx(measured.value, abs=1e-9)


def test_the_doubt_of_the_head_is_counted() -> None:
    frames = pair(240, 0.5)
    u = [
        measure_two_frames(*frames, head_sd_mm=sd).measures[LEAN].standard_uncertainty
        for sd in (0.0, 10.0)
    ]
    head = math.sqrt(u[1] ** 2 - u[0] ** 2)
    assert 0.3 < head < 0.8  # two heads of 10 mm, of 158 mm a frame, of 9 degrees a frame


def test_the_uncertainty_is_that_of_marking_both_frames_again() -> None:
    frames = pair(240, 0.4)
    result = measure_two_frames(*frames, head_sd_mm=0.0)
    rng = np.random.default_rng(3)
    drawn = []
    for _ in range(400):
        shaken = [
            replace(
                f,
                landmarks={
                    m: replace(p, u=p.u + rng.normal(0, 1.5), v=p.v + rng.normal(0, 1.5))
                    for m, p in f.landmarks.items()
                },
            )
            for f in frames
        ]
        drawn.append(measure_two_frames(*shaken, head_sd_mm=0.0).measures[FLO].value)
    assert np.std(drawn) == pytest.approx(result.measures[FLO].standard_uncertainty, rel=0.12)


def test_a_left_hander_gives_the_same() -> None:
    before, after = pair(240, 0.4)
    one = measure_two_frames(before, after).measures
    other = measure_two_frames(mirrored(before), mirrored(after)).measures
    assert {n: m.value for n, m in other.items()} == pytest.approx(
        {n: m.value for n, m in one.items()}, abs=1e-9
    )


def test_a_fixed_scale_enters_once_for_both() -> None:
    before, after = (replace(f, scale_px=17.068, scale_sd_px=0.1) for f in pair(240, 0.4))
    result = measure_two_frames(before, after)
    assert result.measures["ball_diameter_px"].value == pytest.approx(17.068)
    assert result.measures["ball_diameter_px"].standard_uncertainty == pytest.approx(0.1)


def test_few_frames_a_second_are_doubtful() -> None:
    frames = pair(60, 0.5)
    assert Doubt.FRAMES_FAR_APART in measure_two_frames(*frames, frames_a_second=60).warnings
    assert Doubt.FRAMES_FAR_APART not in measure_two_frames(*frames, frames_a_second=240).warnings


def test_a_head_not_at_the_ball_is_no_doubt_of_two_frames() -> None:
    assert Doubt.NOT_AT_IMPACT not in measure_two_frames(*pair(240, 0.5)).warnings
    assert Doubt.NOT_AT_IMPACT in measure_still(frame(0.005)).warnings


@pytest.mark.parametrize(
    ("frames", "fault"),
    [
        ((frame(0.001), frame(0.005)), Fault.STRIKE_OUTSIDE_FRAMES),
        ((frame(-0.005), frame(-0.001)), Fault.STRIKE_OUTSIDE_FRAMES),
        ((frame(-0.0005), frame(0.0001)), Fault.FRAMES_TOO_ALIKE),
        ((moved(frame(-0.002), club_head=None), frame(0.002)), Fault.LANDMARK_MISSING),
    ],
)
def test_frames_that_do_not_hold_the_strike_are_refused(
    frames: tuple[StillGeometry, StillGeometry], fault: Fault
) -> None:
    with pytest.raises(StillRefused) as refused:
        measure_two_frames(*frames)
    assert refused.value.codes == (fault,)
