"""Reasons that are counted rather than searched for, word by word."""

from dataclasses import replace

import pytest

from lessons.planner.plan import NoPlan
from lessons.planner.problem import Bay, Problem
from lessons.planner.solve import solve
from tests.lessons.planner.schools import every_slot, squad, tiny, visit

F = frozenset


def told(problem: Problem) -> list[str]:
    with pytest.raises(NoPlan) as caught:
        solve(problem, seconds=60)
    assert not caught.value.together
    return [conflict.words for conflict in caught.value.conflicts]


def test_a_visit_longer_than_half_a_day() -> None:
    assert told(tiny(visits=(visit("course", slots=3),))) == [
        "Course takes 3 slots (3 h), and the longest stretch without lunch is 2 slots (2 h)."
    ]


def test_no_bay_with_the_features() -> None:
    assert told(tiny(visits=(visit("intake", "face-on", "roof"), visit("p", "sand")))) == [
        "Intake needs face-on and roof: no bay has all of it.",
        "P needs sand: no bay has all of it.",
    ]


def test_no_bay_at_all() -> None:
    assert told(tiny(bays=())) == ["Putting needs a bay, and there is none."]


def test_no_left_handed_bay_with_the_features() -> None:
    bays = (
        Bay("b1", "Bay 1", "range", F({"cam"})),
        Bay("b2", "Bay 2", "range", F({"left-handed"})),
    )
    problem = tiny(
        squads=(squad("A", left_handed=True), squad("B")),
        visits=(visit("intake", "cam", handed=True),),
        bays=bays,
        walk_min={},
    )
    assert told(problem) == ["1 squad needs a left-handed bay for Intake (Squad A): no bay suits."]


def test_nobody_qualified() -> None:
    assert told(tiny(visits=(visit("talk", station="talk"), visit("p", station="talk")))) == [
        "No instructor is qualified for Talk and P."
    ]


def test_more_visits_than_a_squad_has_slots() -> None:
    five = tuple(visit(letter) for letter in "abcde")
    assert told(tiny(visits=five)) == [
        "A squad's visits on day 1 (A, B, C, D and E) take 5 slots (5 h), and there are"
        " 4 slots (4 h)."
    ]


def test_more_visits_than_the_days_allowed_have_slots() -> None:
    grid = replace(tiny().grid, days=2)
    ada = replace(tiny().instructors[0], available=every_slot(grid))
    first = tuple(visit(letter, days=[0]) for letter in "abcde")
    assert told(tiny(grid=grid, instructors=(ada,), visits=first)) == [
        "A squad's visits on day 1 (A, B, C, D and E) take 5 slots (5 h), and there are"
        " 4 slots (4 h)."
    ]


def test_too_few_open_bays() -> None:
    bay = replace(tiny().bays[0], closed=F({(0, 0), (0, 3)}))
    staff = (tiny().instructors[0], replace(tiny().instructors[0], key="i2", name="Bob"))
    squads = tuple(squad(letter) for letter in "ABC")
    assert told(tiny(squads=squads, bays=(bay,), instructors=staff)) == [
        "All squads together need 3 slots (3 h) for Putting on day 1, and Bay 1 can give"
        " 2 slots (2 h)."
    ]


def test_one_squad_and_a_bay_that_is_closed_all_day() -> None:
    bays = (replace(tiny().bays[0], closed=every_slot(tiny().grid)),)
    [words] = told(tiny(bays=bays))
    assert "needs 1 slot" in words
    assert words.endswith("Bay 1 can give none.")


def test_too_few_instructor_hours_once_breaks_are_taken() -> None:
    ada = replace(tiny().instructors[0], max_run=1)
    bays = (tiny().bays[0], replace(tiny().bays[0], key="b2"))
    squads = tuple(squad(letter) for letter in "ABC")
    assert told(tiny(squads=squads, bays=bays, instructors=(ada,))) == [
        "All squads together need 3 slots (3 h) for Putting on day 1, and Ada can give"
        " 2 slots (2 h)."
    ]
