"""The judge: each rule broken by hand, and plans that break none."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lessons.planner.judging.judge import Broken, Judge, broken_rules
from lessons.planner.judging.worth import goal_values
from lessons.planner.plan import Placement
from lessons.planner.problem import Bay, Grid, Instructor, Problem, Squad, Visit
from lessons.planner.solve import solve
from tests.lessons.planner.schools import every_slot, week

F = frozenset
TIMES = (("09:00", "09:45"), ("09:45", "10:30"), ("10:30", "11:15"), ("13:00", "13:45"))
GRID = Grid(days=2, slots_per_day=4, lunch_after=3, slot_min=45, slot_times=TIMES)


def person(key: str, **changes: Any) -> Instructor:
    made = Instructor(key, key.title(), F({"swing"}), every_slot(GRID), 4, 3)
    return replace(made, **changes)


def school(*visits: Visit, **changes: Any) -> Problem:
    """Two squads, two bays a long walk apart, two instructors, two days of three slots and one."""
    problem = Problem(
        grid=GRID,
        squads=(Squad("a", "Squad 1", 4, left_handed=True), Squad("b", "Squad 2", 4, False)),
        visits=visits or (visit("putting"),),
        bays=(Bay("near", "Bay 1", "range", F()), Bay("far", "Bay 2", "dunes", F())),
        instructors=(person("ada"), person("ben")),
        walk_min={("range", "dunes"): 12},
        changeover_min=10,
    )
    return replace(problem, **changes)


def visit(key: str, slots: int = 1, **fields: Any) -> Visit:
    made = Visit(key, key.title(), "swing", slots, F())
    return replace(made, **fields)


def at(slot: int, **changes: Any) -> Placement:
    """Putting of the first squad on the first day in the near bay with Ada."""
    return replace(Placement("a", "putting", 0, slot, "near", ("ada",)), **changes)


def said(problem: Problem, *rows: Placement) -> list[tuple[str, str]]:
    """The rules that a part of a plan breaks."""
    return [(each.rule, each.words) for each in broken_rules(problem, rows, complete=False)]


# A session by itself


def test_a_session_that_breaks_nothing() -> None:
    assert said(school(), at(0)) == []


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (
            at(3),
            "Putting of Squad 1 does not fit into day 1 at 13:00: it takes 2 slots (1 h 30 min).",
        ),
        (at(0, day=2), "Putting of Squad 1 begins outside the days of the school."),
        (at(-1), "Putting of Squad 1 begins outside the days of the school."),
    ],
)
def test_outside_the_day(row: Placement, words: str) -> None:
    assert said(school(visit("putting", slots=2)), row) == [("outside", words)]


def test_over_lunch() -> None:
    problem = school(visit("putting", slots=2))
    words = "Putting of Squad 1 on day 1 from 10:30 to 13:45 runs over lunch."
    assert said(problem, at(2)) == [("lunch", words)]


def test_a_wrong_day() -> None:
    problem = school(visit("putting", days=F({1})))
    words = "Putting of Squad 1 is on day 1; it is allowed on day 2 only."
    assert said(problem, at(0)) == [("days", words)]


@pytest.mark.parametrize(
    ("fields", "squad", "rule", "lacking"),
    [
        ({"features": F({"green", "flag"})}, "b", "features", "flag and green"),
        ({"handed": True}, "a", "left-handed", "left-handed"),
    ],
)
def test_a_bay_that_lacks_something(
    fields: dict[str, Any], squad: str, rule: str, lacking: str
) -> None:
    problem = school(visit("putting", **fields))
    number = "1" if squad == "a" else "2"
    words = f"Putting of Squad {number} needs what Bay 1 lacks: {lacking}."
    assert said(problem, at(0, squad=squad)) == [(rule, words)]


def test_a_right_handed_squad_needs_no_left_handed_bay() -> None:
    assert said(school(visit("putting", handed=True)), at(0, squad="b")) == []


def test_a_closed_bay() -> None:
    bays = (Bay("near", "Bay 1", "range", F(), closed=F({(0, 1)})),)
    words = "Bay 1 is closed or taken on day 1 from 09:45 to 10:30, for Putting of Squad 1."
    assert said(school(bays=bays), at(1)) == [("closed", words)]


def test_a_bay_may_close_once_the_squad_has_moved_on() -> None:
    bays = (Bay("near", "Bay 1", "range", F(), closed=F({(0, 1)})),)
    assert said(school(visit("putting", slots=2, bay_slots=1), bays=bays), at(0)) == []


@pytest.mark.parametrize(
    ("weather", "feature", "words"),
    [
        ("rain", "covered", "It rains on day 1 from 09:45 to 10:30, and Bay 1 has no cover"),
        ("dark", "lit", "It is dark on day 1 from 09:45 to 10:30, and Bay 1 has no light"),
    ],
)
def test_rain_and_darkness(weather: str, feature: str, words: str) -> None:
    problem = school(**{weather: F({(0, 1)})})
    assert said(problem, at(1)) == [(weather, f"{words} for Putting of Squad 1.")]
    bays = (Bay("near", "Bay 1", "range", F({feature})),)
    assert said(replace(problem, bays=bays), at(1)) == []


def test_somebody_away() -> None:
    squads = (Squad("a", "Squad 1", 4, False, away=F({(0, 0)})),)
    problem = school(visit("putting", everyone=True), squads=squads)
    words = (
        "Somebody in Squad 1 is away on day 1 from 09:00 to 09:45, and everybody should have "
        "Putting."
    )
    assert said(problem, at(0)) == [("away", words)]
    assert said(school(squads=squads), at(0)) == []


# Sessions that meet


def test_a_squad_in_two_places() -> None:
    problem = school(visit("putting"), visit("irons"))
    irons = at(0, visit="irons", instructors=("ben",), bay="far")
    (broken,) = said(problem, at(0), irons)
    assert broken == (
        "squad",
        "Squad 1 has Irons on day 1 from 09:00 to 09:45 and Putting on day 1 from 09:00 to 09:45"
        " at once.",
    )


def test_an_instructor_with_two_squads() -> None:
    (broken,) = said(school(), at(0), at(0, squad="b", bay="far"))
    assert broken == (
        "instructor",
        "Ada has Putting of Squad 1 on day 1 from 09:00 to 09:45 and Putting of Squad 2 on day 1"
        " from 09:00 to 09:45 at once.",
    )


def test_a_bay_with_more_squads_than_it_has_room_for() -> None:
    rows = at(0), at(0, squad="b", instructors=("ben",))
    (broken,) = said(school(), *rows)
    assert broken == (
        "bay",
        "Bay 1 is for 1 squad at once; on day 1 from 09:00 to 09:45 there are 2: Putting of"
        " Squad 1 and Putting of Squad 2.",
    )
    bays = (Bay("near", "Bay 1", "range", F(), squads=2),)
    assert said(school(bays=bays), *rows) == []


def test_a_bay_is_shared_by_one_visit_only() -> None:
    problem = school(
        visit("putting"), visit("irons"), bays=(Bay("near", "Bay 1", "range", F(), squads=2),)
    )
    rows = at(0), at(0, squad="b", visit="irons", instructors=("ben",))
    (broken,) = said(problem, *rows)
    assert broken[0] == "bay"
    assert broken[1].startswith("Bay 1 would have Putting of Squad 1 on day 1")


def test_the_next_squad_may_come_when_the_first_has_moved_on() -> None:
    problem = school(visit("putting", slots=2, bay_slots=1))
    assert said(problem, at(0), at(1, squad="b", instructors=("ben",))) == []


# Instructors


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"skills": F()}, "Ada is not qualified for Putting of Squad 1."),
        (
            {"available": F({(1, 0)})},
            "Ada is not free on day 1 from 09:00 to 09:45, for Putting of Squad 1.",
        ),
    ],
)
def test_who_cannot_teach(changes: dict[str, Any], words: str) -> None:
    (broken,) = said(school(instructors=(person("ada", **changes),)), at(0))
    assert broken[1] == words


def test_a_load_that_is_too_great() -> None:
    problem = school(instructors=(person("ada", max_load=1),))
    (broken,) = said(problem, at(0), at(3, squad="b"))
    words = "Ada teaches 2 slots (1 h 30 min) on day 1 instead of at most 1 slot (45 min)."
    assert broken == ("load", words)


def test_a_run_without_a_break() -> None:
    problem = school(instructors=(person("ada", max_run=1),))
    (broken,) = said(problem, at(1), at(2, squad="b"))
    words = "Ada teaches without a break on day 1 from 09:45 to 11:15, longer than 1 slot (45 min)."
    assert broken == ("run", words)
    assert said(problem, at(2), at(3, squad="b")) == []


# Order, days and counts


def test_an_order_that_is_not_kept() -> None:
    problem = school(visit("putting", after={"intake": 1}), visit("intake"))
    rows = at(0), at(1, visit="intake")
    words = "Putting of Squad 1 begins on day 1 at 09:00, before Intake is over."
    assert said(problem, *rows) == [("order", words)]
    assert said(problem, at(1), at(0, visit="intake")) == []
    assert said(problem, at(1)) == []
    assert ("order", words) in [(b.rule, b.words) for b in broken_rules(problem, [at(0)])]


def test_an_order_asks_for_so_many_sessions() -> None:
    problem = school(visit("putting", after={"irons": 2}), visit("irons", times=2, most_a_day=2))
    rows = at(0, visit="irons"), at(1), at(2, visit="irons")
    words = (
        "Putting of Squad 1 begins on day 1 at 09:45, and by then Irons is over once instead of"
        " twice."
    )
    assert said(problem, *rows) == [("order", words)]
    assert said(problem, *rows[:2]) == []


def test_a_visit_too_often_and_too_often_a_day() -> None:
    (broken,) = said(school(), at(0), at(0, day=1))
    assert broken == ("times", "Squad 1 has Putting twice; once is enough.")
    problem = school(visit("putting", times=2))
    (broken,) = said(problem, at(0), at(3))
    assert broken == (
        "most_a_day",
        "Squad 1 has Putting twice on day 1; once a day is the most.",
    )


def test_a_visit_that_is_missing_is_missed_in_a_whole_plan_only() -> None:
    problem = school(visit("putting", times=2))
    assert said(problem, at(0)) == []
    assert [each.words for each in broken_rules(problem, [at(0)])] == [
        "Squad 1 has Putting once instead of twice.",
        "Squad 2 has no time for Putting.",
    ]


@pytest.mark.parametrize(
    ("rule", "day", "words"),
    [
        ("same_day", 1, "Putting on day 1 and Irons on day 2; they belong on the same day."),
        ("other_day", 0, "Putting on day 1 and Irons on day 1; they belong on different days."),
    ],
)
def test_days_that_belong_together_or_apart(rule: str, day: int, words: str) -> None:
    problem = school(visit("putting"), visit("irons"), **{rule: (("putting", "irons"),)})
    assert said(problem, at(0), at(1, visit="irons", day=day)) == [(rule, f"Squad 1 has {words}")]
    assert said(problem, at(0), at(1, visit="irons", day=1 - day)) == []
    assert said(problem, at(0)) == []


# Walks


def test_a_walk_that_is_too_long_for_the_squad_and_for_the_instructor() -> None:
    problem = school(visit("putting"), visit("irons"))
    broken = said(problem, at(0), at(1, visit="irons", bay="far"))
    assert [rule for rule, _ in broken] == ["walk", "walk"]
    assert broken[0][1] == (
        "Squad 1 has 12 min to walk from range to dunes between Putting of Squad 1 on day 1 from"
        " 09:00 to 09:45 and Irons of Squad 1 on day 1 from 09:45 to 10:30; 10 min are allowed."
    )
    assert broken[1][1].startswith("Ada has 12 min to walk from range to dunes")


def test_over_lunch_and_with_a_break_there_is_time_to_walk() -> None:
    problem = school(visit("putting"), visit("irons"))
    assert said(problem, at(2), at(3, visit="irons", bay="far")) == []
    assert said(problem, at(0), at(2, visit="irons", bay="far")) == []


def test_a_walk_that_is_not_given_is_not_judged() -> None:
    problem = school(visit("putting"), visit("irons"), walk_min={})
    assert said(problem, at(0), at(1, visit="irons", bay="far")) == []


# Groups


def group(ratio: int, *taught: tuple[str, ...]) -> list[tuple[str, str]]:
    problem = school(
        visit("putting", group=True, ratio=ratio),
        bays=(Bay("near", "Bay 1", "range", F(), squads=2),),
    )
    rows = [at(0, squad=key, instructors=who) for key, who in zip("ab", taught, strict=True)]
    return said(problem, *rows)


def test_squads_may_have_a_group_visit_together() -> None:
    assert group(8, ("ada",), ("ada",)) == []
    assert group(4, ("ada", "ben"), ("ada", "ben")) == []


@pytest.mark.parametrize(
    ("ratio", "who", "people"),
    [(4, ("ada",), "1 instructor"), (8, ("ada", "ben"), "2 instructors")],
)
def test_a_group_has_as_many_instructors_as_it_needs(
    ratio: int, who: tuple[str, ...], people: str
) -> None:
    words = (
        f"Putting on day 1 from 09:00 to 09:45 has 8 golfers and {people}; an instructor takes at"
        f" most {ratio}, and there is none more than needed."
    )
    assert group(ratio, who, who) == [("ratio", words)]


def test_a_group_has_its_instructors_in_common() -> None:
    words = (
        "Squad 1 and Squad 2 have Putting together on day 1 from 09:00 to 09:45, with different"
        " instructors."
    )
    assert group(4, ("ada",), ("ben",)) == [("group", words)]


def test_any_other_visit_has_one_instructor() -> None:
    words = "Putting of Squad 1 on day 1 from 09:00 to 09:45 has 2 instructors instead of one."
    assert said(school(), at(0, instructors=("ada", "ben"))) == [("ratio", words)]


# What stands


def test_what_is_over_stands_but_nothing_new_may_clash_with_it() -> None:
    over = at(0), at(0, squad="b")
    problem = school(past=over)
    assert said(problem, *over) == []
    new = at(0, squad="b", visit="irons", bay="far", instructors=("ben",))
    rules = {
        rule
        for rule, _ in said(replace(problem, visits=(*problem.visits, visit("irons"))), *over, new)
    }
    assert rules == {"past", "squad"}


@pytest.mark.parametrize(
    ("what", "why"),
    [("pinned", "is pinned and must stay"), ("past", "is over and cannot be changed")],
)
def test_what_must_stay_stays(what: str, why: str) -> None:
    problem = school(**{what: (at(0),)})
    words = f"Putting of Squad 1 on day 1 from 09:00 to 09:45 in Bay 1 with Ada {why}."
    assert said(problem, at(1)) == [(what, words)]
    assert said(problem, at(0)) == []


def test_what_the_problem_does_not_know_is_said() -> None:
    (broken,) = said(school(), at(0, bay="gone", instructors=("nobody",)))
    words = "bay 'gone' and instructor 'nobody': there is no such thing in this school."
    assert broken == ("unknown", words)


# Whole plans


@pytest.fixture(scope="module")
def problem() -> Problem:
    return week(6)


@pytest.fixture(scope="module")
def rows(problem: Problem) -> tuple[Placement, ...]:
    return solve(problem, seconds=60, on_progress=lambda told: not told.values).placements


def test_a_plan_that_was_found_breaks_no_rule(
    problem: Problem, rows: tuple[Placement, ...]
) -> None:
    assert broken_rules(problem, rows) == []


def test_a_session_in_the_place_of_another_of_its_squad_is_reported(
    problem: Problem, rows: tuple[Placement, ...]
) -> None:
    for one, other in pairwise(sorted(rows, key=lambda row: (row.squad, row.day, row.slot))):
        if one.squad == other.squad:
            moved = replace(one, day=other.day, slot=other.slot, bay=other.bay)
            plan = [row for row in rows if row != one] + [moved]
            assert {"squad", "bay"} <= {broken.rule for broken in broken_rules(problem, plan)}


def test_a_session_that_is_tried_is_not_left_there(
    problem: Problem, rows: tuple[Placement, ...]
) -> None:
    judge = Judge(problem, rows[1:])
    one = [broken.words for broken in judge.if_added([replace(rows[1], day=1)])]
    assert one == [broken.words for broken in judge.if_added([replace(rows[1], day=1)])]
    assert judge.if_added([rows[0]]) == []


@settings(max_examples=40)
@given(data=st.data())
def test_one_session_is_judged_as_in_the_whole_plan(data: st.DataObject) -> None:
    """Trying a session finds what the whole plan says of it, and nothing else."""
    problem = week(3)
    rows = _random_plan(problem, data)
    one = data.draw(st.sampled_from(rows))
    rest = [row for row in rows if row != one]
    tried = {_as_set(broken) for broken in Judge(problem, rest).if_added([one])}
    whole = {_as_set(broken) for broken in broken_rules(problem, rows) if one in broken.placements}
    assert {each for each in tried if one in each[1]} == {
        each for each in whole if each[0] != "visit"
    }


def _as_set(broken: Broken) -> tuple[str, frozenset[Placement], str]:
    return broken.rule, F(broken.placements), broken.words


def _random_plan(problem: Problem, data: st.DataObject) -> list[Placement]:
    bays, people = [b.key for b in problem.bays], [i.key for i in problem.instructors]
    return [
        Placement(
            squad.key,
            visit.key,
            data.draw(st.integers(0, 2)),
            data.draw(st.integers(0, problem.grid.slots_per_day - visit.slots)),
            data.draw(st.sampled_from(bays)),
            (data.draw(st.sampled_from(people)),),
        )
        for squad in problem.squads[:2]
        for visit in problem.visits
    ]


def test_the_goals_of_a_plan_are_those_the_search_gives() -> None:
    problem = week(3)
    found = solve(problem, seconds=60, on_progress=lambda told: not told.values)
    assert goal_values(problem, found.placements) == {goal.name: goal.value for goal in found.goals}
