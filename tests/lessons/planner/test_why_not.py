"""One small school for each kind of rule that can clash, with what the front desk reads."""

from dataclasses import replace
from typing import Any

import pytest

from lessons.planner.plan import NoPlan
from lessons.planner.problem import Bay, Grid, Instructor, Problem
from lessons.planner.reasons.why_not import explain
from lessons.planner.solve import solve
from tests.lessons.planner.schools import every_slot, squad, tiny, visit, week

F = frozenset


def told(problem: Problem) -> list[str]:
    """The words of a clash, proven to be minimal."""
    with pytest.raises(NoPlan) as caught:
        solve(problem, seconds=60)
    assert caught.value.together
    assert caught.value.minimal
    return sorted(conflict.words for conflict in caught.value.conflicts)


def person(key: str, *stations: str, free: set[int] | None = None, **limits: int) -> Instructor:
    slots = every_slot(tiny().grid)
    available = slots if free is None else F((0, slot) for slot in free)
    held = {"max_load": 4, "max_run": 4} | limits
    return Instructor(key, key.title(), F(stations or {"swing"}), available, **held)


def test_lunch_and_order() -> None:
    chain = (
        visit("warm-up"),
        visit("course", slots=2, after=["warm-up"]),
        visit("talk", after=["course"]),
    )
    assert told(tiny(visits=chain)) == [
        "Course must be finished before Talk starts.",
        "No visit runs over lunch: there are 2 slots before it and 2 after.",
        "Squad A must have Talk, 1 slot (1 h).",
        "Warm-Up must be finished before Course starts.",
    ]


def test_days_and_order() -> None:
    grid = replace(tiny().grid, days=2)
    ada = replace(tiny().instructors[0], available=every_slot(grid))
    visits = (visit("intake", days=[1]), visit("putting", days=[0], after=["intake"]))
    assert told(tiny(grid=grid, instructors=(ada,), visits=visits)) == [
        "Intake is allowed on day 2 only.",
        "Intake must be finished before Putting starts.",
        "Putting is allowed on day 1 only.",
        "Squad A must have Putting, 1 slot (1 h).",
    ]


def test_walk_and_features() -> None:
    far = tiny(
        grid=Grid(days=1, slots_per_day=2, lunch_after=0, slot_min=30),
        visits=(visit("putting", "green"), visit("bunker", "sand")),
        bays=(Bay("b1", "Green 1", "house", F({"green"})), Bay("b2", "Pit", "dunes", F({"sand"}))),
        instructors=(replace(person("ada", free={0, 1}), max_load=2),),
        walk_min={("house", "dunes"): 12},
    )
    assert told(far) == [
        "Bunker needs sand: Pit only.",
        "Putting needs green: Green 1 only.",
        "Squad A must have Bunker, 1 slot (30 min).",
        "Squad A must have Putting, 1 slot (30 min).",
        "The walk between dunes and house takes 12 min, and only 5 min are allowed between"
        " adjacent slots.",
    ]


def test_closed_bays_and_hours() -> None:
    bay = replace(tiny().bays[0], closed=F({(0, 0), (0, 1)}))
    assert told(tiny(bays=(bay,), instructors=(person("ada", free={0, 1}),))) == [
        "Ada is free on day 1 slots 1–2 only.",
        "Bay 1 is closed or taken on day 1 slots 1–2.",
        "Squad A must have Putting, 1 slot (1 h).",
    ]


def test_slots_are_named_by_the_clock_where_their_times_are_known() -> None:
    times = (("9:00", "10:00"), ("10:00", "11:00"), ("12:00", "13:00"), ("13:00", "14:00"))
    bay = replace(tiny().bays[0], closed=F({(0, 0), (0, 1), (0, 3)}))
    grid = replace(tiny().grid, slot_times=times)
    assert told(tiny(grid=grid, bays=(bay,), instructors=(person("ada", free={0, 1}),))) == [
        "Ada is free on day 1 from 9:00 to 11:00 only.",
        "Bay 1 is closed or taken on day 1 from 9:00 to 11:00, 13:00 to 14:00.",
        "Squad A must have Putting, 1 slot (1 h).",
    ]


def test_qualification_and_hours() -> None:
    visits = (visit("intake", station="capture"), visit("putting", after=["intake"]))
    staff = (person("ada", "capture", free={2}), person("bob", "swing", free={0, 1}))
    assert told(tiny(visits=visits, instructors=staff)) == [
        "Ada is free on day 1 slot 3 only.",
        "Bob is free on day 1 slots 1–2 only.",
        "Intake must be finished before Putting starts.",
        "Only Ada is qualified for Intake.",
        "Squad A must have Putting, 1 slot (1 h).",
    ]


def test_load() -> None:
    staff = (person("ada", max_load=1), person("bob", max_load=1))
    assert told(tiny(visits=(visit("course", slots=2),), instructors=staff)) == [
        "Ada teaches at most 1 slot (1 h) a day.",
        "Bob teaches at most 1 slot (1 h) a day.",
        "Squad A must have Course, 2 slots (2 h).",
    ]


def test_run_without_a_break() -> None:
    course = (visit("course", slots=2),)
    assert told(tiny(visits=course, instructors=(person("ada", max_run=1),))) == [
        "Ada teaches at most 1 slot (1 h) without a break.",
        "No visit runs over lunch: there are 2 slots before it and 2 after.",
        "Squad A must have Course, 2 slots (2 h).",
    ]


def test_left_handed_squads() -> None:
    left = Bay("b2", "Bay 2", "range", F({"left-handed"}), F({(0, 1), (0, 2)}))
    problem = tiny(
        squads=(squad("A", left_handed=True), squad("B", left_handed=True)),
        bays=(*tiny().bays, left),
        visits=(visit("driver", handed=True),),
        instructors=(person("ada", free={0}), person("bob", free={1})),
    )
    assert told(problem) == [
        "2 squads need a left-handed bay for Driver (Squad A and Squad B): Bay 2 only; open on"
        " day 1: 1 before lunch, 1 after.",
        "Ada is free on day 1 slot 1 only.",
        "Bay 2 is closed or taken on day 1 slots 2–3.",
        "Bob is free on day 1 slot 2 only.",
        "Each of the 2 squads must have Driver, 1 slot (1 h).",
    ]


def test_a_large_school_is_told_apart_from_what_does_not_matter() -> None:
    """Exit has to follow the course, and the only time for the course is the last one."""
    school = week(3)
    visits = tuple(
        replace(v, after={**v.after, "course": 1}) if v.key == "exit" else v for v in school.visits
    )
    shut = F((2, slot) for slot in range(4))
    bays = tuple(
        replace(b, closed=shut if "tee" in b.features else F((2, 7) for _ in range(1)))
        for b in school.bays
    )
    problem = replace(school, squads=school.squads[:2], visits=visits, bays=bays)
    conflicts, minimal = explain(problem, seconds=60)
    assert minimal
    kinds = {conflict.rule for conflict in conflicts}
    assert {"order", "days", "closed", "visit"} <= kinds
    assert "load" not in kinds


@pytest.mark.parametrize("ended", [{"seconds": 0}, {"seconds": 60, "stopped": lambda: True}])
def test_out_of_time_the_set_is_not_called_minimal(ended: dict[str, Any]) -> None:
    problem = tiny(visits=(visit("course", slots=2),), instructors=(person("ada", max_run=1),))
    conflicts, minimal = explain(problem, **ended)
    assert conflicts
    assert not minimal
