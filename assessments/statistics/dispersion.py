"""Where the shots of one club land: an ellipse that one wild shot cannot move, and which are wild.

Every shot is a point (side, carry). The wild ones are found by the minimum covariance determinant
(P. J. Rousseeuw, Mathematical Statistics and Applications B, 1985, 283-297): of all choices of h
shots the one whose covariance has the smallest determinant gives a centre and a shape, and a shot
is marked if its squared distance from that centre in that shape is past what one clean shot in a
hundred reaches. h is three quarters of the shots (C. Croux and G. Haesbroeck, J. Multivariate
Analysis 71, 1999, 161-190, on what that gains over a half), so a quarter may be wild. The shots
that are not marked give the ellipse, as in the reweighted estimator.

What clean shots reach depends on n so much that the limit for many, chi-squared at 99 % times the
factor of consistency, would mark every third of six clean shots. `CUTS` is simulated for each n.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from statistics import median

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtr, chdtri

from assessments.statistics.intervals import TAIL, Estimate

FEWEST, MOST = 6, 30
SHARE, CLEAN = 0.95, 0.99
CUT_OFF = CLEAN / float(chdtr(4, chdtri(2, 1 - CLEAN)))
WORTH = 0.7
MOST_STEPS = 10  # by then every choice that gets smaller has
FLATTEST_M = 0.05  # narrower than anybody reads: the shots lie on a line
# The squared distance that one clean, normally scattered shot in a hundred reaches, for 6 to 30.
# fmt: off
CUTS = (
    95, 51, 118, 71, 50, 40, 59, 45, 39, 34, 42, 37, 34,
    31, 37, 34, 30, 29, 33, 29, 30, 28, 31, 29, 29,
)
# fmt: on

Points = NDArray[np.float64]


class NoEllipse(ValueError):
    """Why these shots have no ellipse, said in words."""


@dataclass(frozen=True)
class Dispersion:
    """The shots of one club.

    The ellipse holds the next shot with 95 % probability, so it is larger with few shots. `across`
    and `along` are the centre, in metres; `semi_major` and `semi_minor` its half axes;
    `turn_deg` the way the long one lies, from -90 to 90: 0 is along the target line, + turned to
    the right. `area` is that of the ellipse that holds 95 % of all shots, in square metres, as
    comparable between few shots and many. `wild` are the indices of the shots that are marked.
    """

    across: float
    along: float
    semi_major: float
    semi_minor: float
    turn_deg: float
    area: Estimate
    wild: tuple[int, ...]


def dispersion(shots: Sequence[tuple[float, float]]) -> Dispersion:
    """The ellipse of shots given as (side, carry) in metres, and which of them are wild.

    1. Find the h shots of smallest determinant, mark what is past the cut.
    2. Take mean m and covariance S of the k others, S times 1.05 for the hundredth that the cut
       takes off clean shots (Croux and Haesbroeck: 0.99 over the chi-squared distribution with 4
       degrees of freedom at the 0.99 quantile of that with 2).
    3. The ellipse is (x - m)' S^-1 (x - m) = 2 (k^2 - 1)/(k (k - 2)) F_0.95(2, k - 2), the
       prediction region of V. Chew, J. Am. Stat. Assoc. 61 (1966) 605-617.
    4. 2 (k - 1) sqrt(|S|/|Sigma|) is chi-squared with 2 k - 4 degrees of freedom (T. W. Anderson,
       An Introduction to Multivariate Statistical Analysis, 2003, 7.5.3), which gives the area and
       its interval; with 0.7 of those degrees of freedom, since the shots chose which of them
       count. Simulated, it then covers 96 %, and two areas that are alike are taken for different
       at 1 % in 1 % of cases.

    Raises
    ------
    NoEllipse
        For fewer than six shots, more than thirty, or shots that lie on one line.
    """
    return _dispersion(tuple((float(across), float(along)) for across, along in shots))


# A page asks for the same shots to compute, to list and to draw them; thirty take 0.1 s.
@lru_cache(maxsize=64)
def _dispersion(shots: tuple[tuple[float, float], ...]) -> Dispersion:
    if len(shots) < FEWEST:
        raise NoEllipse(f"An ellipse needs {FEWEST} shots with a carry and a side.")
    if len(shots) > MOST:
        raise NoEllipse(f"An ellipse is drawn of up to {MOST} shots.")
    points = np.array(shots, dtype=float)
    wild = _distances(points) > CUTS[len(shots) - FEWEST]
    kept = points[~wild]
    centre, scatter = kept.mean(axis=0), np.cov(kept.T) * CUT_OFF
    k = len(kept)
    # F with 2 degrees of freedom has a closed quantile
    reach = (1 - SHARE) ** (-2 / (k - 2)) - 1
    size = (k * k - 1) / k * reach
    (minor, major), axes = np.linalg.eigh(scatter)
    if minor < FLATTEST_M**2:
        raise NoEllipse("The shots lie on one line, so there is no ellipse.")
    across, along = axes[:, 1] if axes[1, 1] >= 0 else -axes[:, 1]
    return Dispersion(
        float(centre[0]),
        float(centre[1]),
        math.sqrt(major * size),
        math.sqrt(minor * size),
        math.degrees(math.atan2(across, along)),
        _area(math.sqrt(major * minor), k),
        tuple(int(index) for index in np.flatnonzero(wild)),
    )


def _area(root_determinant: float, k: int) -> Estimate:
    whole = math.pi * float(chdtri(2, 1 - SHARE)) * root_determinant
    value = whole * 2 * (k - 1) / (2 * k - 4)
    df = WORTH * (2 * k - 4)
    low, high = (value * df / float(chdtri(df, tail)) for tail in (TAIL, 1 - TAIL))
    return Estimate(value, value * math.sqrt(2 / df), low, high)


def far_off(values: Sequence[float], resolution: float) -> tuple[int, ...]:
    """The indices of values too far from the median, by B. Iglewicz and D. C. Hoaglin.

    How to Detect and Handle Outliers (1993), 3.3: farther than 3.5 times 1.4826 times the median
    distance from the median, which is taken to be at least what a reading is rounded by. Of fewer
    than six values none is marked.
    """
    if len(values) < FEWEST:
        return ()
    centre = median(values)
    apart = [abs(value - centre) for value in values]
    limit = 3.5 * max(1.4826 * median(apart), resolution / math.sqrt(12))
    return tuple(index for index, distance in enumerate(apart) if distance > limit)


def smallest_subset(n: int) -> int:
    """h for n shots: three quarters of the way from the fewest that can be robust to all."""
    fewest = (n + 3) // 2
    return int(2 * fewest - n + 1.5 * (n - fewest))


def _distances(points: Points) -> Points:
    """Squared distance of every shot from the best h, in their shape.

    Every three shots are a start; from each the nearest h are taken and taken again, which never
    makes the determinant larger (P. J. Rousseeuw and K. Van Driessen, Technometrics 41, 1999,
    212-223), two steps for all and to the end for the ten best. Where several choices are equally
    good a shot is as near as the kindest makes it.
    """
    n, h = len(points), smallest_subset(len(points))
    chosen = np.array(list(combinations(range(n), 3)))
    for _ in range(2):
        chosen = _nearest(points, chosen, h)
    _, determinants = _measured(points, chosen)
    chosen = chosen[np.argsort(determinants, kind="stable")[:10]]
    for _ in range(MOST_STEPS):
        chosen = _nearest(points, chosen, h)
    distances, determinants = _measured(points, chosen)
    smallest = determinants.min()
    if smallest < FLATTEST_M**4:
        raise NoEllipse("Most of the shots lie on one line, so there is no ellipse.")
    equal: Points = distances[determinants <= smallest * (1 + 1e-9)].min(axis=0)
    return equal


def _nearest(points: Points, chosen: NDArray[np.intp], h: int) -> NDArray[np.intp]:
    distances, _ = _measured(points, chosen)
    return np.sort(np.argsort(distances, axis=1, kind="stable")[:, :h], axis=1)


def _measured(points: Points, chosen: NDArray[np.intp]) -> tuple[Points, Points]:
    """Squared distances of all points from each choice, and the choice's determinant.

    A choice on one line is given a little width, so that it says which points are off the line.
    """
    centres = points[chosen].mean(axis=1)
    off = points[chosen] - centres[:, None]
    scatter = np.einsum("kni,knj->kij", off, off) / (chosen.shape[1] - 1)
    across, along, both = scatter[:, 0, 0], scatter[:, 1, 1], scatter[:, 0, 1]
    determinants = across * along - both**2
    floor = 1e-12 + 1e-9 * (across + along)  # a share of the whole, or rounding swallows it
    across, along = across + floor, along + floor
    x, y = np.moveaxis(points[None] - centres[:, None], 2, 0)
    squares = along[:, None] * x**2 - 2 * both[:, None] * x * y + across[:, None] * y**2
    return squares / (across * along - both**2)[:, None], determinants
