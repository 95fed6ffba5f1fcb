"""One swing from two frames: the last before the strike and the first at or after it.

At the strike the front of the club head is at the trail edge of the ball. Where it is in each frame
says where between them that was, and every measure is taken there on the straight line between its
two values (constant rates). Simulated, that leaves 0.1 ball of the forearm-line offset at 60 frames
a second and nothing at 240, where the nearest single frame is off by 2.6 and 0.65; but real wrists
do not turn evenly, so below 120 a second the result is marked as doubtful.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assessments.impact.checks import doubts, refuse_if_faulty
from assessments.impact.errors import Doubt, Fault, StillRefused
from assessments.impact.geometry import LevelFrame, StillGeometry, evaluate, measure_names
from assessments.impact.landmarks import STILL_THERE, Landmark
from assessments.impact.measures import (
    ImpactResult,
    Method,
    Task,
    ball_px,
    inputs,
    measured_marks,
    method_for,
    result_of,
)

HEAD_SD_MM = 10.0
"""How far (one standard deviation) the front of a moving head is seen off its place, assumed."""

SLOW_FRAMES = 120
ROUNDING = 0.1
"""Of the way between the frames: how far outside the strike may seem to lie by error alone."""

Array = NDArray[Any]


def measure_two_frames(
    before: StillGeometry,
    after: StillGeometry,
    *,
    head_sd_mm: float = HEAD_SD_MM,
    frames_a_second: int | None = None,
) -> ImpactResult:
    """Measure one swing at the instant of the strike.

    The ball and the ground of the first frame serve the second where it has none of its own: the
    camera must not move between them. Measures that only one frame gives are left out.

    Raises
    ------
    StillRefused
        If either frame is refused, the club head is not marked in both, or the strike does not
        lie between them.
    """
    pair = _Pair.of(before, after, head_sd_mm)
    task = pair.task()
    weight = float(pair.weight(task.x))
    _refuse_outside(pair, weight)
    found = [doubt for frame in pair.without_heads() for doubt in doubts(frame, task.values)]
    if frames_a_second is not None and frames_a_second < SLOW_FRAMES:
        found.append(Doubt.FRAMES_FAR_APART)
    warnings = tuple(dict.fromkeys(found))
    methods = {method_for(frame, task.values) for frame in (pair.before, pair.after)}
    method: Method = "first order" if methods == {"first order"} else "Monte Carlo"
    result = result_of(before, task, method, warnings)
    return replace(result, frames=2, strike_weight=weight)


@dataclass(frozen=True)
class _Pair:
    """Both frames with every mark they need, and which of the second's are the first's."""

    before: StillGeometry
    after: StillGeometry
    borrowed: frozenset[Landmark]

    @classmethod
    def of(cls, before: StillGeometry, after: StillGeometry, head_sd_mm: float) -> _Pair:
        borrowed = {  # the same point in both is one mark, lent, and not two that agree
            mark: point
            for mark in STILL_THERE
            if (point := before.landmarks.get(mark)) and after.landmarks.get(mark, point) == point
        }
        after = replace(after, landmarks={**after.landmarks, **borrowed})
        for frame, which in ((before, "before"), (after, "after")):
            refuse_if_faulty(frame)
            if Landmark.CLUB_HEAD not in frame.landmarks:
                about = f"{Landmark.CLUB_HEAD.label}, in the frame {which} the strike"
                raise StillRefused([Fault.LANDMARK_MISSING], {Fault.LANDMARK_MISSING: about})
        before, after = (_with_head_doubt(frame, head_sd_mm) for frame in (before, after))
        return cls(before, after, frozenset(borrowed))

    @property
    def first(self) -> tuple[Landmark, ...]:
        return (*measured_marks(self.before), Landmark.CLUB_HEAD)

    @property
    def second(self) -> tuple[Landmark, ...]:
        """Marks of the second frame alone."""
        own = (m for m in measured_marks(self.after) if m not in self.borrowed)
        return (*own, Landmark.CLUB_HEAD)

    def without_heads(self) -> list[StillGeometry]:
        """Both frames with no mark on the club head, which is not at the ball in either."""
        return [
            replace(
                frame,
                landmarks={m: p for m, p in frame.landmarks.items() if m != Landmark.CLUB_HEAD},
            )
            for frame in (self.before, self.after)
        ]

    def task(self) -> Task:
        """The inputs are the first frame's marks, the second's own, and a fixed scale if any."""
        x, sd = inputs(self.before, self.first)
        more_x, more_sd = inputs(self.after, self.second)
        own = 2 * len(self.first)  # the scale, if any, comes last with the second's
        x, sd = np.concatenate([x[:own], more_x]), np.concatenate([sd[:own], more_sd])
        return Task(self.names, self.model, x, sd)

    @property
    def names(self) -> tuple[str, ...]:
        """What both frames give."""
        of_second = measure_names(measured_marks(self.after))
        return tuple(n for n in measure_names(measured_marks(self.before)) if n in of_second)

    def model(self, x: Array) -> Array:
        """All measures at the strike."""
        one, other = (self._values(x, frame) for frame in (self.before, self.after))
        weight = self.weight(x)[..., None]
        at_strike: Array = (1 - weight) * one + weight * other
        return at_strike

    def weight(self, x: Array) -> Any:
        """Where the strike lies between the frames: (strike - head 1) / (head 2 - head 1)."""
        one, other = self._head(x, self.before), self._head(x, self.after)
        return (-0.5 - one) / (other - one)

    def _head(self, x: Array, frame: StillGeometry) -> Any:
        """The front of the head in ball diameters from the middle of the ball."""
        points = self._points(x, frame)
        level = LevelFrame.of(points, self._scale(x))
        return level.place(points[Landmark.CLUB_HEAD])[0] / level.diameter

    def _values(self, x: Array, frame: StillGeometry) -> Array:
        marks = measured_marks(frame)
        points = self._points(x, frame)
        columns = [axis for mark in marks for axis in points[mark]]
        if self.before.scale_px is not None:
            columns.append(self._scale(x))
        values = evaluate(marks, np.stack(columns, axis=-1))
        order = measure_names(marks)
        shared: Array = values[..., [order.index(name) for name in self.names]]
        return shared

    def _points(self, x: Array, frame: StillGeometry) -> dict[Landmark, tuple[Any, Any]]:
        first = {m: (x[..., 2 * i], x[..., 2 * i + 1]) for i, m in enumerate(self.first)}
        if frame is self.before:
            return first
        start = 2 * len(self.first)
        own = {
            m: (x[..., start + 2 * i], x[..., start + 2 * i + 1]) for i, m in enumerate(self.second)
        }
        return {**{mark: first[mark] for mark in self.borrowed if mark in first}, **own}

    def _scale(self, x: Array) -> Any:
        return None if self.before.scale_px is None else x[..., -1]


def _with_head_doubt(frame: StillGeometry, head_sd_mm: float) -> StillGeometry:
    return replace(frame, placement_sd_mm={**frame.placement_sd_mm, Landmark.CLUB_HEAD: head_sd_mm})


def _refuse_outside(pair: _Pair, weight: float) -> None:
    one, other = (frame.mirrored(Landmark.CLUB_HEAD)[0] for frame in (pair.before, pair.after))
    if other - one < ball_px(pair.before):
        raise StillRefused([Fault.FRAMES_TOO_ALIKE])
    if not -ROUNDING <= weight <= 1 + ROUNDING:
        raise StillRefused([Fault.STRIKE_OUTSIDE_FRAMES])
