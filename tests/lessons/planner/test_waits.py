"""Too little time once an earlier visit is over: counted, in exact words and numbers."""

from dataclasses import replace

import pytest

from lessons.planner.plan import NoPlan, Placement
from lessons.planner.problem import Bay, Instructor, Problem
from lessons.planner.reasons.needs import still_due
from lessons.planner.reasons.waits import too_late
from lessons.planner.solve import solve
from tests.lessons.planner.schools import every_slot, squad, tiny, visit

F = frozenset


def school(**changes: object) -> Problem:
    """Three squads, one bay for the intake and one for putting, two who teach both."""
    staff = tuple(
        Instructor(key, key.title(), F({"swing"}), every_slot(tiny().grid), 4, 4)
        for key in ("ada", "bob")
    )
    problem = tiny(
        squads=tuple(squad(letter) for letter in "ABC"),
        visits=(visit("intake", "cam"), visit("putting", "green", after=["intake"])),
        bays=(Bay("c1", "Studio", "range", F({"cam"})), Bay("g1", "Green", "range", F({"green"}))),
        instructors=staff,
    )
    return replace(problem, **changes)  # type: ignore[arg-type]


def told(problem: Problem) -> list[str]:
    return [conflict.words for conflict in too_late(problem, still_due(problem))]


def shut(problem: Problem, bay: str, *slots: int) -> Problem:
    closed = F((0, slot) for slot in slots)
    bays = tuple(replace(b, closed=closed) if b.key == bay else b for b in problem.bays)
    return replace(problem, bays=bays)


def test_bays_give_too_little_after_a_late_intake() -> None:
    assert told(shut(school(), "c1", 0)) == [
        "All squads together need 3 slots (3 h) for Putting, which waits for Intake. Intake can be"
        " over for 1 squad before day 1 slot 3 and for 2 squads before day 1 slot 4, and then"
        " Green can give 2 slots (2 h) on day 1."
    ]


def test_in_good_time_nothing_is_told() -> None:
    assert told(school()) == []


def test_people_give_too_little_after_a_late_intake() -> None:
    ada, bob = school().instructors
    early, late = F({(0, 0), (0, 1)}), F({(0, 2), (0, 3)})
    staff = (
        replace(ada, available=early),
        replace(bob, available=early),
        replace(bob, key="cat", name="Cat", available=late),
    )
    bays = (*school().bays, Bay("g2", "Lawn", "range", F({"green"})))
    problem = school(instructors=staff, bays=bays)
    assert told(problem) == []
    assert told(shut(problem, "c1", 0))[0].endswith(
        "and then Ada, Bob and Cat can give 2 slots (2 h) on day 1."
    )


def test_what_cannot_be_had_on_the_days_held_up_counts_as_well() -> None:
    """Putting has day 2 left, the course needs it too, and one instructor has four slots."""
    grid = replace(tiny().grid, days=2)
    ada = replace(school().instructors[0], available=every_slot(grid))
    visits = (*school().visits, visit("course", "green", days=[1]))
    problem = school(grid=grid, visits=visits, instructors=(ada,))
    assert told(shut(problem, "c1", 0, 1, 2))[0].startswith(
        "All squads together need 6 slots (6 h) for Putting, which waits for Intake, and for"
        " Course."
    )


def test_what_one_squad_cannot_have_by_itself_is_left_to_the_rules() -> None:
    assert told(shut(school(), "c1", 0, 1, 2)) == []


def test_what_is_over_is_not_asked_for_again() -> None:
    past = tuple(Placement(key, "intake", 0, 0, "c1", ("ada",)) for key in "ABC")
    bays = (replace(school().bays[0], squads=3), school().bays[1])
    assert told(school(past=past, bays=bays)) == []


def test_the_refusal_is_one_reason_and_minimal() -> None:
    with pytest.raises(NoPlan) as caught:
        solve(shut(school(), "c1", 0), seconds=60)
    assert [conflict.rule for conflict in caught.value.conflicts] == ["too late"]
    assert caught.value.conflicts[0].keys == ("intake", "g1")
    assert caught.value.minimal
    assert caught.value.ways_out[0].words == "Open Studio on day 1 slot 1, 1 slot (1 h)."
