"""Points for how near the hole a short shot ends: our own scale, taken from no publication.

What is left is judged by the length of the shot, so that ten metres and forty can be added up. A
holed ball is worth 100 points; the bands below say the rest; half the length or farther, or left in
the sand, is worth none. The points of a task are the mean of its balls, and a score is the mean of
its tasks, each weighing the same however many balls it had.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from scipy.special import stdtrit

from assessments.statistics.intervals import TAIL, Estimate

HOLED = 100
# what is left, as a share of the shot's length and still within the band, and its points
BANDS = ((0.05, 90), (0.10, 75), (0.15, 60), (0.20, 45), (0.30, 30), (0.50, 15))
STEP = 15


def points(left_m: float, length_m: float) -> int:
    """Points of one ball.

    Parameters
    ----------
    left_m
        From the ball to the hole, >= 0 m; 0 is holed.
    length_m
        From where it was played to the hole, > 0 m.
    """
    if left_m == 0:
        return HOLED
    # a tape does not read finer than this, and 0.3 of 10 m must not fall out by rounding
    share = round(left_m / length_m, 6)
    return next((worth for most, worth in BANDS if share <= most), 0)


def score(tasks: Sequence[Sequence[int]]) -> Estimate:
    """The score of points by task, 0 to 100, with a 95 % interval from how the balls scatter.

    u² is the mean of the tasks' s²/n over the number of tasks, its degrees of freedom those of
    Welch (Biometrika 34, 1947, 28-35) and Satterthwaite (Biometrics Bulletin 2, 1946, 110-114).
    Balls that all fall into one band are held to scatter within it.

    Raises
    ------
    ValueError
        Without tasks, or if one has fewer than two balls.
    """
    if not tasks or any(len(balls) < 2 for balls in tasks):
        raise ValueError("Each task needs two balls or more.")
    value = math.fsum(_mean(balls) for balls in tasks) / len(tasks)
    parts = [_variance(balls) / len(balls) / len(tasks) ** 2 for balls in tasks]
    u = math.sqrt(math.fsum(parts))
    df = u**4 / math.fsum(p**2 / (len(b) - 1) for p, b in zip(parts, tasks, strict=True))
    half = float(stdtrit(df, 1 - TAIL)) * u
    return Estimate(value, u, max(0.0, value - half), min(float(HOLED), value + half))


def _mean(balls: Sequence[int]) -> float:
    return math.fsum(balls) / len(balls)


def _variance(balls: Sequence[int]) -> float:
    middle = _mean(balls)
    spread = math.fsum((ball - middle) ** 2 for ball in balls) / (len(balls) - 1)
    return max(spread, STEP**2 / 12)
