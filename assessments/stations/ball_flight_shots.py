"""The shots of a ball-flight payload: what is read of one, and what cannot be right of it.

A carry is not held against the speed of its ball: without air a ball carries at most v^2/g, but
lift and wind can add to that as drag takes from it, and no bound is known that holds for every
true shot.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assessments.clubs import CLUBS
from assessments.errors import EntryRefused
from assessments.models import ClubClass
from assessments.stations.base import Payload, is_list_of_objects
from assessments.stations.values import is_number
from assessments.statistics.ball_speed import HIGHEST_READ_RATIO
from assessments.statistics.dispersion import NoEllipse, dispersion, far_off
from assessments.statistics.sizes import SIZES

MOST_SHOTS = 30
TYPED_IN = {"distance": ["m", "yd"], "speed": ["m/s", "mph"]}
SI_UNITS = {"distance": "m", "speed": "m/s", "angle": "°", "spin": "rpm"}

Shot = Mapping[str, Any]


@dataclass(frozen=True)
class Quantity:
    """What is read of a shot. `low` and `high` bound what is possible at all, and `resolution` is
    the step in which it is assumed to be written down, all in SI units or turns a minute."""

    name: str
    key: str
    title: str
    dimension: str
    low: float
    high: float
    resolution: float

    def unit(self, payload: Payload) -> str:
        """The unit it was typed in."""
        return str(payload.get("entered_in", {}).get(self.dimension, SI_UNITS[self.dimension]))


CARRY = Quantity("carry", "carry_m", "Carry", "distance", 0, 400, 1.0)
SIDE = Quantity("side", "side_m", "Side", "distance", -200, 200, 1.0)
BALL_SPEED = Quantity("ball_speed", "ball_speed_mps", "Ball speed", "speed", 1, 110, 0.5)
CLUB_SPEED = Quantity("club_speed", "club_speed_mps", "Club speed", "speed", 1, 80, 0.5)
LAUNCH = Quantity("launch", "launch_deg", "Launch angle", "angle", -30, 85, 0.5)
ATTACK = Quantity("attack_angle", "attack_angle_deg", "Attack angle", "angle", -30, 30, 0.5)
PATH = Quantity("club_path", "club_path_deg", "Club path", "angle", -45, 45, 0.5)
FACE = Quantity("face_angle", "face_angle_deg", "Face angle", "angle", -60, 60, 0.5)
SPIN = Quantity("spin", "spin_rpm", "Spin", "spin", 0, 20000, 100)
RARE = (ATTACK, PATH, FACE, SPIN)  # read by some instruments only
QUANTITIES = (CARRY, SIDE, BALL_SPEED, CLUB_SPEED, LAUNCH, *RARE)


def shots_of(payload: Payload) -> list[dict[str, Any]]:
    """The shots of a payload that may be one.

    Raises
    ------
    EntryRefused
        With what cannot be right, by its place: `shots.2.carry`.
    """
    shots = payload.get("shots")
    if not is_list_of_objects(shots) or not 1 <= len(shots) <= MOST_SHOTS:
        raise EntryRefused({"shots": f"Enter one to {MOST_SHOTS} shots."})
    _refuse_club(payload)
    _refuse_units(payload.get("entered_in", {}))
    wrong = {
        f"shots.{index}.{name}": f"Shot {index + 1}: {words}"
        for index, shot in enumerate(shots)
        for name, words in _faults(shot, payload)
    }
    if wrong:
        raise EntryRefused(wrong)
    return shots


def _refuse_club(payload: Payload) -> None:
    club, club_class = payload.get("club"), payload.get("club_class")
    if club_class not in ClubClass.values:
        raise EntryRefused({"club": "Say which club was hit; clubs are never pooled."})
    if club is None:
        return
    if not isinstance(club, str) or club not in CLUBS:
        raise EntryRefused({"club": f"Nobody knows the club {club}; choose one of the list."})
    if CLUBS[club].club_class != club_class:
        label = ClubClass(club_class).label
        raise EntryRefused({"club": f"A {CLUBS[club].title} is not tested as a {label}."})


def _refuse_units(entered_in: object) -> None:
    if isinstance(entered_in, dict) and all(
        entered_in.get(dimension, offered[0]) in offered for dimension, offered in TYPED_IN.items()
    ):
        return
    raise EntryRefused({"distance_unit": "Distances are in yd or m, and speeds in mph or m/s."})


def _faults(shot: Shot, payload: Payload) -> Iterator[tuple[str, str]]:
    """What is wrong with a shot: the name of the quantity, and words."""
    unknown = shot.keys() - {quantity.key for quantity in QUANTITIES}
    if unknown:
        yield "unknown", f"nobody knows what {', '.join(sorted(unknown))} would be."
    if shot.get(CARRY.key) is None:
        yield CARRY.name, "the carry is missing."
    for quantity in QUANTITIES:
        value = shot.get(quantity.key)
        if value is not None and not is_number(value, quantity.low, quantity.high):
            unit = quantity.unit(payload)
            low, high = (round(end / SIZES[unit]) for end in (quantity.low, quantity.high))
            words = f"{quantity.title.lower()} must be a number from {low} to {high} {unit}."
            yield quantity.name, words.replace("-", "−").replace(" °", "°")
    ratio = ratio_of(shot)
    if ratio is not None and ratio > HIGHEST_READ_RATIO:
        yield (
            BALL_SPEED.name,
            f"the ball left at {ratio:.2f} times the speed of the club. "
            f"No club gives more than {HIGHEST_READ_RATIO:.2f}; check both speeds.",
        )


def ratio_of(shot: Shot) -> float | None:
    """Ball speed over club speed, if both were read and each can be right."""
    ball, club = (
        value if is_number(value := shot.get(speed.key), speed.low, speed.high) else None
        for speed in (BALL_SPEED, CLUB_SPEED)
    )
    return None if ball is None or club is None else ball / club


def points_of(shots: Sequence[Shot]) -> dict[int, tuple[float, float]]:
    """(side, carry) by the index of the shot, of those that have both."""
    return {
        index: (float(shot[SIDE.key]), float(shot[CARRY.key]))
        for index, shot in enumerate(shots)
        if shot.get(SIDE.key) is not None and shot.get(CARRY.key) is not None
    }


def wild_shots(shots: Sequence[Shot]) -> frozenset[int]:
    """The indices of shots so far from the others that something else happened.

    By where they landed if at least six say so, else by their carry.
    """
    points = points_of(shots)
    try:
        found = dispersion(list(points.values()))
    except NoEllipse:
        carries = {i: shot[CARRY.key] for i, shot in enumerate(shots) if CARRY.key in shot}
        marked = far_off(list(carries.values()), CARRY.resolution)
        return frozenset(list(carries)[place] for place in marked)
    return frozenset(list(points)[place] for place in found.wild)


def readings_of(shots: Sequence[Shot], key: str) -> list[float]:
    """What was read of one quantity, shots without it left out."""
    return [float(shot[key]) for shot in shots if shot.get(key) is not None]


def as_typed(payload: Payload) -> list[tuple[float | None, ...]]:
    """Of each shot the quantities in turn, in the units they were typed in."""
    return [
        tuple(
            None if shot.get(q.key) is None else round(shot[q.key] / SIZES[q.unit(payload)], 2)
            for q in QUANTITIES
        )
        for shot in payload["shots"]
    ]
