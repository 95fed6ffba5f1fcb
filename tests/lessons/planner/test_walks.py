"""Walking bounds: never above what the plain model proves, and near it."""

from collections.abc import Mapping
from dataclasses import replace

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from lessons.planner import walking
from lessons.planner.goals import GOALS
from lessons.planner.model import Model
from lessons.planner.plan import Placement
from lessons.planner.problem import COVERED, LIT, Bay, Grid, Instructor, Problem, Squad, Visit
from lessons.planner.walks.bounds import Walks, alone_bound, walking_bound
from tests.lessons.planner.schools import F, every_slot, tiny, visit, week, week_bays

QUICK = settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)


def least(problem: Problem, kept: Mapping[str, int]) -> tuple[int, tuple[Placement, ...]] | None:
    """The least walking with the goals kept, proven by the plain model; None without a plan."""
    model = Model(problem)
    for rule in GOALS:
        if rule.name in kept and rule.applies(problem):
            model.cp.add(rule.model(model) <= kept[rule.name])
    model.cp.minimize(walking.term(model))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 20
    status = solver.solve(model.cp)
    assert status in {cp_model.OPTIMAL, cp_model.INFEASIBLE}
    if status == cp_model.INFEASIBLE:
        return None
    plan = model.placements(solver)
    return walking.count(problem, plan), plan


PLACES = ("p", "q", "r")


@st.composite
def schools(draw: st.DrawFn) -> Problem:
    """One to three squads, up to three visits of every sort, three places some of them far."""
    grid = Grid(draw(st.integers(1, 2)), draw(st.integers(3, 4)), draw(st.integers(0, 3)), 45)
    slots = sorted(every_slot(grid))
    some = st.frozensets(st.sampled_from(slots), max_size=2)
    few: st.SearchStrategy[frozenset[tuple[int, int]]] = st.one_of(st.just(F()), some)
    visits = draw(st.integers(1, 3))
    far = draw(st.sampled_from([4, 12]))
    return Problem(
        grid=grid,
        squads=tuple(
            Squad(f"s{n}", f"Squad {n}", draw(st.integers(1, 4)), draw(st.booleans()), draw(few))
            for n in range(draw(st.integers(1, 3)))
        ),
        visits=tuple(_visit(draw, n, grid) for n in range(visits)),
        bays=tuple(_bay(draw, n, draw(few)) for n in range(draw(st.integers(1, 4)))),
        instructors=tuple(
            Instructor(
                f"i{n}",
                f"Person {n}",
                F("xy") - draw(st.sampled_from([F(), F(), F("x"), F("y")])),
                F(slots) - draw(few),
                draw(st.sampled_from([4, 4, 3, 2])),
                draw(st.sampled_from([4, 4, 3, 1])),
                draw(st.sampled_from([1, 1, 2])),
            )
            for n in range(draw(st.integers(1, 3)))
        ),
        walk_min={("p", "q"): far, ("p", "r"): 3, ("q", "r"): 5, ("r", "q"): 2},
        changeover_min=10,
        lead=draw(st.sampled_from([None, "i0"])),
        same_instructor=draw(st.sampled_from([None, ("v0", f"v{visits - 1}")])),
        base=draw(st.sampled_from(PLACES)),
        same_day=draw(st.sampled_from([(), (), (("v0", f"v{visits - 1}"),)])),
        other_day=draw(st.sampled_from([(), (), (("v0", f"v{visits - 1}"),)]))
        if visits > 1
        else (),
        rain=draw(few),
        dark=draw(few),
    )


def _visit(draw: st.DrawFn, number: int, grid: Grid) -> Visit:
    slots = draw(st.sampled_from([1, 1, 2]))
    before = {f"v{n}": draw(st.integers(1, 2)) for n in range(number) if draw(st.booleans())}
    return Visit(
        key=f"v{number}",
        name=f"Visit {number}",
        station=draw(st.sampled_from("xxy")),
        slots=slots,
        features=draw(st.sampled_from([F(), F(), F({"cam"})])),
        handed=draw(st.sampled_from([False, False, True])),
        days=draw(st.sampled_from([None, None, F({0}), F({grid.days - 1})])),
        after=before if draw(st.booleans()) else {},
        times=draw(st.sampled_from([1, 1, 2])),
        most_a_day=draw(st.integers(1, 2)),
        bay_slots=draw(st.sampled_from([None, 1])),
        preferred=draw(st.sampled_from([None, None, F({0, 1}), F({2})])),
        group=draw(st.sampled_from([False, False, True])),
        ratio=draw(st.sampled_from([4, 4, 3])),
        everyone=draw(st.booleans()),
    )


def _bay(draw: st.DrawFn, number: int, closed: frozenset[tuple[int, int]]) -> Bay:
    features = F({"cam", "left-handed", COVERED, LIT}) - draw(
        st.frozensets(st.sampled_from(["cam", "left-handed", COVERED, LIT]), max_size=2)
    )
    place, squads = draw(st.sampled_from(PLACES)), draw(st.sampled_from([1, 1, 2]))
    return Bay(f"b{number}", f"Bay {number}", place, features, closed, squads)


def values(problem: Problem, plan: tuple[Placement, ...]) -> dict[str, int]:
    return {
        rule.name: rule.count(problem, plan)
        for rule in GOALS
        if rule.name != "walking" and rule.applies(problem)
    }


@QUICK
@given(schools())
def test_no_plan_walks_less_than_either_bound(problem: Problem) -> None:
    found = least(problem, {})
    assume(found is not None)
    assert found is not None
    kept = values(problem, found[1])
    held = least(problem, kept)
    assert held is not None
    alone = alone_bound(problem, kept=kept)
    assert alone <= walking_bound(problem, kept=kept, seconds=2) <= held[0]
    assert walking_bound(problem, kept={}, seconds=2) <= found[0]


@QUICK
@given(schools(), st.data())
def test_what_is_over_pinned_or_published_is_no_trap(problem: Problem, data: st.DataObject) -> None:
    found = least(problem, {})
    assume(found is not None and found[1])
    assert found is not None
    now = data.draw(st.sampled_from(sorted(every_slot(problem.grid))))
    over = tuple(row for row in found[1] if (row.day, row.slot) < now)
    ahead = [row for row in found[1] if row not in over]
    pinned = data.draw(st.sampled_from([ahead[:0], ahead[:1]]))
    again = replace(
        problem,
        past=over,
        pinned=tuple(pinned),
        published=data.draw(st.sampled_from([(), found[1]])),
        now=now,
        rain=problem.rain | data.draw(st.frozensets(st.sampled_from([now]), max_size=1)),
    )
    first = least(again, {})
    assume(first is not None)
    assert first is not None
    kept = values(again, first[1])
    held = least(again, kept)
    assert held is not None
    assert walking_bound(again, kept=kept, seconds=2) <= held[0]


def _two_places(**changes: object) -> Problem:
    """Two visits at the far end of a walk and one at the base; four slots, lunch after two."""
    bays = (
        Bay("b1", "Bay 1", "hut", F({"home"})),
        Bay("b2", "Bay 2", "field", F({"far"})),
    )
    walks = {("hut", "field"): 5}
    problem = tiny(
        visits=(visit("one", "far"), visit("two", "far"), visit("talk", "home")),
        bays=bays,
        walk_min=walks,
        base="hut",
    )
    return replace(problem, **changes)  # type: ignore[arg-type]


def test_alone_a_squad_goes_to_the_far_place_once() -> None:
    assert alone_bound(_two_places(), kept={}) == 10


def test_lunch_at_the_base_costs_a_second_way() -> None:
    closed = F({(0, 1), (0, 3)})
    bays = tuple(replace(bay, closed=closed) for bay in _two_places().bays)
    visits = (visit("one", "far"), visit("two", "far"))
    assert alone_bound(_two_places(bays=bays, visits=visits), kept={}) == 20


def test_squads_that_need_one_bay_at_once_walk_further_together() -> None:
    pair = tuple(Squad(key, key, 4, left_handed=False) for key in "AB")
    people = (
        Instructor("i1", "Ada", F({"swing"}), every_slot(tiny().grid), 4, 4),
        Instructor("i2", "Bo", F({"swing"}), every_slot(tiny().grid), 4, 4),
    )
    morning = replace(visit("one", "far"), preferred=F({0, 1}))
    visits = (morning, visit("two", "far"))
    problem = _two_places(squads=pair, instructors=people, visits=visits)
    kept = {"preference": 0}
    assert alone_bound(problem, kept=kept) == 20
    best = least(problem, kept)
    assert best is not None
    assert walking_bound(problem, kept=kept, seconds=60) == best[0] == 40


def test_idle_slots_may_be_bought_only_as_far_as_they_are_kept() -> None:
    visits = (visit("one", "far"), visit("talk", "home", after=["one"]), visit("two", "far"))
    visits = (*visits[:2], replace(visits[2], after={"talk": 1}))
    grid = Grid(days=1, slots_per_day=4, lunch_after=4, slot_min=60)
    bays = tuple(replace(bay, closed=F({(0, 2)})) for bay in _two_places().bays)
    problem = _two_places(visits=visits, grid=grid, bays=bays)
    assert alone_bound(problem, kept={"idle": 1}) == 20
    assert walking_bound(problem, kept={"idle": 0}, seconds=1) == 0  # no such plan


def test_without_base_or_squads_or_beyond_what_is_searched_the_bound_is_none() -> None:
    assert walking_bound(tiny(), kept={}, seconds=1) == 0
    assert walking_bound(tiny(squads=(), base="range"), kept={}, seconds=1) == 0
    many = tuple(replace(visit(f"v{n}"), times=40, most_a_day=9) for n in range(12))
    assert walking_bound(tiny(visits=many, base="range"), kept={}, seconds=1) == 0


def test_squads_short_of_bays_are_bounded_above_the_squads_alone() -> None:
    problem = replace(week(6), bays=week_bays(3), base="house")
    walks = Walks(problem, {"idle": 0}, seed=1)
    alone = walks.bound
    walks.tighten(60)
    assert walks.settled
    assert walks.bound > alone == alone_bound(problem, kept={"idle": 0})
