"""Shorter walks from a plan at hand: still a plan, the goals before kept, down to the bound."""

from dataclasses import replace

import pytest
from ortools.sat.python import cp_model

from lessons.planner import walking
from lessons.planner.goals import GOALS
from lessons.planner.model import Model
from lessons.planner.plan import Placement
from lessons.planner.problem import Bay, Problem
from lessons.planner.solve import Search
from lessons.planner.walks.bounds import Walks
from lessons.planner.walks.improve import Placements, improve
from tests.lessons.planner.schools import F, tiny, visit, week


def planned(problem: Problem) -> tuple[Placements, dict[str, int]]:
    """Any plan, and what its goals before walking are worth."""
    search = Search(problem, 60, 1, 2, None)
    assert search.first_plan()
    return search.placements, counted(problem, search.placements)


def counted(problem: Problem, plan: Placements) -> dict[str, int]:
    rules = [rule for rule in GOALS if rule.name != "walking" and rule.applies(problem)]
    return {rule.name: rule.count(problem, plan) for rule in rules}


def holds(problem: Problem, plan: Placements) -> bool:
    """Whether the rules leave room for every session as it is."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(Model(replace(problem, pinned=plan)).cp)
    return bool(status == cp_model.OPTIMAL)


@pytest.fixture(scope="module")
def school() -> Problem:
    return replace(week(2), base="house")


@pytest.fixture(scope="module")
def first(school: Problem) -> tuple[Placements, dict[str, int]]:
    return planned(school)


def test_timetables_of_the_bound_make_a_shorter_plan(
    school: Problem, first: tuple[Placements, dict[str, int]]
) -> None:
    plan, kept = first
    walks = Walks(school, kept, seed=1)
    told: list[int] = []

    def tell(better: Placements) -> bool:
        told.append(walking.count(school, better))
        return True

    better = improve(school, plan, kept=kept, seconds=60, on_progress=tell, walks=walks)
    assert holds(school, better)
    assert all(value <= kept[name] for name, value in counted(school, better).items())
    assert told == sorted(set(told), reverse=True)
    assert walks.bound <= walking.count(school, better) == told[-1] < walking.count(school, plan)


def test_the_first_better_plan_is_taken_when_it_is_enough(
    school: Problem, first: tuple[Placements, dict[str, int]]
) -> None:
    plan, kept = first
    told: list[Placements] = []

    def enough(found: Placements) -> bool:
        told.append(found)
        return False

    assert improve(school, plan, kept=kept, seconds=60, on_progress=enough) == told[0]
    assert len(told) == 1


def test_nothing_is_done_once_it_is_stopped(
    school: Problem, first: tuple[Placements, dict[str, int]]
) -> None:
    plan, kept = first
    assert improve(school, plan, kept=kept, seconds=60, stopped=lambda: True) == plan


def test_a_published_plan_is_shortened_part_by_part() -> None:
    bays = (Bay("b1", "Bay 1", "hut", F({"home"})), Bay("b2", "Bay 2", "field", F({"far"})))
    visits = (visit("one", "far"), visit("talk", "home"), visit("two", "far"))
    school = tiny(visits=visits, bays=bays, walk_min={("hut", "field"): 5}, base="hut")
    published = tuple(
        Placement("A", key, 0, slot, bay, ("i1",))
        for key, slot, bay in (("one", 0, "b2"), ("talk", 1, "b1"), ("two", 2, "b2"))
    )
    again = replace(school, published=published)
    moved = improve(again, published, kept={"moved": 4, "idle": 0}, seconds=60)
    assert (walking.count(again, published), walking.count(again, moved)) == (20, 10)
    assert holds(school, moved)
    assert improve(again, published, kept={"moved": 0}, seconds=60) == published


def test_one_squad_with_one_visit_is_left_as_it_is() -> None:
    problem = tiny(base="range")
    plan, kept = planned(problem)
    assert improve(problem, plan, kept=kept, seconds=60) == plan
