"""How far each measure of a still scatters between swings and between sessions, as assumed.

Both set-ups have a levelled tripod on a floor mark and 240 frames a second. `ONE_FRAME` is the one
chosen as nearest to the strike, with joints seen by eye; `TWO_FRAMES` are those on either side of
it, with tape on the joints. The spread between sessions follows from the geometry of the camera,
taken to stand within 2.3 degrees of square (one standard deviation), and half of that where the
whole protocol is kept. A frame chosen as nearest is early or late by up to half a frame, which is
in the spread of its swings; between two frames some 10 mm of doubt about the club head remain. The
spread of the swings themselves and the scatter of marks are assumed outright. All are nobody's
measurement until a school has made its own study.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from assessments.statistics.change import SetUp

Spreads = Mapping[str, SetUp]

_ONE, _TWO = "one frame, joints seen by eye", "two frames, joints marked"

# Ball diameters and degrees: swing, session, click, rater.
ONE_FRAME: dict[str, SetUp] = {
    "forearm_line_offset_bd": SetUp(_ONE, 1.03, 0.30, 0.95, 0.45),
    "forearm_lean_deg": SetUp(_ONE, 2.3, 0.6, 3.5, 1.0),
    "shaft_lean_deg": SetUp(_ONE, 3.3, 1.3, 0.72, 0.3),
    "forearm_shaft_angle_deg": SetUp(_ONE, 2.9, 0.9, 3.5, 1.0),
    "grip_line_clearance_bd": SetUp(_ONE, 0.62, 0.25, 0.50, 0.20),
    "hands_ahead_bd": SetUp(_ONE, 0.56, 0.45, 0.26, 0.10),
    "ball_position_bd": SetUp(_ONE, 0.30, 0.60, 0.38, 0.15),
}
TWO_FRAMES: dict[str, SetUp] = {
    "forearm_line_offset_bd": SetUp(_TWO, 0.8, 0.15, 0.55, 0.15),
    "forearm_lean_deg": SetUp(_TWO, 2.0, 0.3, 1.55, 0.35),
    "shaft_lean_deg": SetUp(_TWO, 2.1, 0.65, 0.55, 0.10),
    "forearm_shaft_angle_deg": SetUp(_TWO, 2.5, 0.45, 1.6, 0.35),
    "grip_line_clearance_bd": SetUp(_TWO, 0.55, 0.13, 0.26, 0.07),
    "hands_ahead_bd": SetUp(_TWO, 0.50, 0.23, 0.20, 0.04),
    "ball_position_bd": SetUp(_TWO, 0.30, 0.30, 0.24, 0.05),
}


def widest(found: Iterable[Spreads]) -> Spreads:
    """Of several, each spread of each measure at its largest: stills are as sure as the worst."""
    several = list(found)
    if len(several) == 1:
        return several[0]
    return {name: _widest([spreads[name] for spreads in several]) for name in several[0]}


def _widest(set_ups: list[SetUp]) -> SetUp:
    return SetUp(
        max(set_ups, key=lambda one: one.mdc95()).name,
        swing_sd=max(one.swing_sd for one in set_ups),
        session_sd=max(one.session_sd for one in set_ups),
        click_sd=max(one.click_sd for one in set_ups),
        rater_sd=max(one.rater_sd for one in set_ups),
        assumed=any(one.assumed for one in set_ups),
    )
