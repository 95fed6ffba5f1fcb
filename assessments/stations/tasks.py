"""What the short game and the bunker share: balls played to a hole from a fixed length.

What is left is given as the mean of the balls, with Student's interval, and not as their median.
There are ten balls at most, and of five a median has no 95 % interval at all (the lowest and the
highest hold it only fifteen times out of sixteen); change is decided on intervals; and strokes add
up ball by ball, so the one that was left far off is part of what a golfer leaves.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from assessments.stations.base import MeasureKind, MeasureValue, StationForm
from assessments.stations.fields import BallRow, number_field
from assessments.stations.values import TAPE_M, Faults, is_number, measured
from assessments.statistics.intervals import Estimate, mean
from assessments.statistics.proximity import BANDS, HOLED, points, score

MOST_BALLS, FARTHEST_LEFT_M = 10, 100
BALLS = range(1, MOST_BALLS + 1)
SCALE = "our own scale of points by what is left"


@dataclass(frozen=True)
class Task:
    """A shot of a fixed length; `name` is its name in a payload, `measure` what it leaves."""

    name: str
    title: str
    length_m: int
    measure: str

    @property
    def heading(self) -> str:
        return f"{self.title}, {self.length_m}\N{NO-BREAK SPACE}m"

    def kind(self) -> MeasureKind:
        title = f"left by a {self.title.lower()}"
        return MeasureKind(self.measure, title, "m", 1, better="lower")


class BallsForm(StationForm):
    """A form with a number for each ball of each task: how far from the hole it ended."""

    tasks: tuple[Task, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for task in self.tasks:
            for ball in BALLS:
                label = f"{task.heading}: left by ball {ball}"
                self.fields[f"{task.name}_{ball}"] = number_field(label)

    def ball_rows(self) -> list[BallRow]:
        return [
            BallRow(task.heading, tuple(self[f"{task.name}_{ball}"] for ball in BALLS))
            for task in self.tasks
        ]

    def scale(self) -> str:
        """How a ball is scored, in words."""
        bands = ", ".join(f"{share:.0%} {points}" for share, points in BANDS)
        return f"holed {HOLED}; within so much of the shot’s length: {bands}; farther 0"

    def left(self, task_name: str) -> list[float]:
        return [self.cleaned_data[f"{task_name}_{ball}"] for ball in self._filled(task_name)]

    def field_for(self, place: str) -> str | None:
        """Places are those of the payload, `chip.0`, where empty fields are left out."""
        match place.split("."):
            case [task_name] if any(task.name == task_name for task in self.tasks):
                return f"{task_name}_{next(iter(self._filled(task_name)), 1)}"
            case [task_name, index]:
                return f"{task_name}_{self._filled(task_name)[int(index)]}"
        return super().field_for(place)

    def _filled(self, task_name: str) -> list[int]:
        return [n for n in BALLS if self.cleaned_data.get(f"{task_name}_{n}") is not None]


def initial_of(task_name: str, left_m: Sequence[float]) -> dict[str, float]:
    return {f"{task_name}_{ball}": left for ball, left in enumerate(left_m, 1)}


def left_faults(task: Task, left_m: Any, fewest: int = 2) -> Faults:
    """What is wrong with the distances left: the place of a ball, or of the task, and words."""
    if not isinstance(left_m, list) or not fewest <= len(left_m) <= MOST_BALLS:
        words = f"two to {MOST_BALLS} balls are played; one alone does not scatter."
        yield task.name, f"{task.title}: {words}"
        return
    for index, left in enumerate(left_m):
        if not is_number(left, 0, FARTHEST_LEFT_M):
            words = f"what is left is a number from 0 (holed) to {FARTHEST_LEFT_M} m."
            yield f"{task.name}.{index}", f"{task.title}: {words}"


def what_is_left(task: Task, left_m: Sequence[float]) -> Iterator[MeasureValue]:
    """The mean distance left; nothing of no balls, and of one only itself."""
    if len(left_m) == 1:
        source = "one ball; how it scatters is not known"
        yield MeasureValue(task.measure, left_m[0], "m", None, None, None, source)
    elif left_m:
        estimate = mean(left_m, TAPE_M)
        # nothing is left nearer than the hole
        low = max(0.0, estimate.low)
        estimate = Estimate(estimate.value, estimate.standard_uncertainty, low, estimate.high)
        source = f"mean of {len(left_m)} balls; their scatter and Student's t"
        yield measured(task.measure, "m", estimate, source)


def points_of(task: Task, left_m: Sequence[float], stayed_in: int = 0) -> list[int]:
    return [points(left, task.length_m) for left in left_m] + [0] * stayed_in


def score_of(name: str, tasks: Sequence[Sequence[int]]) -> MeasureValue:
    balls = sum(len(task) for task in tasks)
    source = f"{balls} balls on {SCALE}; the scatter of their points and Student's t"
    return measured(name, "points", score(tasks), source)


def told(task: Task, left_m: Sequence[float], stayed_in: int = 0) -> dict[str, Any]:
    """A task as it was played: every ball, and its points."""
    balls = points_of(task, left_m, stayed_in)
    return {
        "heading": task.heading,
        "left": [f"{left:g}" if left else "holed" for left in left_m],
        "stayed_in": stayed_in,
        "points": sum(balls) / len(balls),
    }
