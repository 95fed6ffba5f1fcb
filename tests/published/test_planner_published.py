"""The planner against published optima of rotations.

A rotation in which every squad visits every station once, in any order and for equal times, is
an open shop: a squad is in one place at a time and a station serves one squad at a time. No
schedule is shorter than the busiest squad or station, here max(n, m) visits: the lower bound of
T. Gonzalez and S. Sahni, "Open shop scheduling to minimize finish time", Journal of the ACM 23
(1976) 665–679. With equal times a cyclic Latin square reaches it: in slot t squad i is at
station (i + t) mod max(n, m), or rests when there is no such station.
"""

import pytest
from ortools.sat.python import cp_model

from lessons.planner.model import Model
from lessons.planner.plan import NoPlan
from lessons.planner.problem import Bay, Grid, Instructor, Problem, Squad, Visit
from lessons.planner.solve import solve
from tests.lessons.planner.independent_checker import Checker

SIZES = [(n, m) for n in range(1, 7) for m in range(1, 7)]


def rotation(squads: int, stations: int, slots: int) -> Problem:
    """Each station has one bay and one instructor of its own; there is no lunch."""
    grid = Grid(days=1, slots_per_day=slots, lunch_after=slots, slot_min=30)
    every = frozenset((0, slot) for slot in range(slots))
    keys = [f"station {n}" for n in range(stations)]
    return Problem(
        grid=grid,
        squads=tuple(Squad(f"squad {n}", f"Squad {n}", 4, False) for n in range(squads)),
        visits=tuple(Visit(k, k, k, 1, frozenset({k})) for k in keys),
        bays=tuple(Bay(f"bay of {k}", k, "range", frozenset({k})) for k in keys),
        instructors=tuple(
            Instructor(f"instructor of {k}", k, frozenset({k}), every, slots, slots) for k in keys
        ),
        walk_min={},
        changeover_min=0,
    )


def shortest(squads: int, stations: int) -> int:
    """Lengthen the day until there is a plan, and check that plan."""
    slots = 1
    while True:
        problem = rotation(squads, stations, slots)
        try:
            plan = solve(problem, seconds=20)
        except NoPlan:
            slots += 1
        else:
            assert Checker(problem, plan).check() == []
            return slots


@pytest.mark.parametrize(("squads", "stations"), SIZES)
def test_shortest_rotation_is_the_longer_side(squads: int, stations: int) -> None:
    assert shortest(squads, stations) == max(squads, stations)


@pytest.mark.parametrize(("squads", "stations"), [(3, 2), (2, 3), (4, 4), (5, 4)])
def test_the_search_alone_proves_one_slot_less_too_short(squads: int, stations: int) -> None:
    """Without the plain counts that usually answer first."""
    model = Model(rotation(squads, stations, max(squads, stations) - 1))
    assert cp_model.CpSolver().solve(model.cp) == cp_model.INFEASIBLE
