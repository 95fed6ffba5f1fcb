"""Time the planner on invented schools of 12 to 96 golfers, beside a desk and a general solver.

Run with ``python -m tests.bench.plan_school [--seconds 60] [--only 12 24] [--seed 1]``. Each school
is planned once, in a process of its own so that its memory can be told, and all figures come from
that run: the time to the first plan, and each goal's value and bound with the times they were
reached. Beside it stand a plan as a desk makes it (`by_hand`) and what HiGHS finds for the same
rules and goals as one mixed-integer programme in the same time (`by_milp`, up to 24 golfers).
Every plan is gone through by the independent checker, and all goals are counted by it.

The school of 24 is then planned again, each instructor in turn being ill from noon of the second
day. Told is when the fewest golfers that must be moved were found and proven to be so, or that the
others cannot give what is left. Nothing here fails a build; the machine's speed is part of every
figure, so read the ratios.
"""

import argparse
import json
import sys
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from multiprocessing import get_context
from pathlib import Path
from resource import RUSAGE_SELF, getrusage

from lessons.planner.files.school_plan import again_from, read_instance
from lessons.planner.plan import NoPlan, OutOfTime, Placement, Plan, Progress
from lessons.planner.problem import Problem
from lessons.planner.solve import solve
from tests.bench.by_hand import by_hand
from tests.bench.by_milp import Milp
from tests.lessons.planner.independent_checker import Checker

SCHOOLS = Path(__file__).parent / "schools"
WEIGHTS = {
    "walking": 1, "idle": 10, "fairness": 8, "lead": 25, "same_instructor": 15, "preference": 5,
}  # fmt: skip
"""For the general solver, which has one sum; the planner keeps the goals in order."""

LARGEST_FOR_MILP = 24
NOON_OF_DAY_TWO = (1, 4)
SECONDS_AGAIN = 20.0


@dataclass
class Watch:
    """When each goal's value and bound last became better."""

    values: dict[str, tuple[int, float]] = field(default_factory=dict)
    bounds: dict[str, tuple[int, float]] = field(default_factory=dict)

    def __call__(self, progress: Progress) -> bool:
        for told, kept in ((progress.values, self.values), (progress.bounds, self.bounds)):
            for name, number in told.items():
                if name not in kept or kept[name][0] != number:
                    kept[name] = number, progress.seconds
        return True

    def when(self, name: str, plan: Plan) -> tuple[float, float]:
        """When the value and the bound of the finished plan were first there."""
        goal = next(goal for goal in plan.goals if goal.name == name)
        value, at = self.values.get(name, (None, 0.0))
        bound, bound_at = self.bounds.get(name, (None, 0.0))
        return (
            at if value == goal.value else plan.seconds,
            bound_at if bound == goal.bound else plan.seconds,
        )


def read(golfers: int) -> Problem:
    return read_instance(json.loads((SCHOOLS / f"golfers_{golfers}.json").read_text()))


def judged(problem: Problem, placements: Sequence[Placement]) -> tuple[int, dict[str, int]]:
    """Faults, and the goals as the independent checker counts them."""
    checker = Checker(problem, Plan(tuple(placements), (), "", 0, 0.0, ""))
    return len(checker.check()), checker.goals()


def planned(golfers: int, seconds: float, seed: int) -> Iterator[str]:
    problem, watch = read(golfers), Watch()
    plan = solve(problem, seconds=seconds, seed=seed, on_progress=watch)
    faults, counted = judged(problem, plan.placements)
    yield (
        f"{golfers} golfers: first plan {plan.first_seconds:.2f} s, {plan.status} after"
        f" {plan.seconds:.1f} s, {memory_mb():.0f} MB at most, {faults} faults"
    )
    hand, sheets = by_hand(problem, seconds)
    missing = len(plan.placements) - len(hand)
    amiss, desk = judged(problem, hand) if not missing else (0, {})
    yield f"  a desk: sheet {sheets}, {missing} visits without room, {amiss} faults"
    yield f"  {'goal':<16} value bound    gap value at bound at  desk  ratio"
    for goal in plan.goals:
        at, bound_at = watch.when(goal.name, plan)
        gap = (goal.value - goal.bound) / goal.value if goal.value else 0.0
        hers = desk.get(goal.name)
        ratio = f"{hers / goal.value:.2f}" if hers is not None and goal.value else "-"
        note = "" if counted[goal.name] == goal.value else f"  counted {counted[goal.name]}!"
        yield (
            f"  {goal.name:<16} {goal.value:>5} {goal.bound:>5} {gap:>6.1%} {at:>6.1f} s"
            f" {bound_at:>6.1f} s {hers if hers is not None else '-':>5} {ratio:>6}{note}"
        )
    if golfers <= LARGEST_FOR_MILP:
        yield from by_general_solver(problem, seconds, counted)


def by_general_solver(problem: Problem, seconds: float, ours: dict[str, int]) -> Iterator[str]:
    began = time.monotonic()
    reached = Milp(problem, WEIGHTS).solve(seconds - (time.monotonic() - began))
    head = f"  HiGHS on {reached.variables} variables, {reached.seconds:.0f} s:"
    if not reached.placements:
        yield f"{head} no plan; bound of the weighted sum {reached.bound:.0f}"
        return
    faults, counted = judged(problem, reached.placements)
    theirs, planner = weighed(counted), weighed(ours)
    yield f"{head} {faults} faults, " + ", ".join(f"{k} {v}" for k, v in counted.items())
    yield (
        f"  weighted sum {theirs} (bound {reached.bound:.0f}), planner's {planner}:"
        f" {theirs / max(planner, 1):.2f} times"
    )


def weighed(counted: dict[str, int]) -> int:
    return sum(WEIGHTS[name] * value for name, value in counted.items())


def planned_again(golfers: int, seconds: float, seed: int) -> Iterator[str]:
    """Each instructor in turn is ill from noon of the second day."""
    problem = read(golfers)
    published = solve(problem, seconds=seconds / 2, seed=seed).placements
    for ill in problem.instructors:
        free = frozenset(slot for slot in ill.available if slot < NOON_OF_DAY_TWO)
        staff = tuple(
            replace(one, available=free) if one == ill else one for one in problem.instructors
        )
        again = again_from(replace(problem, instructors=staff), published, NOON_OF_DAY_TWO)
        yield f"{golfers} golfers, {ill.name} ill from noon of day 2: " + one_ill(again, seed)
    yield f"  {memory_mb():.0f} MB at most"


def one_ill(problem: Problem, seed: int) -> str:
    watch, began = Watch(), time.monotonic()
    try:
        plan = solve(problem, seconds=SECONDS_AGAIN, seed=seed, on_progress=watch)
    except NoPlan as error:
        spent = time.monotonic() - began
        return (
            f"no plan, {len(error.conflicts)} rules clash, {len(error.ways_out)} ways out,"
            f" {spent:.1f} s"
        )
    except OutOfTime as error:
        return str(error)
    at, bound_at = watch.when("moved", plan)
    proven = f"{bound_at:.1f} s" if plan.goals[0].proven else "not"
    rest = ", ".join(f"{goal.name} {goal.value} ({goal.bound})" for goal in plan.goals)
    return f"found {at:.1f} s, proven {proven}, in all {plan.seconds:.1f} s: {rest}"


def memory_mb() -> float:
    """The most this process has held, which Linux counts in kilobytes and macOS in bytes."""
    return getrusage(RUSAGE_SELF).ru_maxrss / (1024**2 if sys.platform == "darwin" else 1024)


def told(job: str, golfers: int, seconds: float, seed: int) -> None:
    jobs = {"planned": planned, "planned_again": planned_again}
    for line in jobs[job](golfers, seconds, seed):
        sys.stdout.write(f"{line}\n")
        sys.stdout.flush()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", type=int, nargs="+", default=[12, 24, 48, 96])
    asked = parser.parse_args()
    jobs = [("planned", golfers) for golfers in asked.only]
    jobs += [("planned_again", 24)] if 24 in asked.only else []
    for job, golfers in jobs:
        with ProcessPoolExecutor(max_workers=1, mp_context=get_context("spawn")) as pool:
            pool.submit(told, job, golfers, asked.seconds, asked.seed).result()


if __name__ == "__main__":
    main()
