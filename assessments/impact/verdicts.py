"""What a measured offset or clearance says, as far as its uncertainty lets it.

A side is taken only past two standard uncertainties; in between the answer is the middle word.
"""

from __future__ import annotations

from enum import StrEnum


class ForearmVerdict(StrEnum):
    """How the club stands to the lead-forearm line."""

    TRAILS = "trails"
    LEVEL = "level"
    PASSED = "passed"

    @property
    def sentence(self) -> str:
        """One sentence for a page or a report."""
        return _FOREARM[self]


class GripVerdict(StrEnum):
    """Where the grip line, carried up, goes past the lead shoulder."""

    OUTSIDE = "outside"
    AT_SHOULDER = "at the shoulder"
    THROUGH_BODY = "through the body"

    @property
    def sentence(self) -> str:
        """One sentence for a page or a report."""
        return _GRIP[self]


_FOREARM = {
    ForearmVerdict.TRAILS: (
        "The club trails: the lead-forearm line meets the ground ahead of the back of the ball."
    ),
    ForearmVerdict.LEVEL: (
        "Level: the lead-forearm line meets the ground at the back of the ball, "
        "as near as this still can tell."
    ),
    ForearmVerdict.PASSED: (
        "The club has passed: the lead-forearm line meets the ground behind the back of the ball."
    ),
}
_GRIP = {
    GripVerdict.OUTSIDE: "The grip line passes outside the lead shoulder, on the target side.",
    GripVerdict.AT_SHOULDER: (
        "The grip line points at the lead shoulder, as near as this still can tell."
    ),
    GripVerdict.THROUGH_BODY: "The grip line points through the body.",
}


def forearm_verdict(value: float, u: float) -> ForearmVerdict:
    """Judge a forearm-line offset from its value and standard uncertainty, in one unit."""
    if value > 2 * u:
        return ForearmVerdict.TRAILS
    return ForearmVerdict.PASSED if value < -2 * u else ForearmVerdict.LEVEL


def grip_verdict(value: float, u: float) -> GripVerdict:
    """Judge a grip-line clearance from its value and standard uncertainty, in one unit."""
    if value > 2 * u:
        return GripVerdict.OUTSIDE
    return GripVerdict.THROUGH_BODY if value < -2 * u else GripVerdict.AT_SHOULDER
