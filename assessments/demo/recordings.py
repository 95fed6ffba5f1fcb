"""What the instructors record of a golfer, made of what the story says of them in short.

A story gives means; single shots, putts and balls are drawn around them, the same ones each time.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from assessments.actions.entries import record_entry
from assessments.actions.stills import add_still
from assessments.clubs import CLUBS
from assessments.demo.pictures import swing
from assessments.demo.scenario import made_id
from assessments.models import Entry, FilmingPlace, Still
from assessments.stations.bunker import TASK as BUNKER
from assessments.stations.short_game import TASKS
from assessments.statistics.sizes import SIZES
from lessons.models import Session
from school.models import Enrolment, Golfer

Told = Mapping[str, Any]
SHOTS, BALLS, BUNKER_BALLS = 10, 5, 8
PACE_SD_M = {3: 0.25, 6: 0.4, 9: 0.55}
TOPPED = {"ball_speed": 22.0, "launch": -3.0, "carry": 31.0}
# What only some instruments read: the key in a story and in a payload, how far shots scatter, and
# to how many decimals it is read
RARE = (
    ("attack", "attack_angle_deg", 0.8, 1),
    ("path", "club_path_deg", 1.1, 1),
    ("face", "face_angle_deg", 1.4, 1),
    ("spin", "spin_rpm", 220, -1),
)


def record_golfer(
    enrolment: Enrolment, told: Told, course: Told, sessions: Mapping[str, Session]
) -> None:
    """Everything that is recorded of one golfer in the sessions of their squad, by visit."""
    for phase in ("intake", "exit"):
        _record_impact(enrolment, told, sessions[f"{phase}-impact"])
        _record_flight(enrolment, told["clubs"], sessions[f"{phase}-flight"])
        _record_putting(enrolment, told["putting"][phase], sessions[f"{phase}-putting"])
    _record_short_game(enrolment, told, sessions)
    record(enrolment, sessions["course"], _card(enrolment.golfer, told["card"], course), "card")
    if "physical" in told:
        screen = _screen(enrolment, told["physical"])
        record(enrolment, sessions["intake-impact"], screen, "screen", kind="physical")
    if "note" in told:
        _record_note(enrolment, told["note"], sessions["lesson-2"])
    record(enrolment, sessions["review"], {"text": told["paragraph"]}, "paragraph")


def is_recorded(enrolment: Enrolment) -> bool:
    """Whether the last of it, the paragraph, has been written."""
    return Entry.objects.filter(pk=made_id(enrolment.pk, "paragraph", "exit")).exists()


def record(
    enrolment: Enrolment,
    session: Session,
    payload: dict[str, Any],
    name: str,
    *,
    kind: str = "",
    still: Still | None = None,
) -> None:
    """Record in a session what its station is for, or `kind`, which is recorded anywhere."""
    phase = session.visit.phase
    record_entry(
        id=made_id(enrolment.pk, name, phase),
        enrolment=enrolment,
        kind=kind or session.visit.station.entry_kind,
        phase=phase,
        payload=payload,
        session=session,
        still=still,
        recorded_by=session.instructor.staff.account,
    )


def _chance(enrolment: Enrolment, *parts: str) -> random.Random:
    return random.Random("/".join([enrolment.golfer.email, *parts]))


def _record_impact(enrolment: Enrolment, told: Told, session: Session) -> None:
    phase, place = session.visit.phase, FilmingPlace.objects.get()
    for club in ("iron", "driver"):
        for number in range(told.get(club, {}).get("swings", 0)):
            name = f"{club}-{number}"
            marked = swing(told[club][phase], f"{enrolment.golfer.email}/{name}/{phase}")
            still = add_still(
                id=made_id(enrolment.pk, "still", name, phase),
                enrolment=enrolment,
                phase=phase,
                club_class=club,
                shot_kind="full",
                upload=SimpleUploadedFile(f"{name}.jpg", marked.jpeg, "image/jpeg"),
                uploaded_by=session.instructor.staff.account,
                filming_place=place,
            )
            record(enrolment, session, {"landmarks": marked.landmarks}, name, still=still)


def _record_flight(enrolment: Enrolment, clubs: Told, session: Session) -> None:
    phase, golfer = session.visit.phase, enrolment.golfer
    for club, told in clubs.items():
        shots = _shots(told[phase], _chance(enrolment, "flight", club, phase), golfer)
        payload = {
            "club": club,
            "club_class": str(CLUBS[club].club_class),
            "shots": list(shots),
            "entered_in": {"distance": golfer.distances_in, "speed": golfer.speeds_in},
        }
        record(enrolment, session, payload, f"flight-{club}")


def _shots(told: Told, chance: random.Random, golfer: Golfer) -> Iterator[dict[str, float]]:
    for number in range(SHOTS):
        mean = {**told, **TOPPED} if number < told.get("topped", 0) else told
        quality = chance.gauss(0, 1)
        distance, speed = SIZES[golfer.distances_in], SIZES[golfer.speeds_in]
        shot = {
            "club_speed_mps": _as_typed(mean["club_speed"] + chance.gauss(0, 0.4), speed),
            "ball_speed_mps": _as_typed(mean["ball_speed"] + 0.6 * quality, speed),
            "launch_deg": round(mean["launch"] + chance.gauss(0, 1.1), 1),
            "carry_m": _as_typed(mean["carry"] + 3.0 * quality + chance.gauss(0, 1.5), distance),
            "side_m": _as_typed(chance.gauss(mean.get("side", 0), mean["side_spread"]), distance),
        }
        for key, name, scatter, decimals in RARE:
            if key in mean:
                shot[name] = round(chance.gauss(mean[key], scatter), decimals)
        yield shot


def _as_typed(value: float, unit: float) -> float:
    """A value that a person would have typed to one decimal of a unit of this size."""
    return round(value / unit, 1) * unit


def _record_putting(enrolment: Enrolment, told: Told, session: Session) -> None:
    chance = _chance(enrolment, "putting", session.visit.phase)
    payload = {
        "putts": [
            {"distance_m": distance, "holed": holed, "balls": 10}
            for distance, holed in enumerate(told["holed"], 1)
        ],
        "gate": {"width_mm": 60, "distance_m": 0.5, "through": told["gate"], "balls": 10},
        "control": [
            {"distance_m": distance, "ends_m": [round(chance.gauss(end, sd), 1) for _ in range(10)]}
            for (distance, sd), end in zip(PACE_SD_M.items(), told["ends_m"], strict=True)
        ],
        "played_out": [{"distance_m": 6.0, "putts": [int(putts) for putts in told["played_out"]]}],
    }
    record(enrolment, session, payload, "putting")


def _record_short_game(enrolment: Enrolment, told: Told, sessions: Mapping[str, Session]) -> None:
    chance, played = _chance(enrolment, "short game"), told["short_game"]
    tasks = [
        {
            "task": task.name,
            "length_m": task.length_m,
            "left_m": _left(share * task.length_m, BALLS, chance),
        }
        for task, share in zip(TASKS.values(), played["left"], strict=True)
    ]
    tried = {"tries": 8, "saved": played["saved"]}
    scored = {"tasks": tasks, "up_and_down": tried}
    record(enrolment, sessions["short-game-1"], scored, "short-game")
    if "bunker" in told:
        stayed_in = told["bunker"]["stayed_in"]
        left = _left(told["bunker"]["left_m"], BUNKER_BALLS - stayed_in, chance)
        sand = {"length_m": BUNKER.length_m, "left_m": left, "stayed_in": stayed_in}
        record(enrolment, sessions["short-game-2"], sand, "bunker")


def _left(mean_m: float, balls: int, chance: random.Random) -> list[float]:
    return [round(mean_m * chance.uniform(0.4, 1.6), 1) for _ in range(balls)]


def _card(golfer: Golfer, told: Told, course: Told) -> dict[str, Any]:
    """The first nine as it was played; the course is told of all its holes."""
    holes: list[dict[str, Any]] = [
        {"number": number, "par": int(par), "stroke_index": index}
        for number, (par, index) in enumerate(
            zip(course["pars"], course["stroke_indexes"], strict=True), 1
        )
    ]
    for place, hole in enumerate(holes[: len(told["strokes"])]):
        for key in ("strokes", "putts", "penalties", "short"):
            hole[key] = int(told[key][place])
        if told["fairways"][place] in "hm":
            hole["fairway"] = told["fairways"][place] == "h"
    tees = {key: course[key] for key in ("course_rating", "slope", "par")}
    card: dict[str, Any] = {"holes": holes, "tees": tees, "allowance": "stroke_play"}
    if golfer.handicap_index is not None:
        card["handicap_index"] = float(golfer.handicap_index)
    return card


def _screen(enrolment: Enrolment, found: Told) -> dict[str, Any]:
    golfer = enrolment.golfer
    return {
        "asked": True,
        "handedness": golfer.handedness,
        "age_years": golfer.age_on(enrolment.school.starts_on),
        "found": dict(found),
    }


def _record_note(enrolment: Enrolment, told: Told, session: Session) -> None:
    still = None
    if told["on_still"]:
        still = Still.objects.get(pk=made_id(enrolment.pk, "still", "iron-0", "intake"))
    payload = {"text": told["text"], "tag": told["tag"]}
    record(enrolment, session, payload, "note", kind="video_note", still=still)
