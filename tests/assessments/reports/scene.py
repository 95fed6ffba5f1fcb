"""A golfer with a full school behind them: stills of the house, shots, putts, a paragraph."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from django.conf import settings

from assessments.impact.geometry import CLICK_SD_PX
from assessments.models import Drill, Entry, Measure, PracticePlan, Signature, Still
from assessments.reports.fingerprint import fingerprint_of
from assessments.reports.gather import gather
from assessments.stations import registry
from assessments.stations.base import Context
from school.models import Account, Enrolment
from tests.assessments.factories import (
    FLIP,
    STRONG,
    EntryFactory,
    PracticeItemFactory,
    PracticePlanFactory,
    PriorityFactory,
    StillFactory,
    putts,
)
from tests.assessments.impact.marks import STILLS, rendered
from tests.factories import EnrolmentFactory

LEFT_FLIP, LEFT_STRONG = "09_iron_left_flip", "07_iron_left_strong"
PARAGRAPH = (
    "On Friday your hands had stopped by the time the club reached the ball. By Sunday your lead "
    "arm and the shaft arrived together. Keep the half swings, twenty a day, and stop when they "
    "get ragged. If the long shots float again, go back to the first drill."
)


def full_school(by: Account, **fields: Any) -> Enrolment:
    """An enrolment with everything a report is made of; `fields` are the enrolment's."""
    enrolment: Enrolment = EnrolmentFactory.create(**fields)
    left = enrolment.golfer.handedness == "left"
    for phase, name in (
        ("intake", LEFT_FLIP if left else FLIP),
        ("exit", LEFT_STRONG if left else STRONG),
    ):
        for swing in range(3):
            impact(enrolment, phase, name, shift_px=swing)
        gain = 8.0 if phase == "exit" else 0.0
        record(enrolment, "ball_flight", phase, shots(112 + gain, 43 + gain / 4), by=by)
        record(enrolment, "putting", phase, putts(9, 5 + int(gain / 4), 3), by=by)
    record(enrolment, "coach_paragraph", "exit", {"text": PARAGRAPH}, by=by)
    return enrolment


CHIPS = {
    "tasks": [
        {"task": "chip", "length_m": 10, "left_m": [1.0, 0, 2.0, 0.5]},
        {"task": "pitch", "length_m": 20, "left_m": [2.0, 5.0, 3.0]},
    ],
    "up_and_down": {"tries": 8, "saved": 3},
}
SCREEN = {
    "asked": True,
    "handedness": "right",
    "age_years": 44,
    "found": {
        "trunk_rotation_lead": 31.0,
        "trunk_rotation_trail": 52.0,
        "one_leg_balance_lead": 9.0,
        "one_leg_balance_trail": 22.0,
    },
}


def everything(by: Account, **fields: Any) -> Enrolment:
    """A full school and every other station, most of them once, and a plan for six weeks."""
    enrolment = full_school(by, **fields)
    for phase, centred in (("intake", 4), ("exit", 9)):
        counts = {"centre_middle": centred, "toe_low": 12 - centred}
        record(enrolment, "strike", phase, {"club_class": "iron", "counts": counts}, by=by)
        left_m = [2.0, 1.0, 4.5, 3.0, 6.0]
        record(enrolment, "bunker", phase, {"length_m": 8, "left_m": left_m, "stayed_in": 1}, by=by)
    holes = [
        {"number": n, "par": par, "strokes": par + n % 3, "putts": 2, "stroke_index": n}
        for n, par in enumerate((4, 5, 3, 4, 4, 3, 4, 5, 4), start=1)
    ]
    record(enrolment, "on_course", "practice", {"holes": holes}, by=by)
    record(enrolment, "short_game", "practice", CHIPS, by=by)
    record(enrolment, "physical", "practice", SCREEN, by=by)
    planned(enrolment, *DRILLS)
    return enrolment


DRILLS = (
    *("turf-past-the-line", "towel-under-the-arms", "gate-for-the-putt"),
    *("circle-of-eight", "over-the-towel", "three-six-nine"),
)


def planned(enrolment: Enrolment, *slugs: str) -> PracticePlan:
    """Six weeks of three drills each from the library of the house, in turn."""
    library = json.loads((settings.BASE_DIR / "fixtures" / "drills.json").read_text())
    texts = {row["fields"]["slug"]: row["fields"] for row in library if "name" in row["fields"]}
    drills = [Drill.objects.create(**texts[slug]) for slug in slugs]
    plan: PracticePlan = PracticePlanFactory.create(enrolment=enrolment)
    priority = PriorityFactory.create(plan=plan)
    for week in range(1, 7):
        for position in range(1, min(3, len(drills)) + 1):
            drill = drills[(week + position) % len(drills)]
            PracticeItemFactory.create(
                plan=plan, week=week, position=position, drill=drill, priority=priority
            )
    return plan


def signed(enrolment: Enrolment, by: Account | None = None) -> Enrolment:
    """The attendee, with a signature under what the report says now; by the lead unless said."""
    Signature.objects.create(
        enrolment=enrolment,
        signed_by=by or enrolment.school.lead_instructor.account,
        content_sha256=fingerprint_of(gather(enrolment)),
    )
    return enrolment


def impact(
    enrolment: Enrolment, phase: str, name: str = STRONG, *, shift_px: float = 0.0, **fields: Any
) -> Entry:
    """A marked still of the house; `shift_px` moves the wrist, as another click would."""
    case = rendered(name)
    landmarks = {mark: list(point) for mark, point in case["landmarks_px"].items()}
    landmarks["lead_wrist"][0] += shift_px
    if case["club"] == "driver" and "ground_contact" not in landmarks:
        edges = landmarks["ball_edge_a"], landmarks["ball_edge_b"]
        landmarks["ground_contact"] = [(edges[0][0] + edges[1][0]) / 2, edges[0][1] + 30]
    still = StillFactory.create(
        enrolment=enrolment,
        phase=phase,
        club_class=case["club"],
        handedness=case["handedness"],
        picture__data=(STILLS / f"{name}.jpg").read_bytes(),
        width_px=case["width"],
        height_px=case["height"],
        **fields,
    )
    payload = {"landmarks": landmarks, "click_sd_px": CLICK_SD_PX}
    return record(enrolment, "impact", phase, payload, still=still)


def record(
    enrolment: Enrolment,
    kind: str,
    phase: str,
    payload: dict[str, Any],
    *,
    still: Still | None = None,
    by: Account | None = None,
    supersedes: Entry | None = None,
) -> Entry:
    computed = registry()[kind].compute(payload, Context(still))
    entry: Entry = EntryFactory.create(
        enrolment=enrolment,
        kind=kind,
        phase=phase,
        still=still,
        payload=payload,
        warnings=list(computed.warnings),
        recorded_by=by,
        supersedes=supersedes,
    )
    Measure.objects.bulk_create(
        Measure(entry=entry, **asdict(value)) for value in computed.measures
    )
    return entry


def shots(carry_m: float, ball_speed_m_s: float, club: str = "iron") -> dict[str, Any]:
    """Five shots that scatter around what is given."""
    return {
        "club_class": club,
        "shots": [
            {
                "carry_m": carry_m + 2 * step,
                "side_m": 3.0 * step,
                "ball_speed_mps": ball_speed_m_s + 0.4 * step,
                "club_speed_mps": ball_speed_m_s / 1.4 + 0.2 * step,
                "launch_deg": 20.0 - 0.5 * step,
            }
            for step in (-2, -1, 0, 1, 2)
        ],
        "entered_in": {"distance": "m", "speed": "m/s"},
    }
