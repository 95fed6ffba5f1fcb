"""From marked landmarks to measures with their uncertainty."""

from __future__ import annotations

from dataclasses import dataclass, field
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
from assessments.impact.uncertainty import Model, Spread, first_order, monte_carlo

Method = Literal["first order", "Monte Carlo"]

# points that only serve as a check and enter no formula
_CHECKS_ONLY = (
    Landmark.SHAFT_MID,
    Landmark.TRAIL_SHOULDER,
    Landmark.CLUB_HEAD,
    Landmark.GROUND_C,
    Landmark.GROUND_D,
)


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
    """All measures of one still, by name, and what is doubtful about it.

    From two `frames` the `strike_weight` says where between them the strike lies: 0 at the first,
    1 at the second.
    """

    measures: dict[str, Measured]
    warnings: tuple[str, ...]
    definitions_version: str
    roll_measured: bool
    step_mm: float
    spread: Spread = field(compare=False, repr=False)
    frames: int = 1
    strike_weight: float | None = None

    def covariance(self, *names: str) -> NDArray[np.float64]:
        """The covariance matrix of some measures, in the products of their units."""
        own = list(self.measures)[: len(self.spread.covariance)]
        of = [own.index(_in_balls(name)) for name in names]
        factors = np.array([BALL_DIAMETER_MM if name.endswith("_mm") else 1.0 for name in names])
        found: NDArray[np.float64] = self.spread.covariance[np.ix_(of, of)]
        return found * np.outer(factors, factors)

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
    marks = measured_marks(geometry)
    x, sd = inputs(geometry, marks)
    task = Task(measure_names(marks), partial(evaluate, marks), x, sd)
    return result_of(
        geometry, task, method_for(geometry, task.values), doubts(geometry, task.values)
    )


@dataclass(frozen=True)
class Task:
    """A model of independent inputs: what it gives, where it is evaluated, how sure that is."""

    names: tuple[str, ...]
    model: Model
    x: NDArray[np.float64]
    sd: NDArray[np.float64]

    @property
    def values(self) -> dict[str, float]:
        """The measures by name; adding zero turns a negative zero into zero."""
        return dict(zip(self.names, (self.model(self.x) + 0.0).tolist(), strict=True))

    def spread(self, method: Method) -> Spread:
        """How far the measures may be off."""
        if method == "first order":
            return first_order(self.model, self.x, self.sd)
        x, sd = self.x, self.sd
        return monte_carlo(self.model, lambda rng, n: x + sd * rng.standard_normal((n, x.size)))


def measured_marks(geometry: StillGeometry) -> tuple[Landmark, ...]:
    """The landmarks that enter a formula."""
    return tuple(mark for mark in geometry.landmarks if mark not in _CHECKS_ONLY)


def inputs(
    geometry: StillGeometry, marks: tuple[Landmark, ...]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """What `evaluate` is given for a still, and the standard deviation of each: the click and the
    landmark's own doubt."""
    x = np.array([geometry.mirrored(mark) for mark in marks]).ravel()
    px_per_mm = ball_px(geometry) / BALL_DIAMETER_MM
    own = [geometry.placement_sd_mm.get(mark, 0.0) * px_per_mm for mark in marks]
    sd = np.repeat(np.hypot(geometry.click_sd_px, own), 2)
    if geometry.scale_px is None:
        return x, sd
    return np.append(x, geometry.scale_px), np.append(sd, geometry.scale_sd_px)


def ball_px(geometry: StillGeometry) -> float:
    """The ball's diameter in pixels, as a fixed camera shows it or as it is marked."""
    if geometry.scale_px is not None:
        return geometry.scale_px
    edges = (Landmark.BALL_EDGE_A, Landmark.BALL_EDGE_B)
    return float(length(*(geometry.mirrored(edge) for edge in edges)))


def result_of(
    geometry: StillGeometry, task: Task, method: Method, warnings: tuple[str, ...]
) -> ImpactResult:
    """The result of a task on a still."""
    spread = task.spread(method)
    return ImpactResult(
        _with_millimetres(_collect(task.values, spread, method)),
        warnings,
        DEFINITIONS_VERSION,
        roll_measured=Landmark.GROUND_A in geometry.landmarks,
        step_mm=geometry.step_mm,
        spread=spread,
    )


def method_for(geometry: StillGeometry, values: dict[str, float]) -> Method:
    """First order holds while ball and forearm are long against the doubt of their ends.

    Simulated: up to a tenth of the ball, and from 20 standard deviations of forearm, a 95 %
    interval covers 94 to 95 %.
    """
    ends = (Landmark.LEAD_ELBOW, Landmark.LEAD_WRIST)
    forearm = length(*(geometry.mirrored(end) for end in ends))
    forearm_sd = np.sqrt(np.mean(inputs(geometry, ends)[1][:4] ** 2))
    ball_sd = geometry.click_sd_px if geometry.scale_px is None else geometry.scale_sd_px
    holds = ball_sd <= 0.10 * values["ball_diameter_px"] and forearm >= 20 * forearm_sd
    return "first order" if holds else "Monte Carlo"


def _in_balls(name: str) -> str:
    return f"{name.removesuffix('_mm')}_bd" if name.endswith("_mm") else name


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
