"""Short game: balls to a hole from three fixed lengths on short grass, and up and down.

Payload, each part only if it was played:
`{"tasks": [{"task": "chip", "length_m": 10, "left_m": [1.2, 0, 0.4]}, ...],
"up_and_down": {"tries": 8, "saved": 3}}`. `left_m` is how far from the hole each ball ended, 0 if
it was holed. Up and down is saved if the ball is in the hole with the shot and one putt.

The score needs all three tasks: a score without the longest would not be comparable.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

from assessments.stations.base import (
    Computed,
    Context,
    MeasureKind,
    Measures,
    MeasureValue,
    Payload,
    StationModule,
    is_list_of_objects,
)
from assessments.stations.charts import CHANGE_CHART, change_chart
from assessments.stations.fields import count_field
from assessments.stations.tasks import (
    BallsForm,
    Task,
    initial_of,
    left_faults,
    points_of,
    score_of,
    told,
    what_is_left,
)
from assessments.stations.values import Faults, is_count, rate, refuse_any
from assessments.statistics.strokes_gained import cost_of_leave

MOST_TRIES = 20
TASKS = {
    task.name: task
    for task in (
        Task("chip", "Chip", 10, "proximity_chip_m"),
        Task("pitch", "Pitch", 20, "proximity_pitch_m"),
        Task("long_pitch", "Long pitch", 40, "proximity_long_pitch_m"),
    )
}
NOTHING = "Enter the balls of at least one task, or the tries at up and down."
SCORE = MeasureKind(
    "short_game_score", "short game score of 100", "points", 0, better="higher", primary=True
)
UP_AND_DOWN = MeasureKind("up_and_down_rate", "up and down", "%", 0, better="higher")
MEASURES = (SCORE, *(task.kind() for task in TASKS.values()), UP_AND_DOWN)


class ShortGameForm(BallsForm):
    tasks = tuple(TASKS.values())
    tries = count_field("Tries at up and down", MOST_TRIES, required=False)
    saved = count_field("Saved in two", MOST_TRIES, required=False)

    def payload(self) -> Payload:
        payload: Payload = {}
        played = [
            {"task": task.name, "length_m": task.length_m, "left_m": left}
            for task in self.tasks
            if (left := self.left(task.name))
        ]
        if played:
            payload["tasks"] = played
        tries, saved = self.cleaned_data["tries"], self.cleaned_data["saved"]
        if tries is not None or saved is not None:
            payload["up_and_down"] = {"tries": tries, "saved": saved}
        return payload

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        found: dict[str, Any] = dict(payload.get("up_and_down", {}))
        for played in payload.get("tasks", ()):
            found |= initial_of(played["task"], played["left_m"])
        return found


def _compute(payload: Payload, context: Context) -> Computed:
    refuse_any(_faults(payload))
    return Computed(tuple(_measures(payload)))


def _faults(payload: Payload) -> Faults:
    tasks = payload.get("tasks", [])
    if not (tasks or "up_and_down" in payload) or payload.keys() - {"tasks", "up_and_down"}:
        yield "tasks", NOTHING
    elif not is_list_of_objects(tasks):
        yield "tasks", "The tasks are a list, each with its balls."
    else:
        yield from _task_faults(tasks)
    if "up_and_down" in payload:
        yield from _try_faults(payload["up_and_down"])


def _task_faults(tasks: list[dict[str, Any]]) -> Faults:
    names = [played.get("task") for played in tasks]
    for played in tasks:
        name = played.get("task")
        task = TASKS.get(name) if isinstance(name, str) else None
        if task is None or names.count(name) > 1 or played.get("length_m") != task.length_m:
            yield "tasks", "Chips of 10 m, pitches of 20 m and long pitches of 40 m are played."
        else:
            yield from left_faults(task, played.get("left_m"))


def _try_faults(tried: Any) -> Faults:
    tries, saved = (
        (tried.get("tries"), tried.get("saved")) if isinstance(tried, dict) else (None, None)
    )
    if not is_count(tries, 1, MOST_TRIES):
        yield "tries", f"Up and down: 1 to {MOST_TRIES} tries are counted."
    elif saved is None:
        yield "saved", f"Up and down: say how many of {tries} tries were saved in two."
    elif not is_count(saved, 0, tries):
        yield "saved", f"Up and down: of {tries} tries, {saved} cannot have been saved."


def _measures(payload: Payload) -> Iterator[MeasureValue]:
    played = {TASKS[row["task"]]: row["left_m"] for row in payload.get("tasks", ())}
    if len(played) == len(TASKS):
        yield score_of(SCORE.name, [points_of(task, left) for task, left in played.items()])
    for task, left in played.items():
        yield from what_is_left(task, left)
    if "up_and_down" in payload:
        tries, saved = payload["up_and_down"]["tries"], payload["up_and_down"]["saved"]
        yield rate(UP_AND_DOWN.name, saved, tries, "up and down")


def _details(payload: Payload) -> dict[str, Any]:
    tasks = [told(TASKS[row["task"]], row["left_m"]) for row in payload.get("tasks", ())]
    return {"tasks": tasks}


def _costs(measures: Measures) -> Mapping[str, float]:
    """What the mean leave of a task costs; a chip is shorter than anything published."""
    costs = {
        task.measure: cost_of_leave(task.length_m, measures[task.measure].value)
        for task in TASKS.values()
        if task.measure in measures
    }
    return {name: cost for name, cost in costs.items() if cost is not None}


STATION = StationModule(
    kind="short_game",
    title="Short game",
    form_class=ShortGameForm,
    measures=MEASURES,
    compute=_compute,
    page_template="assessments/stations/short_game.html",
    details=_details,
    detail_template="assessments/stations/balls_details.html",
    chart=partial(change_chart, "Short game", MEASURES),
    chart_template=CHANGE_CHART,
    costs=_costs,
    costs_source=(
        "for one such shot a round: the putts of a tour player from what was left on average, less "
        "what such a player needs after his own shot from there (M. Broadie, Every Shot Counts, "
        "2014; 2003 to 2010)"
    ),
)
