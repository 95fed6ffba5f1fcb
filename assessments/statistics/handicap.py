"""Arithmetic of the Rules of Handicapping of The R&A and the USGA, in force since January 2024.

Everything is computed with exact fractions and rounded where a rule says so, halves upward: toward
plus infinity, so that -0.5 becomes 0. A Handicap Index or playing handicap below zero is a plus
handicap. There is no multiplier of 0.96: it belonged to an older system.

Not here: the differential of nine holes, for which the bodies publish no formula; the Low Handicap
Index, which needs the dates of scores; and the daily adjustment of the playing conditions, which is
an input.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

Exact = int | Decimal | Fraction

STANDARD_SLOPE = 113
LOWEST_SLOPE, HIGHEST_SLOPE = 55, 155
HIGHEST_INDEX = Decimal("54.0")
FEWEST_SCORES, MOST_SCORES = 3, 20
# Rule 5.2a: of n scores, how many of the lowest count, and what is added to their mean
COUNTED: Mapping[int, tuple[int, int]] = {
    3: (1, -2),
    4: (1, -1),
    5: (1, 0),
    6: (2, -1),
    **dict.fromkeys((7, 8), (2, 0)),
    **dict.fromkeys((9, 10, 11), (3, 0)),
    **dict.fromkeys((12, 13, 14), (4, 0)),
    **dict.fromkeys((15, 16), (5, 0)),
    **dict.fromkeys((17, 18), (6, 0)),
    19: (7, 0),
    20: (8, 0),
}
SOFT_CAP, HARD_CAP = 3, 5
HOLES = 18
LIMIT_WITHOUT_INDEX, LIMIT_OVER_PAR = 5, 2


@dataclass(frozen=True)
class Allowance:
    """A format of play and the parts of the players' course handicaps in it, in per cent from the
    lowest handicap to the highest; where each plays off their own there is one part."""

    title: str
    parts: tuple[int, ...]


# Appendix C
ALLOWANCES: Mapping[str, Allowance] = {
    "stroke_play": Allowance("stroke play, individual", (95,)),
    "stableford": Allowance("Stableford, individual", (95,)),
    "par_bogey": Allowance("par or bogey, individual", (95,)),
    "maximum_score": Allowance("maximum score, individual", (95,)),
    "four_ball_stroke_play": Allowance("four-ball stroke play", (85,)),
    "four_ball_stableford": Allowance("four-ball Stableford", (85,)),
    "four_ball_par_bogey": Allowance("four-ball par or bogey", (90,)),
    "match_play": Allowance("match play, individual", (100,)),
    "four_ball_match_play": Allowance("four-ball match play", (90,)),
    "best_1_of_4": Allowance("best 1 of 4", (75,)),
    "best_2_of_4": Allowance("best 2 of 4", (85,)),
    "best_3_of_4": Allowance("best 3 of 4", (100,)),
    "all_4": Allowance("all 4 of 4", (100,)),
    "best_1_of_4_par_bogey": Allowance("best 1 of 4, par or bogey", (75,)),
    "best_2_of_4_par_bogey": Allowance("best 2 of 4, par or bogey", (80,)),
    "best_3_of_4_par_bogey": Allowance("best 3 of 4, par or bogey", (90,)),
    "all_4_par_bogey": Allowance("all 4 of 4, par or bogey", (100,)),
    "total_of_2_match_play": Allowance("total of 2, match play", (100,)),
    "foursomes": Allowance("foursomes", (50, 50)),
    "greensomes": Allowance("greensomes", (60, 40)),
    "chapman": Allowance("Pinehurst or Chapman", (60, 40)),
    "scramble_2": Allowance("scramble of 2", (35, 15)),
    "scramble_3": Allowance("scramble of 3", (30, 20, 10)),
    "scramble_4": Allowance("scramble of 4", (25, 20, 15, 10)),
}


def score_differential(
    adjusted_gross: int, course_rating: Exact, slope: int, pcc: Exact = 0
) -> Decimal:
    """The differential of an eighteen-hole score, to a tenth; Rule 5.1a.

    (113 / slope) x (adjusted gross score - course rating - PCC).

    Parameters
    ----------
    pcc
        Playing conditions calculation of the day, -1 to +3 strokes.

    Raises
    ------
    ValueError
        For a slope rating outside 55 to 155, or a PCC outside -1 to +3.
    """
    _check_slope(slope)
    if not -1 <= pcc <= 3:
        raise ValueError("The playing conditions calculation lies between -1 and +3.")
    over = adjusted_gross - Fraction(course_rating) - Fraction(pcc)
    return _tenth(Fraction(STANDARD_SLOPE, slope) * over)


def handicap_index(differentials: Sequence[Exact], low_index: Exact | None = None) -> Decimal:
    """The Handicap Index from the latest twenty differentials or fewer; Rules 5.2, 5.3 and 5.8.

    Parameters
    ----------
    differentials
        Oldest first, reduced for exceptional scores; older ones than the latest twenty are left
        out.
    low_index
        The Low Handicap Index, once there is one: from twenty scores on.

    Raises
    ------
    ValueError
        For fewer than three differentials.
    """
    latest = sorted(Fraction(each) for each in differentials[-MOST_SCORES:])
    if len(latest) < FEWEST_SCORES:
        raise ValueError("A Handicap Index needs three scores of eighteen holes.")
    lowest, adjustment = COUNTED[len(latest)]
    index = _tenth(sum(latest[:lowest], Fraction(0)) / lowest + adjustment)
    if low_index is not None:
        index = capped_index(index, low_index)
    return min(index, HIGHEST_INDEX)


def capped_index(index: Exact, low_index: Exact) -> Decimal:
    """An index held by the soft and the hard cap, to a tenth; Rule 5.8.

    What goes more than 3.0 past the Low Index is halved, and the whole never goes past it by more
    than 5.0.
    """
    low = Fraction(low_index)
    rise = Fraction(index) - low
    if rise > SOFT_CAP:
        rise = min(SOFT_CAP + (rise - SOFT_CAP) / 2, Fraction(HARD_CAP))
    return _tenth(low + rise)


def exceptional_reduction(differential: Exact, index: Exact) -> int:
    """What an exceptional score takes off each of the latest twenty differentials; Rule 5.9.

    `index` was in force when the round was played: 7.0 to 9.9 below it takes off 1, 10.0 or more
    takes off 2.
    """
    below = Fraction(index) - Fraction(differential)
    return 2 if below >= 10 else 1 if below >= 7 else 0


def with_score(
    differentials: Sequence[Exact], differential: Exact, index: Exact | None
) -> tuple[Fraction, ...]:
    """The record with one more score, reduced if that is exceptional; Rule 5.9.

    The reduction goes to the latest twenty, the exceptional one among them, or to all if there
    are fewer. `index` is that in force when the score was made, if there was one.
    """
    latest = [Fraction(each) for each in (*differentials, differential)][-MOST_SCORES:]
    reduction = 0 if index is None else exceptional_reduction(differential, index)
    return tuple(each - reduction for each in latest)


def course_handicap(index: Exact, slope: int, course_rating: Exact, par: int) -> Fraction:
    """The course handicap of eighteen holes, not rounded; Rule 6.1a.

    Index x (slope / 113) + (course rating - par). `whole` rounds it, for the limit of a hole.

    Raises
    ------
    ValueError
        For a slope rating outside 55 to 155.
    """
    _check_slope(slope)
    return Fraction(index) * slope / STANDARD_SLOPE + Fraction(course_rating) - par


def playing_handicap(course_handicaps: Sequence[Exact], parts: Sequence[int]) -> int:
    """The playing handicap of a player or a side, in strokes; Rule 6.2a and Appendix C.

    Parameters
    ----------
    course_handicaps
        Not rounded, one for each part.
    parts
        Per cent of the lowest handicap, of the next, and so on.

    Raises
    ------
    ValueError
        Unless there are as many handicaps as parts.
    """
    ordered = sorted(Fraction(each) for each in course_handicaps)
    pairs = zip(ordered, parts, strict=True)
    return whole(sum((each * part / 100 for each, part in pairs), Fraction(0)))


def strokes_on_hole(handicap: int, stroke_index: int) -> int:
    """Strokes received on a hole of eighteen, below zero if given back; Appendix C and E.

    They fall on stroke index 1 first and go round again after 18. A plus handicap gives its
    strokes back from 18 upward.

    Raises
    ------
    ValueError
        For a stroke index outside 1 to 18.
    """
    if not 1 <= stroke_index <= HOLES:
        raise ValueError("A stroke index lies between 1 and 18.")
    # rounded down, so that -2 is a round of -1 and 16 strokes: 17 and 18 keep the -1
    rounds, rest = divmod(handicap, HOLES)
    return rounds + (stroke_index <= rest)


def highest_counted(par: int, strokes_received: int | None) -> int:
    """The most that counts on a hole; Rule 3.1.

    Net double bogey: par + 2 + strokes received by the rounded course handicap, and never more
    than par + 5 for who receives four strokes or more. Without an index (None), par + 5.
    """
    if strokes_received is None:
        return par + LIMIT_WITHOUT_INDEX
    return par + min(LIMIT_OVER_PAR + strokes_received, LIMIT_WITHOUT_INDEX)


def adjusted_gross(
    pars: Sequence[int],
    strokes: Sequence[int],
    stroke_indexes: Sequence[int] | None = None,
    handicap: int | None = None,
) -> int:
    """The score of eighteen holes with each held to what counts; Rule 3.1.

    Parameters
    ----------
    handicap
        The rounded course handicap, with the stroke indexes it is allotted by. None for a golfer
        without an index.

    Raises
    ------
    ValueError
        Unless there are eighteen of each, or if there is a handicap without stroke indexes.
    """
    if not len(pars) == len(strokes) == HOLES:
        raise ValueError("An adjusted gross score is of eighteen holes.")
    received: Sequence[int | None] = [None] * HOLES
    if handicap is not None:
        if stroke_indexes is None or sorted(stroke_indexes) != list(range(1, HOLES + 1)):
            raise ValueError("Strokes are allotted by the stroke indexes 1 to 18, each once.")
        received = [strokes_on_hole(handicap, index) for index in stroke_indexes]
    holes = zip(pars, strokes, received, strict=True)
    return sum(min(taken, highest_counted(par, given)) for par, taken, given in holes)


def whole(value: Exact) -> int:
    """To the nearest whole stroke, a half upward."""
    return math.floor(Fraction(value) + Fraction(1, 2))


def _check_slope(slope: int) -> None:
    if not LOWEST_SLOPE <= slope <= HIGHEST_SLOPE:
        raise ValueError("A slope rating lies between 55 and 155.")


def _tenth(value: Fraction) -> Decimal:
    """To the nearest tenth, a half upward."""
    return Decimal(whole(value * 10)).scaleb(-1)  # and not / 10, which writes 14.0 as 14
