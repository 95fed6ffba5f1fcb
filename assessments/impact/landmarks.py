"""The points marked on a still, in words, and how they are read from outside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from assessments.impact.errors import Fault, StillRefused

Club = Literal["driver", "wood", "iron", "wedge", "specialty"]
Handedness = Literal["right", "left"]


class Landmark(StrEnum):
    """A point marked on a still, in the order in which it is best marked."""

    BALL_EDGE_A = "ball_edge_a"
    BALL_EDGE_B = "ball_edge_b"
    GROUND_CONTACT = "ground_contact"
    GRIP_END = "grip_end"
    SHAFT_LOW = "shaft_low"
    LEAD_WRIST = "lead_wrist"
    LEAD_ELBOW = "lead_elbow"
    LEAD_SHOULDER = "lead_shoulder"
    LEAD_HEEL = "lead_heel"
    GROUND_A = "ground_a"
    GROUND_B = "ground_b"
    SHAFT_MID = "shaft_mid"
    TRAIL_SHOULDER = "trail_shoulder"
    CLUB_HEAD = "club_head"
    GROUND_C = "ground_c"
    GROUND_D = "ground_d"

    @property
    def label(self) -> str:
        """The name of the point as it stands on a page."""
        return _LABELS[self][0]

    @property
    def where(self) -> str:
        """One sentence that says where to click."""
        return _LABELS[self][1]


_LABELS: dict[Landmark, tuple[str, str]] = {
    Landmark.BALL_EDGE_A: (
        "ball, trail edge",
        "Click the edge of the ball on the trail side, level with its middle.",
    ),
    Landmark.BALL_EDGE_B: (
        "ball, target edge",
        "Click the opposite edge of the ball, straight across from the first.",
    ),
    Landmark.GROUND_CONTACT: (
        "foot of the tee",
        "Click where the tee enters the ground, straight below the ball.",
    ),
    Landmark.GRIP_END: ("end of the grip", "Click the butt of the club, at the end of the grip."),
    Landmark.SHAFT_LOW: (
        "shaft above the head",
        "Click the middle of the shaft just above the club head.",
    ),
    Landmark.LEAD_WRIST: (
        "lead wrist",
        "Click the middle of the lead wrist, where a watch would sit.",
    ),
    Landmark.LEAD_ELBOW: ("lead elbow", "Click the middle of the lead elbow joint."),
    Landmark.LEAD_SHOULDER: ("lead shoulder", "Click the middle of the lead shoulder joint."),
    Landmark.LEAD_HEEL: ("lead heel", "Click the back of the lead shoe, where the heel stands."),
    Landmark.GROUND_A: (
        "ground, trail side",
        "Click the ground line at its end on the trail side: the tip of the stick.",
    ),
    Landmark.GROUND_B: (
        "ground, target side",
        "Click the same ground line at its end on the target side.",
    ),
    Landmark.SHAFT_MID: (
        "middle of the shaft",
        "Click the middle of the shaft about half-way between hands and head.",
    ),
    Landmark.TRAIL_SHOULDER: ("trail shoulder", "Click the middle of the trail shoulder joint."),
    Landmark.CLUB_HEAD: (
        "club head, front",
        "Click the part of the club face that is nearest the target, at the height of the ball.",
    ),
    Landmark.GROUND_C: (
        "far corner, target side",
        "Click the corner of the ground rectangle farther from the camera, on the target side.",
    ),
    Landmark.GROUND_D: (
        "far corner, trail side",
        "Click the corner of the ground rectangle farther from the camera, on the trail side.",
    ),
}

REQUIRED: tuple[Landmark, ...] = (
    Landmark.BALL_EDGE_A,
    Landmark.BALL_EDGE_B,
    Landmark.GRIP_END,
    Landmark.SHAFT_LOW,
    Landmark.LEAD_WRIST,
    Landmark.LEAD_ELBOW,
)

STILL_THERE: tuple[Landmark, ...] = (
    Landmark.BALL_EDGE_A,
    Landmark.BALL_EDGE_B,
    Landmark.GROUND_CONTACT,
    Landmark.GROUND_A,
    Landmark.GROUND_B,
    Landmark.GROUND_C,
    Landmark.GROUND_D,
)
"""What does not move between two frames of one clip: marked in the first, it serves the second."""

# Assumed spreads (one standard deviation, mm) of where a careful person sees a joint; a school
# replaces them by its own study. Marked: tape on elbow and wrist, short sleeves.
PLACEMENT_UNMARKED_MM: dict[Landmark, float] = {
    Landmark.LEAD_ELBOW: 12.0,
    Landmark.LEAD_WRIST: 8.0,
    Landmark.LEAD_SHOULDER: 15.0,
    Landmark.GRIP_END: 8.0,
    Landmark.SHAFT_LOW: 3.0,
    Landmark.LEAD_HEEL: 15.0,
}
PLACEMENT_MARKED_MM: dict[Landmark, float] = {
    Landmark.LEAD_ELBOW: 3.0,
    Landmark.LEAD_WRIST: 3.0,
    Landmark.LEAD_SHOULDER: 5.0,
    Landmark.GRIP_END: 4.0,
    Landmark.SHAFT_LOW: 3.0,
    Landmark.LEAD_HEEL: 8.0,
}


@dataclass(frozen=True)
class Point:
    """A point in pixels of the full still: u to the right, v down, pixel centres at +0.5."""

    u: float
    v: float


Landmarks = Mapping[Landmark, Point]


def needed(club: Club, placed: Landmarks) -> tuple[Landmark, ...]:
    """The landmarks without which nothing is measured.

    A driver's ball stands on a tee, so the ground must be marked below it. Half a ground line is
    an oversight and not a wish to do without one, so its other end is needed too.
    """
    extra = [Landmark.GROUND_CONTACT] if club == "driver" else []
    ends = (Landmark.GROUND_A, Landmark.GROUND_B)
    if any(end in placed for end in ends):
        extra += ends
    return (*REQUIRED, *extra)


def parse_landmarks(raw: Mapping[str, Sequence[float]]) -> dict[Landmark, Point]:
    """Read landmarks from names and pairs of numbers, as they come from a page or a file.

    Raises
    ------
    StillRefused
        With `landmark_invalid`, for an unknown name or anything but a pair of numbers.
    """
    marks: dict[Landmark, Point] = {}
    unreadable: list[str] = []
    for name, position in raw.items():
        try:
            u, v = position
            marks[Landmark(name)] = Point(number(u), number(v))
        except (TypeError, ValueError, OverflowError):
            unreadable.append(ascii(name)[1:-1])  # half a character cannot be shown
    if unreadable:
        raise StillRefused(
            [Fault.LANDMARK_INVALID], {Fault.LANDMARK_INVALID: ", ".join(unreadable)}
        )
    return marks


def number(value: object) -> float:
    """A float from an int or float; raises TypeError for anything else, true and false too."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError("not a number")
    return float(value)
