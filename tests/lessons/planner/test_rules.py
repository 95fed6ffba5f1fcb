"""What each rule and goal of the problem does to a plan that would otherwise be another."""

from dataclasses import replace

import pytest

from lessons.planner.plan import NoPlan, Plan
from lessons.planner.problem import Bay, Grid, Instructor, Problem
from lessons.planner.solve import solve
from tests.lessons.planner.independent_checker import Checker
from tests.lessons.planner.schools import F, every_slot, squad, tiny, visit

TWO_DAYS = Grid(days=2, slots_per_day=4, lunch_after=2, slot_min=60)
ADA = replace(tiny().instructors[0], available=every_slot(TWO_DAYS))
BEN = replace(ADA, key="i2", name="Ben")
TWO_SQUADS = (squad("A"), squad("B"))
ROOM = (replace(tiny().bays[0], squads=2),)


def two_days(**changes: object) -> Problem:
    return replace(tiny(grid=TWO_DAYS, instructors=(ADA,)), **changes)  # type: ignore[arg-type]


def day_of(slots: int, *people: Instructor, **changes: object) -> Problem:
    """A day of so many slots without lunch, and who is there all day."""
    grid = Grid(days=1, slots_per_day=slots, lunch_after=slots, slot_min=60)
    staff = tuple(replace(one, available=every_slot(grid)) for one in people)
    return replace(tiny(), grid=grid, instructors=staff, **changes)  # type: ignore[arg-type]


def planned(problem: Problem) -> Plan:
    plan = solve(problem, seconds=60)
    assert Checker(problem, plan).check() == []
    return plan


def slots(plan: Plan, key: str) -> list[tuple[int, int]]:
    return sorted((row.day, row.slot) for row in plan.placements if row.visit == key)


def worth(plan: Plan, goal: str) -> int:
    return next(row.value for row in plan.goals if row.name == goal)


def refused(problem: Problem) -> set[str]:
    with pytest.raises(NoPlan) as caught:
        solve(problem, seconds=60)
    return {conflict.rule for conflict in caught.value.conflicts}


def test_a_visit_is_had_as_often_as_asked_and_so_often_a_day() -> None:
    three = replace(visit("putt"), times=3, most_a_day=2)
    days = [day for day, _ in slots(planned(two_days(visits=(three,))), "putt")]
    assert days in ([0, 0, 1], [0, 1, 1])
    assert refused(two_days(visits=(replace(three, most_a_day=1),)))


def test_a_visit_waits_for_as_many_sessions_as_asked() -> None:
    putt = replace(visit("putt"), times=2, most_a_day=2)
    test = replace(visit("test"), after={"putt": 2})
    plan = planned(two_days(visits=(putt, test)))
    assert slots(plan, "test")[0] > slots(plan, "putt")[1]


def test_visits_of_a_pair_fall_on_the_same_day() -> None:
    visits = (visit("a", days=[1]), visit("b"))
    assert slots(planned(two_days(visits=visits, same_day=(("a", "b"),))), "b")[0][0] == 1


def test_visits_of_a_pair_fall_on_different_days() -> None:
    visits = (visit("a", days=[1]), visit("b"))
    assert slots(planned(two_days(visits=visits, other_day=(("a", "b"),))), "b")[0][0] == 0


def test_a_bay_is_free_once_its_part_of_the_visit_is_over() -> None:
    """Two squads for two slots each, of which one in the only bay, are done in three."""
    long = replace(visit("film", slots=2), bay_slots=1)
    problem = day_of(3, ADA, BEN, squads=TWO_SQUADS, visits=(long,))
    assert slots(planned(problem), "film") == [(0, 0), (0, 1)]
    assert refused(replace(problem, visits=(replace(long, bay_slots=2),)))


def test_a_bay_for_two_squads_has_both_at_once_each_with_an_instructor() -> None:
    plan = planned(day_of(1, ADA, BEN, squads=TWO_SQUADS, bays=ROOM))
    assert {row.instructors for row in plan.placements} == {("i1",), ("i2",)}


def test_a_bay_for_two_squads_has_one_visit_at_a_time() -> None:
    """Each squad could have the visit that the other one does not, in two slots; not in one bay."""
    visits = (visit("putt", slots=2), visit("chip", slots=2))
    problem = day_of(4, ADA, BEN, squads=TWO_SQUADS, visits=visits, bays=ROOM)
    plan = planned(problem)
    assert slots(plan, "putt")[0] == slots(plan, "putt")[1]


def group_talk(ratio: int, instructors: int) -> Problem:
    """Two squads of four, one room for both and one slot."""
    talk = replace(visit("talk"), group=True, ratio=ratio)
    staff = (ADA, BEN)[:instructors]
    return day_of(1, *staff, squads=TWO_SQUADS, visits=(talk,), bays=ROOM)


@pytest.mark.parametrize(("ratio", "teams"), [(8, 1), (7, 2), (4, 2)])
def test_a_group_has_the_instructors_its_golfers_need(ratio: int, teams: int) -> None:
    plan = planned(group_talk(ratio, 2))
    assert [len(row.instructors) for row in plan.placements] == [teams] * 2


def test_a_group_without_enough_instructors_cannot_be() -> None:
    assert refused(group_talk(4, 1))


def test_a_squad_too_large_for_one_instructor_cannot_have_the_visit() -> None:
    assert refused(tiny(visits=(replace(visit("putt"), ratio=3),))) == {"ratio"}


@pytest.mark.parametrize(("feature", "when"), [("covered", "rain"), ("lit", "dark")])
def test_weather_sends_squads_into_bays_that_suit_it(feature: str, when: str) -> None:
    bays = (tiny().bays[0], Bay("b2", "Bay 2", "range", F({feature})))
    every = {when: every_slot(tiny().grid)}
    assert planned(tiny(bays=bays, **every)).placements[0].bay == "b2"
    assert when in refused(tiny(**every))


def test_what_everyone_should_have_waits_until_everyone_is_there() -> None:
    late = replace(squad("A"), away=F({(0, 0), (0, 1), (0, 2)}))
    problem = tiny(squads=(late,), visits=(replace(visit("putt"), everyone=True), visit("chip")))
    assert slots(planned(problem), "putt") == [(0, 3)]


def test_a_visit_begins_when_it_is_preferred() -> None:
    plan = planned(tiny(visits=(replace(visit("putt"), preferred=F({3})),)))
    assert slots(plan, "putt") == [(0, 3)]
    assert worth(plan, "preference") == 0


def test_a_slot_of_half_time_counts_twice() -> None:
    """Of three visits Ben, on half time, has one."""
    half = replace(BEN, load_factor=2)
    plan = planned(day_of(3, ADA, half, visits=tuple(map(visit, "abc"))))
    assert [row.instructors for row in plan.placements].count(("i2",)) == 1
    assert worth(plan, "fairness") == 0


def test_no_squad_walks_further_than_it_must() -> None:
    """Both greens are five minutes from the house; the way round by both is the shortest."""
    walks = {("house", "east"): 5, ("house", "west"): 5, ("east", "west"): 2}
    bays = (Bay("e", "E", "east", F("e")), Bay("w", "W", "west", F("w")))
    problem = tiny(
        visits=(visit("a", "e"), visit("b", "w")), bays=bays, walk_min=walks, base="house"
    )
    assert worth(planned(problem), "walking") == 5 + 2 + 5


def test_a_group_has_nobody_to_spare() -> None:
    """Three squads of two are six golfers, for one instructor as long as all come at once."""
    talk = replace(visit("talk"), group=True, ratio=6)
    squads = tuple(squad(key, size=2) for key in "ABC")
    room = (replace(ROOM[0], squads=3),)
    plan = planned(day_of(1, ADA, BEN, squads=squads, visits=(talk,), bays=room))
    assert {row.instructors for row in plan.placements} in ({("i1",)}, {("i2",)})
