"""What the physical screen asks for, in the order of the test, and what is usual of it.

Angles are read with a goniometer or a phone laid along the limb. Sides are lead and trail.
"""

from __future__ import annotations

from dataclasses import dataclass

from assessments.stations.base import Typical
from school.models import Handedness

LEAD, TRAIL = "lead", "trail"
DEGREES, SECONDS, SEEN = "deg", "s", "seen"
CAP_S = 30
ANGLE_U_DEG = 4.0
TIME_U_SHARE = 0.25


@dataclass(frozen=True)
class Item:
    """One movement; `low` and `high` bound what can be entered, `normal` is what is published."""

    key: str
    title: str
    unit: str
    how: str
    caution: str
    low: float = 0
    high: float = 0
    normal: float | None = None
    has_sides: bool = True
    side_words: str = "side"

    @property
    def usual(self) -> Typical | None:
        """From two thirds of the published value up."""
        if self.normal is None:
            return None
        source = (
            f"AAOS, Joint Motion (1965), about {self.normal:g}°, from memory; "
            "that two thirds of it are usual: common practice, no source"
        )
        return Typical(round(self.normal * 2 / 3), None, source)


@dataclass(frozen=True)
class Part:
    """An item on one side; `key` is its place among what was found."""

    item: Item
    side: str = ""

    @property
    def key(self) -> str:
        return f"{self.item.key}_{self.side}" if self.side else self.item.key

    @property
    def title(self) -> str:
        """`hip turned inward, lead side`."""
        if not self.side:
            return self.item.title
        return f"{self.item.title}, {self.side} {self.item.side_words}"

    @property
    def heading(self) -> str:
        """The title as a line begins with it."""
        return self.title[:1].upper() + self.title[1:]

    @property
    def measure(self) -> str:
        return f"{self.key}_{self.item.unit}"


ITEMS = (
    Item(
        "trunk_rotation",
        "seated trunk rotation",
        DEGREES,
        "Seated, knees together, a club held across the chest with crossed arms. Turn slowly to "
        "one side as far as is easy; feet and knees stay. Read how far the club turned.",
        "Leave it out with any trouble of the back.",
        high=100,
        normal=45,
    ),
    Item(
        "hip_internal_rotation",
        "hip turned inward",
        DEGREES,
        "Seated, thighs on the bench, lower legs hanging. The knee stays where it is and the foot "
        "swings outward. Read the lower leg from the vertical.",
        "Leave it out after an operation of the hip.",
        high=80,
        normal=45,
    ),
    Item(
        "shoulder_external_rotation",
        "shoulder turned outward",
        DEGREES,
        "Upper arm out to the side at the height of the shoulder, elbow at a right angle, forearm "
        "pointing forward. Turn the forearm up and back as far as is easy. Read it from level.",
        "Leave it out after an operation or a dislocation of the shoulder.",
        high=150,
        normal=90,
    ),
    Item(
        "ankle_dorsiflexion",
        "ankle bent upward",
        DEGREES,
        "Seated, knee bent, heel on the floor under the knee. Pull the foot up. Read the sole "
        "from the floor.",
        "May be left out.",
        low=-20,
        high=50,
        normal=20,
    ),
    Item(
        "wrist_extension",
        "wrist bent backward",
        DEGREES,
        "Forearm flat on a table, the hand over its edge. Lift the back of the hand. Read the "
        "hand from the table.",
        "May be left out.",
        high=110,
        normal=70,
    ),
    Item(
        "one_leg_balance",
        "standing on one leg",
        SECONDS,
        "In shoes, eyes open, arms crossed. Lift one foot; stop the watch when it touches down, "
        f"when the arms open, or at {CAP_S} seconds.",
        "On dry, level ground, within reach of a wall, with somebody beside.",
        high=CAP_S,
        side_words="leg",
    ),
    Item(
        "toe_touch",
        "toe touch",
        SEEN,
        "Standing, knees straight but not locked. Bend forward slowly and let the hands hang. Do "
        "the fingertips reach the floor?",
        "Leave it out with any trouble of the back. Come up slowly.",
        has_sides=False,
    ),
    Item(
        "overhead_squat",
        "overhead squat",
        SEEN,
        "Feet as wide as the shoulders, a club held overhead on straight arms. Sit down as far as "
        "is easy. Do the thighs come level, with heels on the floor and the club above the feet?",
        "Leave it out with any trouble of knee, hip, back or shoulder.",
        has_sides=False,
    ),
)
SIDES = (LEAD, TRAIL)
PARTS = tuple(Part(item, side) for item in ITEMS for side in (SIDES if item.has_sides else ("",)))

# Mean seconds on one leg with eyes open from that age on, and how they are used
BALANCE_MEANS_S = ((18, 43.3), (40, 40.3), (50, 37.0), (60, 26.9), (70, 15.0), (80, 6.2))
BALANCE_SOURCE = (
    "B. A. Springer et al., J Geriatr Phys Ther 30(1) (2007) 8-15, means of an age, from memory; "
    "that half of them are usual: common practice, no source"
)


def usual_balance_s(age_years: float | None) -> float | None:
    """The seconds from which standing on one leg is usual at an age; None below 18 or unknown."""
    means = [mean for age, mean in BALANCE_MEANS_S if age_years is not None and age_years >= age]
    return means[-1] / 2 if means else None


def side_of_body(side: str, handedness: str) -> str:
    """`left` or `right`: lead is left for who plays right-handed."""
    is_left = (side == LEAD) == (handedness == Handedness.RIGHT)
    return "left" if is_left else "right"
