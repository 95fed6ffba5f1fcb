"""Time the planner on invented schools of 12 and 24 golfers, beside a plan made by hand.

Run with ``python -m tests.bench.plan_school``. The plan by hand is what a patient desk would do:
visit by visit and squad by squad, the first slot and bay that break no rule, with the instructor
who has the least to do so far; and when a visit finds no room, all over again in another order.
"""

import sys
from collections import Counter
from collections.abc import Iterator
from graphlib import TopologicalSorter
from random import Random

from lessons.planner.goals import GOALS
from lessons.planner.plan import Placement, Plan, Progress
from lessons.planner.problem import Problem, Squad, Visit
from lessons.planner.solve import solve
from tests.lessons.planner.independent_checker import Checker
from tests.lessons.planner.schools import week

SECONDS = 30
ATTEMPTS = 5


def by_hand(problem: Problem) -> tuple[list[Placement], int]:
    """The first greedy plan that places everything, or the fullest, and the attempts made."""
    best: list[Placement] = []
    for attempt in range(1, ATTEMPTS + 1):
        done: list[Placement] = []
        for visit in _order(problem, Random(attempt)):
            for squad in problem.squads:
                done += filter(None, [_first_fit(problem, squad, visit, done)])
        best = max(best, done, key=len)
        if len(best) == len(problem.squads) * len(problem.visits):
            break
    return best, attempt


def _order(problem: Problem, random: Random) -> Iterator[Visit]:
    """The visits in some order in which none comes before what it waits for."""
    visits = {visit.key: visit for visit in problem.visits}
    sorter = TopologicalSorter({key: sorted(visit.after) for key, visit in visits.items()})
    sorter.prepare()
    ready: list[str] = []
    while sorter.is_active():
        ready += sorter.get_ready()
        chosen = ready.pop(random.randrange(len(ready)))
        sorter.done(chosen)
        yield visits[chosen]


def _first_fit(
    problem: Problem, squad: Squad, visit: Visit, done: list[Placement]
) -> Placement | None:
    had = {row.visit for row in done if row.squad == squad.key}
    load = Counter(row.instructor for row in done)
    staff = sorted(problem.instructors, key=lambda person: load[person.key])
    if not visit.after <= had:
        return None
    for day in range(problem.grid.days):
        for slot in range(problem.grid.slots_per_day):
            for bay in problem.bays:
                for person in staff:
                    row = Placement(squad.key, visit.key, day, slot, bay.key, person.key)
                    near = [r for r in done if _meets(r, row)]
                    if not _faults(problem, [*near, row]):
                        return row
    return None


def _meets(one: Placement, other: Placement) -> bool:
    return one.squad == other.squad or (
        one.day == other.day and (one.bay == other.bay or one.instructor == other.instructor)
    )


def _faults(problem: Problem, rows: list[Placement]) -> list[str]:
    """Every broken rule but that of visits still to come."""
    checker = Checker(problem, Plan(tuple(rows), (), "", 0, 0.0, ""))
    for look in (checker.times, checker.places, checker.people, checker.orders, checker.walks):
        checker.faults += look()
    return checker.faults


def report(squads: int) -> Iterator[str]:
    problem = week(squads)
    told: list[Progress] = []
    plan = solve(problem, seconds=SECONDS, on_progress=told.append)
    faults = len(Checker(problem, plan).check())
    yield f"{4 * squads} golfers, {len(problem.visits)} visits, {len(problem.bays)} bays:"
    yield f"  first plan {told[0].seconds:.2f} s, in all {plan.seconds:.2f} s, {plan.status}"
    hand, attempts = by_hand(problem)
    missing = squads * len(problem.visits) - len(hand)
    yield f"  faults {faults}; by hand {attempts} attempts, {missing} visits without a place"
    for rule, goal in zip(GOALS, plan.goals, strict=True):
        desk = "no plan" if missing else str(rule.count(problem, hand))
        yield f"  {goal.name:<16} {goal.value:>3} (bound {goal.bound}), by hand {desk}"


def main() -> None:
    for squads in (3, 6):
        for line in report(squads):
            sys.stdout.write(f"{line}\n")


if __name__ == "__main__":
    main()
