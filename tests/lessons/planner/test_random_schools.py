"""What must hold for any school: checked by going through the plan and by trying everything."""

from dataclasses import replace
from random import Random
from typing import TypeVar

from hypothesis import given, settings
from hypothesis import strategies as st

from lessons.planner.plan import NoPlan, Placement, Plan
from lessons.planner.problem import Problem
from lessons.planner.reasons.why_not import explain
from lessons.planner.solve import solve
from tests.lessons.planner.independent_checker import Checker
from tests.lessons.planner.oracle import beaten, everything, holding_only, possible
from tests.lessons.planner.strategies import problems

Row = TypeVar("Row")
many = settings(max_examples=50)
few = settings(max_examples=25)


def answer(problem: Problem) -> Plan | NoPlan:
    try:
        return solve(problem, seconds=60)
    except NoPlan as none:
        return none


@many
@given(problems())
def test_there_is_a_plan_that_passes_the_checker_or_none_can_be_found(problem: Problem) -> None:
    found = answer(problem)
    if isinstance(found, NoPlan):
        assert found.conflicts
        assert not possible(everything(problem))
    else:
        assert Checker(problem, found).check() == []


@few
@given(problems(sessions=9))
def test_a_larger_plan_passes_the_checker_too(problem: Problem) -> None:
    found = answer(problem)
    if isinstance(found, NoPlan):
        assert found.conflicts
    else:
        assert Checker(problem, found).check() == []


@many
@given(problems())
def test_clashing_rules_clash_and_each_is_needed_when_the_set_says_so(problem: Problem) -> None:
    if isinstance(answer(problem), NoPlan):
        conflicts, minimal = explain(problem, seconds=60)
        assert minimal
        assert not possible(holding_only(problem, conflicts))
        for one in conflicts:
            rest = [conflict for conflict in conflicts if conflict is not one]
            assert possible(holding_only(problem, rest)), one.words


@few
@given(problems(sessions=3))
def test_the_goals_are_the_best_of_all_plans_taken_in_order(problem: Problem) -> None:
    found = answer(problem)
    if isinstance(found, Plan):
        counted = {goal.name: goal.value for goal in found.goals}
        assert found.status == "optimal"
        assert counted == Checker(problem, found).goals()
        assert beaten(problem, [*counted.values()]) == ""


@few
@given(problems(), st.randoms(use_true_random=False))
def test_other_names_in_another_order_change_nothing(problem: Problem, random: Random) -> None:
    one, other = answer(problem), answer(renamed(problem, random))
    assert type(one) is type(other)
    if isinstance(one, Plan) and isinstance(other, Plan):
        assert one.goals == other.goals


def renamed(problem: Problem, random: Random) -> Problem:
    """Every row under another key, in another order."""
    names: dict[str, str] = {}

    def key(old: str) -> str:
        return names.setdefault(old, f"{random.randrange(1000)}-{len(names)}")

    def shuffled(rows: list[Row]) -> tuple[Row, ...]:
        return tuple(random.sample(rows, len(rows)))

    def session(row: Placement) -> Placement:
        instructors = tuple(map(key, row.instructors))
        return replace(
            row,
            squad=key(row.squad),
            visit=key(row.visit),
            bay=key(row.bay),
            instructors=instructors,
        )

    visits = [
        replace(
            v,
            key=key(v.key),
            station=key(v.station),
            after={key(before): count for before, count in v.after.items()},
        )
        for v in problem.visits
    ]
    staff = [
        replace(i, key=key(i.key), skills=frozenset(map(key, i.skills)))
        for i in problem.instructors
    ]
    same = problem.same_instructor
    return replace(
        problem,
        squads=shuffled([replace(s, key=key(s.key)) for s in problem.squads]),
        visits=shuffled(visits),
        bays=shuffled([replace(b, key=key(b.key), place=key(b.place)) for b in problem.bays]),
        instructors=shuffled(staff),
        walk_min={(key(a), key(b)): m for (a, b), m in problem.walk_min.items()},
        lead=problem.lead and key(problem.lead),
        same_instructor=same and (key(same[0]), key(same[1])),
        base=problem.base and key(problem.base),
        same_day=tuple((key(a), key(b)) for a, b in problem.same_day),
        other_day=tuple((key(b), key(a)) for a, b in problem.other_day),
        past=shuffled([session(row) for row in problem.past]),
        pinned=shuffled([session(row) for row in problem.pinned]),
        published=shuffled([session(row) for row in problem.published]),
    )
