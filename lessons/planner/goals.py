"""What makes one plan better than another, in order of importance.

A goal is a pair of small functions, one that says it to the model and one that counts it in a
finished plan; both are the same number for the best plan. To add one, write the pair and put
it in ``GOALS`` where it belongs. Smaller is better and no goal goes below its floor.
"""

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from lessons.planner.model import Literal, Model
from lessons.planner.plan import Placement
from lessons.planner.problem import Problem

Placements = Sequence[Placement]


@dataclass(frozen=True)
class GoalRule:
    """One goal as the model sees it and as a plan is counted, with the most it can be.

    ``most`` also bounds what the model may believe, so that goals can be weighed in order.
    """

    name: str
    model: Callable[[Model], Literal]
    count: Callable[[Problem, Placements], int]
    most: Callable[[Problem], int]
    applies: Callable[[Problem], bool] = lambda problem: True
    floor: Callable[[Problem], int] = lambda problem: 0


# Idle: slots in which a squad has nothing between its first and its last visit of a day


def _idle(model: Model) -> Literal:
    grid = model.problem.grid
    gaps = []
    for squad in model.squads:
        for day in range(grid.days):
            busy = [sum(model.squad_busy[squad.key, day, u]) for u in range(grid.slots_per_day)]
            begun = _running(model, busy)
            unfinished = _running(model, busy[::-1])[::-1]
            for here, before, after in zip(busy, begun, unfinished, strict=True):
                gap = model.cp.new_bool_var("")
                model.cp.add(gap >= before + after - here - 1)
                gaps.append(gap)
    return sum(gaps)


def _running(model: Model, busy: Sequence[Literal]) -> list[Literal]:
    """Literals that are true from the first busy slot on."""
    running = [model.cp.new_bool_var("") for _ in busy]
    for number, literal in enumerate(running):
        model.cp.add(literal >= busy[number])
        if number:
            model.cp.add_implication(running[number - 1], literal)
    return running


def _count_idle(problem: Problem, plan: Placements) -> int:
    slots = {visit.key: visit.slots for visit in problem.visits}
    days: dict[tuple[str, int], list[tuple[int, int]]] = defaultdict(list)
    for row in plan:
        days[row.squad, row.day].append((row.slot, row.slot + slots[row.visit]))
    return sum(
        max(end for _, end in spans) - min(start for start, _ in spans) - _slots(spans)
        for spans in days.values()
    )


def _slots(spans: Sequence[tuple[int, int]]) -> int:
    return sum(end - start for start, end in spans)


# Lead: visits with the lead instructor that squads are short of


def _lead(model: Model) -> Literal:
    missing = []
    for squad in model.squads:
        short = model.cp.new_int_var(0, model.problem.lead_visits, "")
        lead = str(model.problem.lead)
        with_lead = sum(model.with_instructor(squad.key, v.key, lead) for v in model.visits)
        model.cp.add(short >= model.problem.lead_visits - with_lead)
        missing.append(short)
    return sum(missing)


def _count_lead(problem: Problem, plan: Placements) -> int:
    with_lead = [row.squad for row in plan if problem.lead in row.instructors]
    return sum(max(0, problem.lead_visits - with_lead.count(s.key)) for s in problem.squads)


# Same instructor: squads whose exit is not taken by the instructor who took their intake


def _same_instructor(model: Model) -> Literal:
    assert model.problem.same_instructor
    return sum(_parted(model, squad.key, model.problem.same_instructor) for squad in model.squads)


def _parted(model: Model, squad: str, visits: tuple[str, str]) -> Literal:
    both = []
    for person in model.instructors:
        same = model.cp.new_bool_var("")
        for visit in visits:
            model.cp.add(same <= model.with_instructor(squad, visit, person.key))
        both.append(same)
    parted = model.cp.new_bool_var("")
    model.cp.add(parted + sum(both) >= 1)
    return parted


def _count_same_instructor(problem: Problem, plan: Placements) -> int:
    taught = {(row.squad, row.visit): {*row.instructors} for row in plan}
    first, last = problem.same_instructor or ("", "")
    return sum(taught[s.key, first].isdisjoint(taught[s.key, last]) for s in problem.squads)


# Fairness: slots between the most and the least loaded of the instructors who could teach


def _teaching(problem: Problem) -> list[str]:
    stations = {visit.station for visit in problem.visits}
    return [
        person.key
        for person in problem.instructors
        if person.available and person.skills & stations and person.max_load
    ]


def _fairness(model: Model) -> Literal:
    teaching = _teaching(model.problem)
    slots = model.problem.grid.slots
    most, least = model.cp.new_int_var(0, slots, ""), model.cp.new_int_var(0, slots, "")
    for key in teaching:
        load = sum(
            visit.slots * model.with_instructor(squad.key, visit.key, key)
            for squad in model.squads
            for visit in model.visits
        )
        model.cp.add(most >= load)
        model.cp.add(least <= load)
    return most - least


def _count_fairness(problem: Problem, plan: Placements) -> int:
    slots = {visit.key: visit.slots for visit in problem.visits}
    load = dict.fromkeys(_teaching(problem), 0)
    for row in plan:
        for key in row.instructors:
            load[key] += slots[row.visit]
    return max(load.values()) - min(load.values())


def _fairness_floor(problem: Problem) -> int:
    """One slot is left over unless the total divides evenly."""
    total = len(problem.squads) * sum(visit.slots for visit in problem.visits)
    return 1 if total % len(_teaching(problem)) else 0


GOALS: tuple[GoalRule, ...] = (
    GoalRule(
        "idle",
        _idle,
        _count_idle,
        most=lambda problem: len(problem.squads) * problem.grid.slots,
    ),
    GoalRule(
        "lead",
        _lead,
        _count_lead,
        most=lambda problem: len(problem.squads) * problem.lead_visits,
        applies=lambda problem: problem.lead is not None,
    ),
    GoalRule(
        "same_instructor",
        _same_instructor,
        _count_same_instructor,
        most=lambda problem: len(problem.squads),
        applies=lambda problem: problem.same_instructor is not None,
    ),
    GoalRule(
        "fairness",
        _fairness,
        _count_fairness,
        most=lambda problem: problem.grid.slots,
        applies=lambda problem: bool(_teaching(problem)),
        floor=_fairness_floor,
    ),
)
