"""Strokes gained against published averages of tour players.

A putt gains what such a player needs on average from where it starts, less the putts it took. The
averages are those of M. Broadie: "Assessing Golfer Performance on the PGA TOUR", Interfaces 42(2)
(2012) 146-165, and Every Shot Counts (Gotham, 2014), appendix; tournament play of 2003 to 2010.
They are a yardstick and not a target: no golfer of a school is expected to reach them.

Between two published distances the average is taken on a straight line, which for putts is low by
up to 0.04 of a putt; outside of them nothing is said.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from scipy.special import stdtrit

from assessments.statistics.intervals import TAIL, Estimate, mean, proportion
from assessments.statistics.sizes import FOOT_M, YARD_M

PUTTS_BY_FEET = {2: 1.01, 4: 1.13, 6: 1.34, 8: 1.50, 10: 1.61, 20: 1.87, 40: 2.06, 60: 2.21}
FAIRWAY_BY_YARDS = {20: 2.40, 40: 2.60, 80: 2.75}
NEAREST_PUTT_M, FARTHEST_PUTT_M = 2 * FOOT_M, 60 * FOOT_M
SOURCE = "M. Broadie, Interfaces 42 (2012) 146–165: tour players, 2003 to 2010"


class OutsideTheTable(ValueError):
    """The distance is nearer or farther than any that was published."""


def expected_putts(distance_m: float) -> float:
    """Average putts of a tour player from `distance_m` metres, 0.61 to 18.29 (2 to 60 ft).

    Raises
    ------
    OutsideTheTable
        For any other distance.
    """
    return _between_published(PUTTS_BY_FEET, distance_m, FOOT_M)


def expected_strokes_from_fairway(distance_m: float) -> float:
    """Average strokes of a tour player to hole out from short grass, 18.3 to 73.2 m (20 to 80 yd).

    Raises
    ------
    OutsideTheTable
        For any other distance.
    """
    return _between_published(FAIRWAY_BY_YARDS, distance_m, YARD_M)


def _between_published(table: dict[int, float], distance_m: float, step_m: float) -> float:
    ends = min(table) * step_m, max(table) * step_m
    if not ends[0] <= distance_m <= ends[1]:
        raise OutsideTheTable(f"Published from {ends[0]:.2f} to {ends[1]:.2f} m.")
    return float(np.interp(distance_m / step_m, list(table), list(table.values())))


def strokes_gained(played: Iterable[tuple[float, int]]) -> Estimate:
    """Strokes gained a first putt, + better than the average, with Student's interval.

    Parameters
    ----------
    played
        Of each ball, at least two, where it started (m) and the putts it took.

    Raises
    ------
    OutsideTheTable
        If one of the distances has no published average.
    ValueError
        For fewer than two balls.
    """
    gained = [expected_putts(distance_m) - putts for distance_m, putts in played]
    return _not_surer_than_a_count(mean(gained, resolution=0), gained)


def _not_surer_than_a_count(estimate: Estimate, gained: Sequence[float]) -> Estimate:
    """Balls that all took two putts do not scatter, and yet the next may take three.

    So the mean is held no surer than one stroke more or less on none of so many balls.
    """
    u = max(estimate.standard_uncertainty, proportion(0, len(gained)).standard_uncertainty)
    half = float(stdtrit(len(gained) - 1, 1 - TAIL)) * u
    return Estimate(estimate.value, u, estimate.value - half, estimate.value + half)


def cost_of_leave(from_m: float, left_m: float) -> float | None:
    """Strokes that a shot from short grass costs against the average, by what it leaves.

    The putts that a tour player takes from what was left, less the strokes such a player needs
    after an average shot of his own; None where either is outside the published distances. A ball
    that lies off the green costs more than this.
    """
    try:
        after_average = expected_strokes_from_fairway(from_m) - 1
        return expected_putts(left_m) - after_average
    except OutsideTheTable:
        return None
