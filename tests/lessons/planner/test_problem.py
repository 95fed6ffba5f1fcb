"""A problem that contradicts itself is refused in words before any solving."""

from dataclasses import replace
from itertools import pairwise

import pytest

from lessons.planner.plan import Placement
from lessons.planner.problem import Bay, Grid, Problem, ProblemError, validate
from tests.lessons.planner.schools import squad, tiny, visit, week

F = frozenset
ONE = tiny()
TWO_PLACES = (Bay("b1", "Bay 1", "range", F()), Bay("b2", "Bay 2", "green", F()))
PUTT = visit("putting")
WAITS_FOR_TWO = replace(visit("again"), after={"putting": 2})
TWICE_AND_ONCE = tiny(visits=(PUTT, replace(visit("q"), times=2)), same_day=(("putting", "q"),))
THERE = Placement("A", "putting", 0, 0, "b1", ("i1",))

FAULTY = [
    (tiny(grid=Grid(0, 4, 2, 60)), "at least one day"),
    (tiny(grid=Grid(1, 4, 5, 60)), "Lunch after slot 5 lies outside a day of 4"),
    (tiny(squads=(squad("A"), squad("A"))), "squad key 'A' is used 2 times"),
    (tiny(bays=ONE.bays * 3), "bay key 'b1' is used 3 times"),
    (tiny(grid=replace(ONE.grid, slot_times=(("9:00", "10:00"),))), "1 slots have a time"),
    (tiny(squads=(squad("A", size=5),)), "Squad A has 5 attendees"),
    (tiny(visits=(visit("p", slots=0),)), "P takes 0 slots"),
    (tiny(instructors=(replace(ONE.instructors[0], max_run=0),)), "Ada needs a load"),
    (tiny(lead_visits=-1), "cannot be negative"),
    (tiny(bays=(replace(ONE.bays[0], closed=F({(0, 4)})),)), "Bay 1: day 0, slot 4 lies outside"),
    (tiny(visits=(visit("p", days=[]),)), "P must be allowed on at least one day"),
    (tiny(visits=(visit("p", days=[1]),)), "only on days of the school"),
    (tiny(visits=(visit("p", after=["q"]),)), "waits for the unknown visit 'q'"),
    (tiny(same_instructor=("putting", "q")), "for the unknown visit 'q'"),
    (tiny(lead="i9"), "lead instructor 'i9' is not one"),
    (tiny(bays=TWO_PLACES), "walk between green and range is not given"),
    (tiny(bays=TWO_PLACES, walk_min={("green", "range"): -1}), "is negative"),
    (tiny(base="house"), "walk between house and range is not given"),
    (tiny(visits=(replace(PUTT, times=0),)), "Putting must be had at least once"),
    (tiny(visits=(replace(PUTT, most_a_day=0),)), "at least once a day"),
    (tiny(visits=(replace(PUTT, bay_slots=2),)), "takes a bay for 2 slots; 1 to 1 are allowed"),
    (tiny(visits=(replace(PUTT, bay_slots=0),)), "takes a bay for 0 slots"),
    (tiny(visits=(replace(PUTT, ratio=0),)), "an instructor must take at least one golfer"),
    (tiny(visits=(replace(PUTT, preferred=F({4})),)), "prefers to begin in a slot that a day"),
    (tiny(visits=(PUTT, WAITS_FOR_TWO)), "Again waits for 2 sessions of Putting, which has 1"),
    (tiny(bays=(replace(ONE.bays[0], squads=0),)), "Bay 1 must hold at least one squad"),
    (tiny(instructors=(replace(ONE.instructors[0], load_factor=0),)), "slot of Ada must count 1"),
    (tiny(squads=(replace(squad("A"), away=F({(1, 0)})),)), "Squad A: day 1, slot 0 lies outside"),
    (tiny(rain=F({(0, 9)})), "Rain: day 0, slot 9 lies outside"),
    (tiny(dark=F({(-1, 0)})), "Dark: day -1, slot 0 lies outside"),
    (tiny(now=(1, 0)), "Now: day 1, slot 0 lies outside"),
    (tiny(same_day=(("putting", "q"),)), "'q', asked for on the same day, is unknown"),
    (tiny(other_day=(("q", "putting"),)), "'putting', asked for on another day, is unknown"),
    (tiny(other_day=(("putting", "putting"),)), "Putting is asked for on another day as"),
    (TWICE_AND_ONCE, "cannot be on the same days: one is had 1 times, the other 2"),
    (tiny(past=(THERE, replace(THERE, bay="b2"))), "past session of squad 'A'.* is given twice"),
    (tiny(pinned=(replace(THERE, squad="B"),)), "pinned session of squad 'B'.* that is unknown"),
    (tiny(pinned=(replace(THERE, instructors=("i9",)),)), "that is unknown"),
    (tiny(past=(replace(THERE, slot=4),)), "past session of .* lies outside the school"),
    (tiny(past=(replace(THERE, instructors=()),)), "at least one instructor, and nobody twice"),
    (tiny(pinned=(replace(THERE, instructors=("i1", "i1")),)), "and nobody twice"),
    (tiny(past=(THERE, replace(THERE, visit="q")), visits=(PUTT, visit("q"))), "at once on day 0"),
    (tiny(past=(THERE,), now=(0, 0)), "past session of squad 'A' on day 0 is yet to come"),
]


@pytest.mark.parametrize(("problem", "words"), FAULTY, ids=[words for _, words in FAULTY])
def test_fault_is_named(problem: Problem, words: str) -> None:
    with pytest.raises(ProblemError, match=words):
        validate(problem)


def test_a_circle_is_named_in_its_order() -> None:
    ring = (visit("a", after=["c"]), visit("b", after=["a"]), visit("c", after=["b"]), visit("d"))
    with pytest.raises(ProblemError) as caught:
        validate(tiny(visits=ring))
    assert len(caught.value.faults) == 1
    circle = caught.value.faults[0].split(": ")[1].rstrip(".").split(", then ")
    assert circle[0] == circle[-1]
    assert {*pairwise(circle)} == {("A", "B"), ("B", "C"), ("C", "A")}


def test_every_fault_is_told_at_once() -> None:
    with pytest.raises(ProblemError) as caught:
        validate(tiny(lead="i9", lead_visits=-1, squads=()))
    assert len(caught.value.faults) == 2


def test_a_week_has_no_fault() -> None:
    validate(week(6))


def test_walk_counts_both_ways_unless_given_both() -> None:
    problem = tiny(walk_min={("a", "b"): 4, ("a", "c"): 5, ("c", "a"): 6})
    assert [problem.walk(*pair) for pair in ("ab", "ba", "ac", "ca", "aa")] == [4, 4, 5, 6, 0]


def test_a_published_plan_may_name_what_is_gone() -> None:
    """Squads were made anew and an instructor left; the plan is only compared with."""
    validate(tiny(published=(Placement("Z", "gone", 7, 99, "none", ("nobody",)),)))


def test_the_school_opens_now_or_once_the_past_has_begun() -> None:
    later = replace(THERE, slot=2)
    opens = [tiny(), tiny(past=(later, THERE)), tiny(past=(THERE,), now=(0, 2))]
    assert [problem.opens for problem in opens] == [(0, 0), (0, 3), (0, 2)]


def test_a_bay_is_taken_for_the_whole_visit_unless_said() -> None:
    assert [replace(visit("p", slots=3), bay_slots=n).in_bay for n in (None, 1)] == [3, 1]


def test_hours_are_said_with_the_slots() -> None:
    grid = Grid(days=1, slots_per_day=8, lunch_after=4, slot_min=45)
    assert [grid.hours(n) for n in (1, 3, 4)] == [
        "1 slot (45 min)",
        "3 slots (2 h 15 min)",
        "4 slots (3 h)",
    ]
