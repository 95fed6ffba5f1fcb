"""What makes one plan better than another, in order of importance.

A goal is a pair of small functions, one that says it to the model and one that counts it in a
finished plan; both are the same number for the best plan. To add one, write the pair and put
it in ``GOALS`` where it belongs. Smaller is better and no goal goes below its floor.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lessons.planner import fairness, walking
from lessons.planner.plan import Placement
from lessons.planner.problem import Problem

if TYPE_CHECKING:  # the model brings the solver, which counting a plan does without
    from lessons.planner.model import Literal, Model

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


# Moved: golfers whose squad has a published session at another time or in another bay


def _kept_rows(problem: Problem) -> dict[str, list[Placement]]:
    """What was published for each squad that is still there."""
    rows: dict[str, list[Placement]] = {squad.key: [] for squad in problem.squads}
    for row in sorted(set(problem.published)):
        if row.squad in rows:
            rows[row.squad].append(row)
    return rows


def _moved(model: Model) -> Literal:
    published = _kept_rows(model.problem)
    total = 0
    for squad in model.squads:
        moved = model.cp.new_bool_var("")
        for row in published[squad.key]:
            stays = model.chosen(row)
            model.cp.add(moved >= 1) if stays is None else model.cp.add(moved + stays >= 1)
        total += squad.size * moved
    return total


def _where(row: Placement) -> tuple[str, str, int, int, str]:
    return row.squad, row.visit, row.day, row.slot, row.bay


def _count_moved(problem: Problem, plan: Placements) -> int:
    there = {_where(row) for row in plan}
    published = _kept_rows(problem)
    return sum(
        squad.size
        for squad in problem.squads
        if any(_where(row) not in there for row in published[squad.key])
    )


# Changed: published sessions that are moved or have other instructors


def _changed(model: Model) -> Literal:
    rows = [row for rows in _kept_rows(model.problem).values() for row in rows]
    changed = []
    for row in rows:
        stays, others, wanted = model.chosen(row), *model.chosen_staff(row)
        if stays is None or len(wanted) < len({*row.instructors}):
            changed.append(1)
            continue
        kept = model.cp.new_bool_var("")
        for literal in (stays, *wanted):
            model.cp.add(kept <= literal)
        for literal in others:
            model.cp.add(kept + literal <= 1)
        changed.append(1 - kept)
    return sum(changed)


def _count_changed(problem: Problem, plan: Placements) -> int:
    there = {(_where(row), frozenset(row.instructors)) for row in plan}
    rows = [row for rows in _kept_rows(problem).values() for row in rows]
    return sum((_where(row), frozenset(row.instructors)) not in there for row in rows)


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
    taught: dict[tuple[str, str], set[str]] = defaultdict(set)
    for row in plan:
        taught[row.squad, row.visit] |= {*row.instructors}
    first, last = problem.same_instructor or ("", "")
    return sum(taught[s.key, first].isdisjoint(taught[s.key, last]) for s in problem.squads)


# Preference: sessions that begin when it is not preferred


def _preference(model: Model) -> Literal:
    return sum(
        start
        for squad in model.squads
        for visit in model.visits
        for (_, slot), start in model.starts[squad.key, visit.key].items()
        if visit.preferred is not None and slot not in visit.preferred
    )


def _count_preference(problem: Problem, plan: Placements) -> int:
    preferred = {visit.key: visit.preferred for visit in problem.visits}
    slots = [(row.slot, preferred[row.visit]) for row in plan]
    return sum(best is not None and slot not in best for slot, best in slots)


def _sessions(problem: Problem) -> int:
    return len(problem.squads) * sum(visit.times for visit in problem.visits) + len(problem.past)


def _published(problem: Problem) -> bool:
    return bool(problem.published)


GOALS: tuple[GoalRule, ...] = (
    GoalRule(
        "moved",
        _moved,
        _count_moved,
        most=lambda problem: sum(squad.size for squad in problem.squads),
        applies=_published,
    ),
    GoalRule(
        "changed",
        _changed,
        _count_changed,
        most=lambda problem: len(problem.published),
        applies=_published,
    ),
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
        fairness.term,
        fairness.count,
        most=fairness.most,
        applies=lambda problem: bool(fairness.teaching(problem)),
        floor=fairness.floor,
    ),
    GoalRule(
        "preference",
        _preference,
        _count_preference,
        most=_sessions,
        applies=lambda problem: any(visit.preferred is not None for visit in problem.visits),
    ),
    GoalRule(
        "walking",
        walking.term,
        walking.count,
        most=walking.most,
        applies=lambda problem: problem.base is not None,
    ),
)
