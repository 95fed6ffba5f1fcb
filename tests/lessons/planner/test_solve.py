"""What a caller may rely on: progress, time limits, repeatability, the order of the goals."""

from dataclasses import replace

import pytest

from lessons.planner import PLANNER_VERSION
from lessons.planner.plan import OutOfTime, Progress
from lessons.planner.problem import Bay, ProblemError
from lessons.planner.solve import Search, solve
from tests.lessons.planner.independent_checker import Checker
from tests.lessons.planner.schools import squad, tiny, visit, week


def test_a_week_for_three_squads_is_planned_and_every_goal_proven() -> None:
    problem = week(3)
    plan = solve(problem, seconds=60)
    assert Checker(problem, plan).check() == []
    assert {goal.name: goal.value for goal in plan.goals} == Checker(problem, plan).goals()
    assert plan.status == "optimal"
    assert plan.planner_version == PLANNER_VERSION


def test_goals_taken_one_by_one_reach_what_they_reach_together(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = week(2)
    together = solve(problem, seconds=60)
    monkeypatch.setattr(Search, "_together", lambda self, terms, bounds: bounds)
    one_by_one = solve(problem, seconds=60)
    assert one_by_one.goals == together.goals
    assert Checker(problem, one_by_one).check() == []


def test_one_worker_and_the_same_seed_give_the_same_plan() -> None:
    """Unless the clock cuts it off, as it does a search for shorter walks."""
    school = replace(week(2), base=None)
    plans = [solve(school, seconds=60, seed=7, workers=1) for _ in range(2)]
    assert plans[0].placements == plans[1].placements
    assert plans[0].seed == 7


def test_progress_is_told_for_each_better_plan() -> None:
    told: list[Progress] = []

    def tell(progress: Progress) -> bool:
        told.append(progress)
        return True

    plan = solve(week(2), seconds=60, on_progress=tell)
    assert told[0].step == "first plan"
    assert [p.seconds for p in told] == sorted(p.seconds for p in told)
    assert told[-1].values == {goal.name: goal.value for goal in plan.goals}
    assert all(goal.bound >= told[-1].bounds[goal.name] for goal in plan.goals)


def test_a_search_that_is_ended_gives_the_plan_it_has() -> None:
    problem = week(6)
    plan = solve(problem, seconds=60, on_progress=lambda progress: not progress.values)
    assert plan.seconds < 60
    assert Checker(problem, plan).check() == []


def test_a_search_that_is_ended_bounds_nothing_more(monkeypatch: pytest.MonkeyPatch) -> None:
    begun: list[object] = []
    monkeypatch.setattr(Search, "_stage", lambda *stage: begun.append(stage))
    monkeypatch.setattr(Search, "_shorten", lambda *walking: begun.append(walking))
    solve(replace(week(2), base="house"), seconds=60, on_progress=lambda told: not told.values)
    assert begun == []


def test_raising_from_progress_ends_the_search() -> None:
    def stop(_: Progress) -> bool:
        raise InterruptedError

    with pytest.raises(InterruptedError):
        solve(week(3), seconds=60, on_progress=stop)


def test_no_time_gives_no_plan_and_no_verdict() -> None:
    with pytest.raises(OutOfTime, match="No plan was found in 0 s"):
        solve(week(6), seconds=0)


def test_a_goal_that_is_not_proven_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if the time ended with the first plan."""
    monkeypatch.setattr(Search, "left", lambda self: 0.0 if self.placements else 60.0)
    plan = solve(week(3), seconds=60)
    assert plan.status == "feasible"
    assert [goal.bound for goal in plan.goals] == [0, 0, 0, 0]
    assert not any(goal.proven for goal in plan.goals if goal.value)


def test_an_earlier_goal_is_not_paid_for_a_later_one() -> None:
    """Fair shares would part intake and exit; the same instructor comes first."""
    ada = replace(tiny().instructors[0], key="ada")
    problem = tiny(
        visits=(visit("intake"), visit("exit", after=["intake"])),
        instructors=(ada, replace(ada, key="bob")),
        same_instructor=("intake", "exit"),
    )
    plan = solve(problem, seconds=60)
    assert {goal.name: (goal.value, goal.bound) for goal in plan.goals} == {
        "idle": (0, 0),
        "same_instructor": (0, 0),
        "fairness": (2, 2),
    }


def test_an_instructor_who_cannot_teach_does_not_make_the_plan_unfair() -> None:
    ada = tiny().instructors[0]
    ill = replace(ada, key="i2", available=frozenset())
    plan = solve(tiny(instructors=(ada, ill)), seconds=60)
    assert plan.goals[-1].value == 0


def test_bays_of_one_kind_are_dealt_out_without_a_clash() -> None:
    bays = tuple(Bay(f"b{n}", f"Bay {n}", "range", frozenset()) for n in range(3))
    staff = tuple(replace(tiny().instructors[0], key=f"i{n}") for n in range(3))
    problem = tiny(
        squads=tuple(squad(letter) for letter in "ABC"),
        visits=(visit("p", slots=2), visit("q")),
        bays=bays,
        instructors=staff,
    )
    plan = solve(problem, seconds=60)
    assert Checker(problem, plan).check() == []


@pytest.mark.parametrize("missing", ["squads", "visits"])
def test_nothing_asked_is_an_empty_plan(missing: str) -> None:
    assert solve(tiny(**{missing: ()}), seconds=60).placements == ()


def test_a_faulty_problem_is_refused() -> None:
    with pytest.raises(ProblemError):
        solve(tiny(lead="nobody"), seconds=60)
