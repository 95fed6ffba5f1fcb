"""From marked landmarks to measures with their uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from assessments.impact import DEFINITIONS_VERSION
from assessments.impact.checks import doubts, refuse_if_faulty
from assessments.impact.geometry import (
    BALL_DIAMETER_MM,
    StillGeometry,
    evaluate,
    length,
    measure_names,
)
from assessments.impact.landmarks import Landmark
from assessments.impact.uncertainty import Spread, first_order, monte_carlo

Method = Literal["first order", "Monte Carlo"]

# points that only serve as a check and enter no formula
_CHECKS_ONLY = (Landmark.SHAFT_MID, Landmark.TRAIL_SHOULDER)


@dataclass(frozen=True)
class Measured:
    """One measure of one still.

    `low` and `high` bound 95 %. By first order they lie 1.96 standard uncertainties to either
    side; by Monte Carlo they are percentiles, and the standard uncertainty is the standard
    deviation of the draws.
    """

    name: str
    value: float
    unit: str
    standard_uncertainty: float
    low: float
    high: float
    method: Method

    def times(self, factor: float, name: str, unit: str) -> Measured:
        """The same measure in another unit, `factor` > 0 of which make one of this."""
        return Measured(
            name,
            self.value * factor,
            unit,
            self.standard_uncertainty * factor,
            self.low * factor,
            self.high * factor,
            self.method,
        )


@dataclass(frozen=True)
class ImpactResult:
    """All measures of one still, by name, and what is doubtful about it."""

    measures: dict[str, Measured]
    warnings: tuple[str, ...]
    definitions_version: str
    roll_measured: bool
    step_mm: float

    def in_steps(self, name: str) -> Measured:
        """A measure given in millimetres, e.g. `forearm_line_offset_mm`, in the school's steps."""
        return self.measures[name].times(
            1 / self.step_mm, f"{name.removesuffix('_mm')}_steps", "steps"
        )


def measure_still(geometry: StillGeometry) -> ImpactResult:
    """Measure one still.

    The unit of length is the ball diameter (bd); lengths are also given in mm of a ball of
    42.67 mm. Positive is toward the target, for angles with the upper end toward the target.
    The missing lead shoulder or lead heel leaves out its own measure only. Without ground points
    the picture is taken as level and `roll_measured` is false.

    Raises
    ------
    StillRefused
        If the marks cannot be right; it carries every fault found.
    """
    refuse_if_faulty(geometry)
    marks = tuple(mark for mark in geometry.landmarks if mark not in _CHECKS_ONLY)
    x = np.array([geometry.mirrored(mark) for mark in marks]).ravel()
    model = partial(evaluate, marks)
    # adding zero turns a negative zero into zero
    values = dict(zip(measure_names(marks), (model(x) + 0.0).tolist(), strict=True))
    sd = _standard_deviations(geometry, marks, values["ball_diameter_px"])
    method = _method(geometry, dict(zip(marks, sd[::2].tolist(), strict=True)), values)
    if method == "first order":
        spread = first_order(model, x, sd)
    else:
        spread = monte_carlo(model, lambda rng, n: x + sd * rng.standard_normal((n, x.size)))
    measures = _with_millimetres(_collect(values, spread, method))
    return ImpactResult(
        measures,
        doubts(geometry, values),
        DEFINITIONS_VERSION,
        roll_measured=Landmark.GROUND_A in marks,
        step_mm=geometry.step_mm,
    )


def _standard_deviations(
    geometry: StillGeometry, marks: tuple[Landmark, ...], ball_px: float
) -> NDArray[np.float64]:
    """Of u and v of each landmark in turn: the click and the landmark's own doubt."""
    px_per_mm = ball_px / BALL_DIAMETER_MM
    own = [geometry.placement_sd_mm.get(mark, 0.0) * px_per_mm for mark in marks]
    return np.repeat(np.hypot(geometry.click_sd_px, own), 2)


def _method(geometry: StillGeometry, sd: dict[Landmark, float], values: dict[str, float]) -> Method:
    """First order holds while ball and forearm are long against the doubt of their ends.

    Simulated: up to a tenth of the ball, and from 20 standard deviations of forearm, a 95 %
    interval covers 94 to 95 %.
    """
    ends = (Landmark.LEAD_ELBOW, Landmark.LEAD_WRIST)
    forearm = length(*(geometry.mirrored(end) for end in ends))
    forearm_sd = np.sqrt(np.mean([sd[end] ** 2 for end in ends]))
    holds = geometry.click_sd_px <= 0.10 * values["ball_diameter_px"] and (
        forearm >= 20 * forearm_sd
    )
    return "first order" if holds else "Monte Carlo"


def _collect(values: dict[str, float], spread: Spread, method: Method) -> dict[str, Measured]:
    rows = zip(values.items(), spread.standard_uncertainty, spread.low, spread.high, strict=True)
    return {
        name: Measured(
            name, value, name.rsplit("_", 1)[1], float(u), float(low), float(high), method
        )
        for (name, value), u, low, high in rows
    }


def _with_millimetres(measures: dict[str, Measured]) -> dict[str, Measured]:
    lengths = [m for m in measures.values() if m.unit == "bd"]
    in_mm = [m.times(BALL_DIAMETER_MM, f"{m.name.removesuffix('_bd')}_mm", "mm") for m in lengths]
    return measures | {m.name: m for m in in_mm}
