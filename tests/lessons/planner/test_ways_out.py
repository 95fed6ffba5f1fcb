"""Ways out of a school that cannot be planned: the smallest is told, and each works."""

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings

from lessons.planner.plan import Conflict, NoPlan, Placement, Plan, WayOut
from lessons.planner.problem import Bay, Instructor, Problem
from lessons.planner.reasons.plain_reasons import plain_reasons
from lessons.planner.reasons.ways_out import shown_ways, ways_out
from lessons.planner.reasons.why_not import explain
from lessons.planner.solve import solve
from tests.lessons.planner.independent_checker import Checker
from tests.lessons.planner.schools import every_slot, squad, tiny, visit
from tests.lessons.planner.strategies import problems

F = frozenset


def clash(problem: Problem) -> list[Conflict]:
    return plain_reasons(problem) or explain(problem, seconds=60)[0]


def told(problem: Problem) -> list[str]:
    return [way.words for way in ways_out(problem, clash(problem), seconds=60)]


def ada(**changes: object) -> Instructor:
    return replace(tiny().instructors[0], **changes)  # type: ignore[arg-type]


def test_the_fewest_slots_of_an_instructor_are_asked_for() -> None:
    problem = tiny(visits=(visit("course", slots=2),), instructors=(ada(available=F({(0, 0)})),))
    assert told(problem)[0] == "Have Ada for 1 slot (1 h) more, on day 1 slot 2."


def test_a_load_is_raised_by_as_much_as_it_takes() -> None:
    squads = tuple(squad(letter) for letter in "ABC")
    problem = tiny(squads=squads, instructors=(ada(max_load=1),))
    assert "Let Ada teach 2 slots (2 h) more a day." in told(problem)
    assert "Let Ada teach 1 slot (1 h) more a day." not in told(problem)


def test_a_closed_bay_is_opened_for_half_a_day_or_another_is_found() -> None:
    bay = replace(tiny().bays[0], closed=every_slot(tiny().grid))
    words = told(tiny(bays=(bay,)))
    assert words[0] == "Open Bay 1 on day 1 slots 1–2, 2 slots (2 h)."
    assert "Find one more bay like Bay 1." not in words


def test_a_bay_is_fitted_out_for_left_handers() -> None:
    left = tiny(squads=(squad("A", left_handed=True),), visits=(visit("driver", handed=True),))
    assert told(left) == ["Fit out Bay 1 for left-handers."]


def test_a_bay_is_covered_in_the_rain() -> None:
    assert told(tiny(rain=every_slot(tiny().grid)))[0] == "Cover Bay 1."


def test_a_pin_is_lifted_first() -> None:
    pin = Placement("A", "putting", 0, 0, "b1", ("i1",))
    problem = tiny(pinned=(pin,), instructors=(ada(available=F({(0, 2)})),))
    assert told(problem)[0] == "Lift the pin from Squad A's Putting on day 1 slot 1."


def test_an_order_a_day_or_a_squad_gives_way() -> None:
    grid = replace(tiny().grid, days=2)
    visits = (visit("intake", days=[1]), visit("putting", days=[0], after=["intake"]))
    problem = tiny(grid=grid, instructors=(ada(available=every_slot(grid)),), visits=visits)
    assert told(problem) == [
        "Allow Intake on day 1 as well.",
        "Allow Putting on day 2 as well.",
        "Let Putting start before Intake is finished.",
        "Leave Putting out for Squad A.",
    ]


def test_what_a_squad_has_had_is_not_left_out_for_it() -> None:
    """The other squad has no time left for both, nor a bay for either."""
    grid = replace(tiny().grid, slots_per_day=3, lunch_after=0)
    visits, past = (
        (visit("long", slots=2), visit("short")),
        Placement("A", "long", 0, 0, "b1", ("i1",)),
    )
    squads = (squad("A"), squad("B"))
    problem = tiny(grid=grid, visits=visits, squads=squads, past=(past,))
    assert told(problem) == ["Leave Long and Short out for every squad still to have it."]
    [shown] = shown_ways(problem, clash(problem), seconds=60)
    assert sorted(rule.keys for rule in shown.ease.without) == [
        ("long", "B"),
        ("short", "A"),
        ("short", "B"),
    ]


def test_two_reasons_that_stand_alone_are_met_together() -> None:
    visits = (visit("a", "roof"), visit("b", station="talk"))
    words = told(tiny(visits=visits, bays=(Bay("b1", "Bay 1", "range", F()),)))
    assert any("Fit out Bay 1 with roof." in w and "Have Ada qualified for B." in w for w in words)


def test_three_reasons_that_stand_alone_are_met_together() -> None:
    visits = (visit("a", "roof"), visit("b", station="talk"), visit("c", station="gym"))
    [words, *_] = told(tiny(visits=visits, bays=(Bay("b1", "Bay 1", "range", F()),)))
    for part in ("Bay 1 with roof.", "Have Ada qualified for B.", "Have Ada qualified for C."):
        assert part in words


@pytest.mark.parametrize("ended", [{"seconds": 0}, {"seconds": 60, "stopped": lambda: True}])
def test_without_time_nothing_is_told(ended: dict[str, Any]) -> None:
    problem = tiny(instructors=(ada(available=F()),))
    assert ways_out(problem, clash(problem), **ended) == ()


@pytest.mark.parametrize(
    ("step", "name", "none"), [("why not", "explain", ((), False)), ("ways out", "ways_out", ())]
)
def test_reasons_are_looked_for_no_longer_than_the_desk_waits(
    step: str, name: str, none: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    def waits(*_: object, seconds: float, stopped: Callable[[], bool], **__: object) -> object:
        ends = time.monotonic() + seconds
        while not stopped():
            assert time.monotonic() < ends
            time.sleep(0.01)
        return none

    monkeypatch.setattr(f"lessons.planner.solve.{name}", waits)
    problem = tiny(visits=(visit("course", slots=2),), instructors=(ada(max_run=1),))
    with pytest.raises(NoPlan):
        solve(problem, seconds=60, on_progress=lambda told: told.step != step)


@settings(max_examples=40, deadline=None)
@given(problems())
def test_each_way_out_gives_a_plan_that_passes_the_checker(problem: Problem) -> None:
    try:
        solve(problem, seconds=60)
    except NoPlan as none:
        for shown in shown_ways(problem, none.conflicts, seconds=60):
            plan = Plan(shown.placements, (), "feasible", 1, 0.0, "")
            left_out = [str((rule.keys[1], rule.keys[0])) for rule in shown.ease.without]
            # of a visit that is wanted twice, one time may still have found its place
            broken = [found.rsplit(" ", 2) for found in Checker(shown.ease.problem, plan).check()]
            assert sorted(which for which, _, times in broken) == sorted(left_out)
            assert {times for _, _, times in broken} <= {"times"}


def test_a_refusal_carries_its_ways_out() -> None:
    with pytest.raises(NoPlan) as caught:
        solve(tiny(instructors=(ada(available=F()),)), seconds=60)
    assert [way.kind for way in caught.value.ways_out][:1] == ["hours"]


def rained_off(bays: int) -> Problem:
    """Two visits in the open and one bay each for both squads, rain all day."""
    places = tuple(
        Bay(f"b{n}", f"Bay {n}", "range", F({"sand" if n == 1 else "green"}))
        for n in range(1, bays + 1)
    )
    visits = (visit("bunker", "sand"), visit("putting", "green"))
    squads = (squad("A"), squad("B"))
    return tiny(squads=squads, visits=visits, bays=places, rain=every_slot(tiny().grid))


def test_as_many_bays_are_covered_as_it_takes() -> None:
    assert told(rained_off(2)) == ["Cover Bay 1 and Bay 2."]


def test_no_bay_is_covered_that_is_not_needed() -> None:
    words = told(rained_off(3))
    assert words == ["Cover Bay 1 and Bay 2."]


def test_as_many_are_qualified_as_it_takes() -> None:
    people = tuple(ada(key=key, name=key.title(), skills=F({"talk"})) for key in ("bea", "cal"))
    problem = tiny(
        squads=tuple(squad(letter) for letter in "ABC"),
        visits=(visit("course", slots=2),),
        bays=tuple(Bay(f"b{n}", f"Bay {n}", "range", F()) for n in range(3)),
        instructors=tuple(replace(person, max_load=2) for person in (ada(), *people)),
    )
    assert "Have Bea and Cal qualified for Course." in told(problem)


def test_of_a_way_out_found_the_least_amount_is_told() -> None:
    problem = tiny(visits=(visit("course", slots=2),), instructors=(ada(available=F()),))
    assert told(problem)[0] == "Have Ada for 2 slots (2 h) more, on day 1 slots 1–2."


def test_ways_out_come_first_when_the_clash_may_hold_what_is_not_needed() -> None:
    rules, ways = [Conflict("lunch", "No visit runs over lunch.")], [WayOut("pinned", "Lift it.")]
    assert str(NoPlan(rules, minimal=True, ways_out=ways)) == "No visit runs over lunch."
    assert str(NoPlan(rules, ways_out=ways)) == "Lift it. No visit runs over lunch."


def test_what_must_fall_on_the_same_day_as_another_is_not_left_out() -> None:
    five = tuple(visit(letter) for letter in "abcde")
    assert "Leave A out for every squad." in told(tiny(visits=five))
    assert "Leave A out for every squad." not in told(tiny(visits=five, same_day=(("a", "b"),)))
