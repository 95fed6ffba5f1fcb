"""Whether a golfer changed between intake and exit, or the measurement merely moved.

A measured value is golfer + swing + session set-up + click (+ rater). Swing and click scatter
within a session and are seen in the golfer's own repeats. The set-up (where the camera stands) is
the same for all swings of a session: no number of repeats shows it, so it must be known from
elsewhere and is added here. A test that looks at the repeats alone claims change too often.

With one swing on either side nothing is known of the scatter, and the minimal detectable change
(MDC) of a single swing is all there is: past it a difference is an indication, never a claim.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from scipy.special import ndtri, stdtrit


class Verdict(StrEnum):
    """What may be said of a difference; the text is the wording."""

    REAL_CHANGE = "real change"
    INDICATION = "indication"
    WITHIN = "within what we can measure"


class NothingToCompare(ValueError):
    """The numbers handed over cannot be compared, said in words."""


@dataclass(frozen=True)
class Change:
    """A difference and what it is worth.

    `difference` is exit minus intake and `threshold` what its size must pass, both in the unit of
    the values. `df` are the degrees of freedom of the t rule, infinite if many repeats do
    not scatter at all, and None where one swing on either side leaves only the fixed threshold.
    """

    difference: float
    threshold: float
    df: float | None
    verdict: Verdict


def compare(
    intake: Sequence[float],
    exit_: Sequence[float],
    session_sd: float,
    mdc95_single: float,
    alpha: float = 0.05,
) -> Change:
    """Decide on one measure of one golfer with one class of club.

    With s² the pooled variance of the repeats, V = s² (1/n₁ + 1/n₂) + 2 session² is the variance
    of the difference of means. Its degrees of freedom follow Welch and Satterthwaite, the set-up
    taken as known. A difference past t(1 - alpha/2, df) √V is a real change.

    Parameters
    ----------
    intake, exit_
        Every swing of the session, none picked out; at least one each.
    session_sd
        Standard deviation of the set-up between sessions, > 0, in the unit of the values; with the
        marker's habit in it if others marked the second time (`SetUp.between_sd`).
    mdc95_single
        Minimal detectable change (95 %) between two single swings, > 0.
    alpha
        Share of unchanged golfers of whom a change may be claimed. Name one measure primary at
        0.05 and hold the others to 0.01: five at 0.05 claim something of every fourth golfer.

    Raises
    ------
    NothingToCompare
        If a side is empty, a value is not finite, or a spread or alpha is out of range.
    """
    _check(intake, exit_, session_sd, mdc95_single, alpha)
    difference = _mean(exit_) - _mean(intake)
    if min(len(intake), len(exit_)) < 2:
        threshold = mdc95_single * float(ndtri(1 - alpha / 2) / ndtri(0.975))
        past = abs(difference) > threshold
        return Change(difference, threshold, None, Verdict.INDICATION if past else Verdict.WITHIN)
    df, threshold = _t_rule(intake, exit_, 2 * session_sd**2, 1 - alpha / 2)
    past = abs(difference) > threshold
    return Change(difference, threshold, df, Verdict.REAL_CHANGE if past else Verdict.WITHIN)


def _t_rule(
    intake: Sequence[float], exit_: Sequence[float], set_up: float, quantile: float
) -> tuple[float, float]:
    """Degrees of freedom and threshold; `set_up` is its part of the variance.

    With fewer than four degrees of freedom in s² the approximation claims too often (simulated:
    7.9 % at 5 % nominal for two swings a side). There the scatter takes its own t quantile and the
    set-up the normal one, which errs to the safe side.
    """
    pooled_df = float(len(intake) + len(exit_) - 2)
    pooled = (_squares(intake) + _squares(exit_)) / pooled_df
    scatter = pooled * (1 / len(intake) + 1 / len(exit_))
    if pooled_df < 4:
        by_scatter = float(stdtrit(pooled_df, quantile)) ** 2 * scatter
        return pooled_df, math.sqrt(by_scatter + float(ndtri(quantile)) ** 2 * set_up)
    df = pooled_df * ((scatter + set_up) / scatter) ** 2 if scatter > 0 else math.inf
    return df, float(stdtrit(df, quantile)) * math.sqrt(scatter + set_up)


def _check(
    intake: Sequence[float], exit_: Sequence[float], session_sd: float, mdc95: float, alpha: float
) -> None:
    if not intake or not exit_:
        raise NothingToCompare("A change needs at least one swing at intake and one at exit.")
    if not all(math.isfinite(value) for value in (*intake, *exit_)):
        raise NothingToCompare("A value is not a number.")
    if not all(math.isfinite(value) and value > 0 for value in (session_sd, mdc95)):
        raise NothingToCompare("The set-up spread and the detectable change must be above 0.")
    if not 0 < alpha < 1:
        raise NothingToCompare("alpha must lie between 0 and 1.")


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)


def _squares(values: Sequence[float]) -> float:
    mean = _mean(values)
    return math.fsum((value - mean) ** 2 for value in values)


@dataclass(frozen=True)
class SetUp:
    """Spreads (standard deviations, in the unit of the measure) of one measure in one set-up.

    `assumed` spreads are nobody's measurement; a school replaces them by its own study of
    20 stills and 3 raters.
    """

    name: str
    swing_sd: float
    session_sd: float
    click_sd: float
    rater_sd: float
    assumed: bool = True

    def between_sd(self, *, same_rater: bool = True) -> float:
        """What moves a whole session, so that no number of its repeats can show it."""
        return self.session_sd if same_rater else math.hypot(self.session_sd, self.rater_sd)

    def mdc95(self, swings: int = 1, *, same_rater: bool = True) -> float:
        """Minimal detectable change (95 %) between the means of two sessions of `swings` each."""
        variance = (self.swing_sd**2 + self.click_sd**2) / swings
        variance += self.between_sd(same_rater=same_rater) ** 2
        return 1.96 * math.sqrt(2 * variance)


# Protocol: levelled tripod on a floor mark, two frames at 240 a second, marked joints. Unmarked:
# the same with bare eyes. Casual: by hand at 120 a second, the timing of the frame in the swing.
SET_UPS: dict[str, SetUp] = {
    set_up.name: set_up
    for set_up in (
        SetUp("protocol", swing_sd=0.8, session_sd=0.15, click_sd=0.55, rater_sd=0.15),
        SetUp("unmarked", swing_sd=0.8, session_sd=0.30, click_sd=0.95, rater_sd=0.45),
        SetUp("casual", swing_sd=1.53, session_sd=0.65, click_sd=0.95, rater_sd=0.45),
    )
}
