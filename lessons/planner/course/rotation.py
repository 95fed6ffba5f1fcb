"""A carousel: every squad visits every station once, in any order, and all are done early.

This is the open shop of the scheduling books (T. Gonzalez and S. Sahni, "Open shop scheduling to
minimize finish time", Journal of the ACM 23 (1976) 665-679): a squad is at one station at a time
and a station has one squad at a time. It is meant for one half of a day with stations of unequal
minutes; it knows no walking, no breaks and no instructors.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Any

from ortools.sat.python import cp_model

from lessons.planner.plan import OutOfTime

Minutes = Sequence[Sequence[int]]


class RotationError(ValueError):
    """The minutes are not a table of whole numbers from 0 on."""


@dataclass(frozen=True)
class Rotation:
    """When each squad (row) starts at each station (column), in minutes from the beginning.

    Nothing finishes before ``bound``, and ``proven`` says that ``finish`` is as early.
    """

    starts: tuple[tuple[int, ...], ...]
    finish: int
    bound: int
    proven: bool
    seconds: float


def least_finish(minutes: Minutes) -> int:
    """The minutes of the busiest squad or station, which no rotation beats."""
    return max(map(sum, [*minutes, *zip(*minutes, strict=True)]))


def rotate(minutes: Minutes, *, seconds: float, seed: int = 1, workers: int = 2) -> Rotation:
    """The rotation that ends first, as far as the time allows to find and prove it.

    Parameters
    ----------
    minutes
        How long each squad (row) is at each station (column); 0 where it does not go.

    Raises
    ------
    RotationError
        If a row is shorter than another, or a number is negative.
    OutOfTime
        If the time ended before the first rotation.
    """
    began = time.monotonic()
    _check(minutes)
    model = cp_model.CpModel()
    finish = model.new_int_var(least_finish(minutes), sum(map(sum, minutes)), "finish")
    starts = _starts(model, minutes, finish)
    model.minimize(finish)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    solver.parameters.use_dynamic_precedence_in_disjunctive = True  # ten times as fast here
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise OutOfTime(f"No rotation was found in {seconds:g} s.")
    found = solver.value(finish)
    bound = ceil(solver.best_objective_bound - 1e-6)
    return Rotation(
        starts=tuple(tuple(solver.value(start) for start in row) for row in starts),
        finish=found,
        bound=bound,
        proven=bound >= found,
        seconds=time.monotonic() - began,
    )


def _check(minutes: Minutes) -> None:
    if not minutes or not minutes[0] or len({len(row) for row in minutes}) > 1:
        raise RotationError("Each squad needs its minutes at each station.")
    if any(spent < 0 for row in minutes for spent in row):
        raise RotationError("Nobody is at a station for less than no time.")


def _starts(model: cp_model.CpModel, minutes: Minutes, finish: Any) -> list[list[Any]]:
    """A start for each squad and station, none of them in each other's way.

    A rotation run backwards is one too, so the longest visit may be asked to lie in the first half.
    """
    most = sum(map(sum, minutes))
    starts = [[model.new_int_var(0, most, "") for _ in row] for row in minutes]
    visits = [
        [model.new_fixed_size_interval_var(*pair, "") for pair in zip(*rows, strict=True)]
        for rows in zip(starts, minutes, strict=True)
    ]
    for line in (*visits, *zip(*visits, strict=True)):
        model.add_no_overlap([*line])
    pairs = [(spent, s, u) for s, row in enumerate(minutes) for u, spent in enumerate(row)]
    for spent, squad, station in pairs:
        model.add(starts[squad][station] + spent <= finish)
    longest, squad, station = max(pairs)
    model.add(2 * starts[squad][station] + longest <= finish)
    return starts
