"""Stills that hang on a wall: the renderings of the house, as several golfers' swings."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from PIL import Image

from assessments.demo.pictures import swing
from assessments.impact.geometry import CLICK_SD_PX
from assessments.models import Entry
from school.models import Enrolment, School
from tests.assessments.factories import FLIP, STRONG, StillFactory
from tests.assessments.impact.marks import rendered
from tests.assessments.reports.scene import LEFT_FLIP, LEFT_STRONG, record
from tests.factories import EnrolmentFactory, consented

BLURRED = "12_iron_right_early_blurred"
SHOWN, NAMED, KEPT = "shown_in_class", "named_in_class", "reference"

# Eight golfers at exit with an iron.
NAMES = {
    "Alva Birk": STRONG,
    "Bram Colley": FLIP,
    "Cato Dunmore": LEFT_STRONG,
    "Dagny Łukasz-Żółć": LEFT_FLIP,
    "Edda Fenwick": STRONG,
    "Finn Garrow": FLIP,
    "Greta Holm": LEFT_STRONG,
    "Halvard Innes": LEFT_FLIP,
}


def hang(
    enrolment: Enrolment, rendering: str = STRONG, phase: str = "exit", **fields: Any
) -> Entry:
    """A marked still; the same golfer, rendering and phase give the same one."""
    case = rendered(rendering)
    made = swing(rendering, f"{enrolment.golfer.full_name} {phase}")
    width, height = size_of(made.jpeg)
    still = StillFactory.create(
        enrolment=enrolment,
        phase=phase,
        club_class=fields.pop("club_class", case["club"]),
        handedness=case["handedness"],
        picture__data=made.jpeg,
        width_px=width,
        height_px=height,
        **fields,
    )
    payload = {"landmarks": made.landmarks, "click_sd_px": CLICK_SD_PX}
    return record(enrolment, "impact", phase, payload, still=still)


def size_of(jpeg: bytes) -> tuple[int, int]:
    with Image.open(BytesIO(jpeg)) as picture:
        return picture.size


def attendee(school: School, name: str, *kinds: str) -> Enrolment:
    """Somebody seated who agreed to these; to nothing if none are given."""
    enrolment: Enrolment = EnrolmentFactory.create(school=school, golfer__full_name=name)
    return consented(enrolment, *kinds) if kinds else enrolment


def full_wall(school: School) -> list[Entry]:
    """Eight golfers' exit stills with an iron, half of them named; a ninth is doubtful."""
    hung = []
    for number, (name, rendering) in enumerate(NAMES.items()):
        who = attendee(school, name, SHOWN, *([NAMED] if number % 2 == 0 else []))
        hung.append(hang(who, rendering))
    hang(attendee(school, "Ida Jessop", SHOWN), BLURRED)
    return hung
