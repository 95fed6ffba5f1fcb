"""The four parts of the putting station: what is wrong with each, and what each measures."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from assessments.impact.geometry import BALL_DIAMETER_MM
from assessments.stations.base import MeasureValue, is_list_of_objects
from assessments.stations.values import TAPE_M, Faults, is_count, is_number, measured, rate
from assessments.statistics.intervals import mean, spread
from assessments.statistics.strokes_gained import (
    FARTHEST_PUTT_M,
    NEAREST_PUTT_M,
    SOURCE,
    strokes_gained,
)

MAKE_DISTANCES_M, CONTROL_DISTANCES_M = (1, 2, 3), (3, 6, 9)
MOST_MADE, MOST_IN_GATE, MOST_CONTROLLED, MOST_PLAYED_OUT, MOST_STARTS = 50, 50, 10, 10, 3
WIDEST_GATE_MM, NEAREST_GATE_M, FARTHEST_GATE_M = 300, 0.1, 3
FARTHEST_PAST_M, MOST_PUTTS = 20, 9
BALL_MM = BALL_DIAMETER_MM  # The Equipment Rules (The R&A and USGA, 2019), part 4

Part = Any


def make_faults(part: Part) -> Faults:
    if not is_list_of_objects(part):
        yield "putts", "Enter the balls holed from at least one distance."
        return
    rows = [tuple(row.get(key) for key in ("distance_m", "holed", "balls")) for row in part]
    if not all(type(number) is int for row in rows for number in row):
        yield "putts", "Distances and balls are whole numbers."
        return
    distances = [row[0] for row in rows]
    if len(set(distances)) < len(distances) or not set(distances) <= set(MAKE_DISTANCES_M):
        yield "putts", "Each of 1, 2 and 3 m is counted once."
        return
    for distance, holed, balls in rows:
        if not is_count(balls, 1, MOST_MADE):
            yield f"balls_{distance}", f"From {distance} m: 1 to {MOST_MADE} balls are counted."
        elif not is_count(holed, 0, balls):
            words = f"From {distance} m: of {balls} balls played, {holed} cannot have been holed."
            yield f"holed_{distance}", words


def make_rates(part: Part) -> Iterator[MeasureValue]:
    for row in sorted(part, key=lambda row: row["distance_m"]):
        holed, balls = row["holed"], row["balls"]
        yield rate(f"make_rate_{row['distance_m']}m", holed, balls, "holed")


def gate_faults(part: Part) -> Faults:
    if not isinstance(part, dict):
        yield "gate", "A gate has a width, a distance, and the balls through it."
        return
    if not is_number(part.get("width_mm"), BALL_MM + 1, WIDEST_GATE_MM):
        words = f"The gate must be wider than the ball, {BALL_MM:.1f} mm, and at most"
        yield "gate.width_mm", f"{words} {WIDEST_GATE_MM} mm wide."
    if not is_number(part.get("distance_m"), NEAREST_GATE_M, FARTHEST_GATE_M):
        words = f"The gate must stand {NEAREST_GATE_M:g} to {FARTHEST_GATE_M} m from the ball."
        yield "gate.distance_m", words
    balls, through = part.get("balls"), part.get("through")
    if not is_count(balls, 1, MOST_IN_GATE):
        yield "gate.balls", f"1 to {MOST_IN_GATE} balls are counted at the gate."
    elif not is_count(through, 0, balls):
        told = "the balls through the gate are missing."
        if through is not None:
            told = f"{through} cannot have gone through."
        yield "gate.through", f"Of {balls} balls played, {told}"


def gate_angle_deg(width_mm: float, distance_m: float) -> float:
    """How far to either side a ball may start and still pass, in degrees.

    Its middle has half of what the gate is wider than the ball, seen from where it lay.
    """
    return math.degrees(math.atan((width_mm - BALL_MM) / 2 / (1000 * distance_m)))


def gate_rate(part: Part) -> Iterator[MeasureValue]:
    through, balls = part["through"], part["balls"]
    angle = gate_angle_deg(part["width_mm"], part["distance_m"])
    yield rate("gate_rate", through, balls, f"through a gate that allows ±{angle:.1f}°")


def control_faults(part: Part) -> Faults:
    if not is_list_of_objects(part):
        yield "control", "Distance control is a list of distances and where the balls ended."
        return
    distances = [row.get("distance_m") for row in part]
    if not all(type(d) is int and d in CONTROL_DISTANCES_M for d in distances) or (
        len(set(distances)) < len(distances)
    ):
        yield "control", "Each of 3, 6 and 9 m is played once."
        return
    for row in part:
        distance, ends = row["distance_m"], row.get("ends_m")
        place = f"control.{distance}"
        if not isinstance(ends, list) or not 2 <= len(ends) <= MOST_CONTROLLED:
            words = f"two to {MOST_CONTROLLED} balls are needed; one alone does not scatter."
            yield place, f"From {distance} m: {words}"
            continue
        for index, end in enumerate(ends):
            if not is_number(end, -distance, FARTHEST_PAST_M):
                words = f"a ball ends from {distance} m short (−) to {FARTHEST_PAST_M} m past."
                yield f"{place}.{index}", f"From {distance} m: {words}"


def control_values(part: Part) -> Iterator[MeasureValue]:
    for row in sorted(part, key=lambda row: row["distance_m"]):
        ends, distance = row["ends_m"], row["distance_m"]
        balls = f"{len(ends)} balls"
        source = f"mean of {balls}; their scatter and Student's t"
        yield measured(f"distance_bias_{distance}m", "m", mean(ends, TAPE_M), source)
        source = f"standard deviation of {balls}; chi-squared interval"
        yield measured(f"distance_spread_{distance}m", "m", spread(ends, TAPE_M), source)


def played_out_faults(part: Part) -> Faults:
    if not is_list_of_objects(part) or len(part) > MOST_STARTS:
        yield "played_out", f"Putts are played out from one to {MOST_STARTS} distances."
        return
    played = [row.get("putts") for row in part]
    balls = sum(len(putts) for putts in played if isinstance(putts, list))
    for index, (row, putts) in enumerate(zip(part, played, strict=True)):
        place = f"played_out.{index}"
        if not is_number(row.get("distance_m"), NEAREST_PUTT_M, FARTHEST_PUTT_M):
            words = "The published averages go from"
            ends = f"{NEAREST_PUTT_M:.2f} to {FARTHEST_PUTT_M:.2f} m"
            yield f"{place}.distance_m", f"{words} {ends}; a putt starts there."
        if not isinstance(putts, list) or not 1 <= len(putts) <= MOST_PLAYED_OUT:
            words = f"Enter the putts of one to {MOST_PLAYED_OUT} balls."
            yield f"{place}.putts", words
        elif not all(is_count(taken, 1, MOST_PUTTS) for taken in putts):
            yield f"{place}.putts", f"Each ball takes 1 to {MOST_PUTTS} putts."
        elif balls < 2:
            yield f"{place}.putts", "Play out two balls or more; one alone does not scatter."


def putting_gained(part: Part) -> Iterator[MeasureValue]:
    played = [(row["distance_m"], putts) for row in part for putts in row["putts"]]
    source = f"{len(played)} balls against {SOURCE}; Student's t"
    yield measured("putting_strokes_gained", "strokes", strokes_gained(played), source)
