"""Why a still is refused, and why a measured one may be doubtful: in words for the coach."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import StrEnum


class Fault(StrEnum):
    """A reason to give no measure at all, in the order in which faults are reported."""

    LANDMARK_INVALID = "landmark_invalid"
    LANDMARK_MISSING = "landmark_missing"
    LANDMARK_FAR_OUTSIDE = "landmark_far_outside"
    BALL_TOO_SMALL = "ball_too_small"
    BALL_TOO_LARGE = "ball_too_large"
    GROUND_LINE_TOO_SHORT = "ground_line_too_short"
    ROLL_IMPLAUSIBLE = "roll_implausible"
    FOREARM_TOO_SHORT = "forearm_too_short"
    SHAFT_TOO_SHORT = "shaft_too_short"
    WRIST_BELOW_GROUND = "wrist_below_ground"
    FOREARM_POINTS_UP = "forearm_points_up"
    FOREARM_NEAR_HORIZONTAL = "forearm_near_horizontal"
    SHAFT_POINTS_UP = "shaft_points_up"
    SHAFT_NEAR_HORIZONTAL = "shaft_near_horizontal"
    FRAMES_TOO_ALIKE = "frames_too_alike"
    STRIKE_OUTSIDE_FRAMES = "strike_outside_frames"


class Doubt(StrEnum):
    """A reason to look again at a still that was measured."""

    BALL_SMALL = "ball_small"
    ROLL_LARGE = "roll_large"
    FOREARM_LEAN_LARGE = "forearm_lean_large"
    SHAFT_LEAN_LARGE = "shaft_lean_large"
    FOREARM_LENGTH_RATIO = "forearm_length_ratio"
    SHAFT_LENGTH_RATIO = "shaft_length_ratio"
    SHAFT_BOWED = "shaft_bowed"
    HANDEDNESS_DOUBTFUL = "handedness_doubtful"
    FRAMES_FAR_APART = "frames_far_apart"
    HEAD_OFF_BALL = "head_off_ball"
    NOT_AT_IMPACT = "not_at_impact"
    BALL_SOFT = "ball_soft"
    BALL_BLURRED = "ball_blurred"
    WRIST_SOFT = "wrist_soft"
    WRIST_BLURRED = "wrist_blurred"
    SHAFT_SOFT = "shaft_soft"
    SHAFT_FAINT = "shaft_faint"
    SHAFT_BENT = "shaft_bent"
    ROLL_TOO_LARGE = "roll_too_large"
    CAMERA_OFF_SQUARE = "camera_off_square"
    CAMERA_FAR_OFF_SQUARE = "camera_far_off_square"
    CORNERS_DOUBTFUL = "corners_doubtful"

    @property
    def keeps_out(self) -> bool:
        """Whether the still stays out of ranks and claims.

        The others only make a number less sure, which its ± says.
        """
        return keeps_out(self)


def keeps_out(code: str) -> bool:
    """`Doubt.keeps_out` by code; False for what other stations than impact warn of."""
    return code in _KEEPS_OUT


_KEEPS_OUT = frozenset(
    {
        Doubt.FOREARM_LEAN_LARGE,
        Doubt.SHAFT_LEAN_LARGE,
        Doubt.FOREARM_LENGTH_RATIO,
        Doubt.SHAFT_LENGTH_RATIO,
        Doubt.HANDEDNESS_DOUBTFUL,
        Doubt.NOT_AT_IMPACT,
        Doubt.BALL_BLURRED,
        Doubt.WRIST_BLURRED,
        Doubt.SHAFT_FAINT,
        Doubt.SHAFT_BENT,
        Doubt.ROLL_TOO_LARGE,
        Doubt.CAMERA_FAR_OFF_SQUARE,
    }
)


WORDS: dict[str, str] = {
    Fault.LANDMARK_INVALID: "A mark has no readable position. Place it again.",
    Fault.LANDMARK_MISSING: "A mark that is needed has not been placed yet. Place it.",
    Fault.LANDMARK_FAR_OUTSIDE: "A mark lies far outside the picture. Move it back into place.",
    Fault.BALL_TOO_SMALL: (
        "The ball is under 8 pixels across, too small to be the scale. "
        "Check its two edges, or film closer or at a higher resolution."
    ),
    Fault.BALL_TOO_LARGE: (
        "The ball fills more than a quarter of the picture. "
        "Place its two marks on the edges of the ball itself."
    ),
    Fault.GROUND_LINE_TOO_SHORT: (
        "The two ground marks are less than five balls apart, too near to give the level. "
        "Move them to the ends of the stick."
    ),
    Fault.ROLL_IMPLAUSIBLE: (
        "The ground marks say that the picture tilts by more than 15 degrees. "
        "Place both on the target line, or film again with the camera level."
    ),
    Fault.FOREARM_TOO_SHORT: (
        "Elbow and wrist are too near each other to give a direction. "
        "Place each on the middle of its joint."
    ),
    Fault.SHAFT_TOO_SHORT: (
        "The two marks on the club are too near each other to give a direction. "
        "Place one on the end of the grip and one just above the club head."
    ),
    Fault.WRIST_BELOW_GROUND: (
        "The lead wrist is marked below the ball. Check the wrist, and that the picture is upright."
    ),
    Fault.FOREARM_POINTS_UP: (
        "The lead elbow is marked below the wrist. Check that the two are not swapped."
    ),
    Fault.FOREARM_NEAR_HORIZONTAL: (
        "The lead forearm lies more than 60 degrees from upright, which is not impact. "
        "Check elbow and wrist, or choose another frame."
    ),
    Fault.SHAFT_POINTS_UP: (
        "The end of the grip is marked below the shaft. Check that the two are not swapped."
    ),
    Fault.SHAFT_NEAR_HORIZONTAL: (
        "The shaft lies more than 60 degrees from upright, which is not impact. "
        "Check the marks on the club, or choose another frame."
    ),
    Fault.FRAMES_TOO_ALIKE: (
        "The club head has moved less than a ball from the first frame to the second. "
        "Choose the last frame before the strike and the first one after it."
    ),
    Fault.STRIKE_OUTSIDE_FRAMES: (
        "The club head meets the ball before the first frame or after the second. "
        "Choose the frames on either side of the strike, or check the marks on the head."
    ),
}

WARNING_WORDS: dict[str, str] = {
    Doubt.BALL_SMALL: (
        "The ball is under 16 pixels across, so every number is less sure. Film closer next time."
    ),
    Doubt.ROLL_LARGE: (
        "The picture tilts by more than 3 degrees. It is corrected, but level the camera next time."
    ),
    Doubt.FOREARM_LEAN_LARGE: (
        "The lead forearm lies more than 45 degrees from upright. Check elbow and wrist."
    ),
    Doubt.SHAFT_LEAN_LARGE: (
        "The shaft leans by more than 35 degrees. Check the marks on the club and the frame."
    ),
    Doubt.FOREARM_LENGTH_RATIO: (
        "The lead forearm is not between 4 and 8 balls long. Check elbow, wrist and ball edges."
    ),
    Doubt.SHAFT_LENGTH_RATIO: (
        "The marked part of the club is not between 12 and 30 balls long. "
        "Check the marks on the club and the ball edges."
    ),
    Doubt.SHAFT_BOWED: (
        "The three marks on the shaft do not lie on one line: the frame is blurred or distorted, "
        "or a mark has slipped. Place the middle one once more."
    ),
    Doubt.HANDEDNESS_DOUBTFUL: (
        "The trail shoulder is marked nearer the target than the lead shoulder. "
        "Check whether the golfer plays left-handed or the picture was flipped."
    ),
    Doubt.FRAMES_FAR_APART: (
        "Fewer than 120 frames a second: between the two frames the club does not turn evenly, so "
        "the instant of the strike is less sure. Film at 120 or 240 next time."
    ),
    Doubt.HEAD_OFF_BALL: (
        "The club head is more than a ball away from the ball, so this is a little before or after "
        "the strike. Add the frame before it, or choose a nearer one."
    ),
    Doubt.NOT_AT_IMPACT: (
        "The club head is more than three balls from the ball, so this is not the strike. "
        "Choose another frame, or add the frame before it."
    ),
    Doubt.BALL_SOFT: "The ball is a little out of focus. Check its two edges.",
    Doubt.BALL_BLURRED: "The ball is out of focus, so the scale cannot be trusted.",
    Doubt.WRIST_SOFT: "The lead wrist is a little blurred. A shorter exposure shows it better.",
    Doubt.WRIST_BLURRED: (
        "The lead wrist is blurred by its movement, so its place cannot be trusted. "
        "Film in more light, or with a shorter exposure."
    ),
    Doubt.SHAFT_SOFT: "The shaft is hard to see. Check the two marks on it.",
    Doubt.SHAFT_FAINT: (
        "The shaft does not stand out from what is behind it, so its line cannot be trusted."
    ),
    Doubt.SHAFT_BENT: (
        "The three marks on the shaft are far from one line: the frame is distorted by movement, "
        "or a mark has slipped."
    ),
    Doubt.ROLL_TOO_LARGE: (
        "The picture tilts by more than 5 degrees, too much to compare with others. "
        "Level the camera."
    ),
    Doubt.CAMERA_OFF_SQUARE: (
        "The stick tilts by more than half a degree though the camera is levelled: the camera has "
        "probably been moved round the golfer. Put it back on its mark."
    ),
    Doubt.CAMERA_FAR_OFF_SQUARE: (
        "The stick tilts by more than a degree though the camera is levelled: the camera stands "
        "too far off square to compare this still with others, unless all four corners are marked."
    ),
    Doubt.CORNERS_DOUBTFUL: (
        "The four corners do not fit the rectangle and the camera of this place, so the camera is "
        "not corrected for. Check the corners, and the lengths that are set up."
    ),
}


class StillRefused(Exception):
    """The marks on a still cannot be measured; says every reason that could be found.

    Parameters
    ----------
    codes
        The faults, first in the order of `Fault`.
    about
        For a fault that concerns single marks, their names in words.
    """

    def __init__(self, codes: Sequence[str], about: Mapping[str, str] | None = None) -> None:
        order: list[str] = list(Fault)
        self.codes = tuple(sorted(codes, key=order.index))
        self.about = dict(about or {})
        super().__init__(" ".join(self.sentences))

    @property
    def sentences(self) -> tuple[str, ...]:
        """One sentence a fault, naming the marks it is about."""
        return tuple(
            f"{WORDS[code]} ({self.about[code]})" if code in self.about else WORDS[code]
            for code in self.codes
        )
