"""How far each measure of a still scatters between swings and between sessions, as assumed.

The set-up meant is a levelled tripod on a floor mark, one frame at 240 a second chosen as nearest
to the strike, and joints without marks. The spread between sessions follows from the geometry of
the camera, taken to stand within 2.3 degrees (one standard deviation) of square; the spread
between swings and the scatter of marks are assumed outright. All are nobody's measurement until a
school has made its own study.
"""

from __future__ import annotations

from assessments.statistics.change import SetUp

_NAME = "one frame, unmarked"

# Ball diameters and degrees. The frame's timing is part of the swing's spread.
ONE_FRAME: dict[str, SetUp] = {
    "forearm_line_offset_bd": SetUp(_NAME, 1.03, 0.30, 0.95, 0.45),
    "forearm_lean_deg": SetUp(_NAME, 2.3, 0.6, 3.5, 1.0),
    "shaft_lean_deg": SetUp(_NAME, 3.3, 1.3, 0.72, 0.3),
    "forearm_shaft_angle_deg": SetUp(_NAME, 2.9, 0.9, 3.5, 1.0),
    "grip_line_clearance_bd": SetUp(_NAME, 0.62, 0.25, 0.50, 0.20),
    "hands_ahead_bd": SetUp(_NAME, 0.56, 0.45, 0.26, 0.10),
    "ball_position_bd": SetUp(_NAME, 0.30, 0.60, 0.38, 0.15),
}
