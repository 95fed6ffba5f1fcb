"""Random tiny schools, some of which can be planned."""

from collections.abc import Sequence
from dataclasses import replace

from hypothesis import strategies as st

from lessons.planner.plan import Placement
from lessons.planner.problem import Bay, Grid, Instructor, Problem, Squad, Visit

F = frozenset
Slots = frozenset[tuple[int, int]]
BAYS = [F({"cam", "left-handed"}), F({"cam", "left-handed", "covered", "lit"}), F({"cam"}), F()]


@st.composite
def problems(draw: st.DrawFn, sessions: int = 4) -> Problem:
    """A school of at most so many sessions, on one or two days of three to five slots."""
    days = draw(st.integers(1, 2))
    per_day = draw(st.integers(3, 5 if days == 1 else 4))
    grid = Grid(days, per_day, draw(st.integers(0, per_day)), 45)
    slots = [(day, slot) for day in range(days) for slot in range(per_day)]
    some: st.SearchStrategy[Slots] = st.frozensets(st.sampled_from(slots), max_size=2)
    none: st.SearchStrategy[Slots] = st.just(F())
    few: st.SearchStrategy[Slots] = none | none | none | some
    rarely: st.SearchStrategy[Slots] = none | none | none | none | some
    squads = [
        Squad(f"s{n}", f"Squad {n}", draw(st.integers(1, 4)), draw(st.booleans()), draw(rarely))
        for n in range(draw(st.integers(1, 3 if sessions > 4 else 2)))
    ]
    visits = _visits(draw, sessions // len(squads), grid)
    pairs = [(one.key, other.key) for one in visits for other in visits if one.key < other.key]
    even = [p for p in pairs if len({visit.times for visit in visits if visit.key in p}) == 1]
    problem = Problem(
        grid=grid,
        squads=tuple(squads),
        visits=tuple(visits),
        bays=tuple(
            Bay(f"b{n}", f"Bay {n}", draw(st.sampled_from("pq")), features, draw(few), draw(SQUADS))
            for n, features in enumerate(
                draw(st.lists(st.sampled_from(BAYS), min_size=1, max_size=2))
            )
        ),
        instructors=tuple(
            Instructor(
                f"i{n}",
                f"Person {n}",
                F("xy") - draw(st.sampled_from([F(), F(), F(), F("x"), F("y")])),
                F(slots) - draw(few),
                draw(LIMITS),
                draw(LIMITS),
                draw(st.sampled_from([1, 1, 2])),
            )
            for n in range(draw(st.sampled_from([1, 2, 2])))
        ),
        walk_min={("p", "q"): draw(st.sampled_from([3, 12]))},
        changeover_min=10,
        lead=draw(st.sampled_from([None, "i0"])),
        same_instructor=draw(st.sampled_from([None, (visits[0].key, visits[-1].key)])),
        base=draw(st.sampled_from([None, "p"])),
        same_day=_one_of(draw, even),
        other_day=_one_of(draw, pairs),
        rain=draw(rarely),
        dark=draw(rarely),
    )
    return _with_history(draw, problem)


LIMITS = st.sampled_from([4, 4, 4, 4, 4, 3, 2, 1])
SQUADS = st.sampled_from([1, 1, 2])
SELDOM = st.sampled_from([False] * 5 + [True])


def _one_of(draw: st.DrawFn, pairs: Sequence[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    seldom = draw(SELDOM)
    return tuple([draw(st.sampled_from(pairs))] if pairs and seldom else [])


def _visits(draw: st.DrawFn, sessions: int, grid: Grid) -> list[Visit]:
    """Visits that take no more than so many sessions in all."""
    visits: list[Visit] = []
    for number in range(draw(st.integers(1, sessions))):
        left = sessions - sum(visit.times for visit in visits)
        if left:
            visits.append(_visit(draw, number, min(left, draw(SQUADS)), grid, visits))
    return visits


def _visit(draw: st.DrawFn, number: int, times: int, grid: Grid, earlier: Sequence[Visit]) -> Visit:
    slots = draw(st.sampled_from([1, 1, 2]))
    waits = draw(st.frozensets(st.sampled_from([v.key for v in earlier]))) if earlier else F()
    return Visit(
        key=f"v{number}",
        name=f"Visit {number}",
        station=draw(st.sampled_from("xxxy")),
        slots=slots,
        features=draw(st.sampled_from([F(), F(), F(), F({"cam"})])),
        handed=draw(SELDOM),
        days=draw(st.sampled_from([None, None, None, F({0}), F({grid.days - 1})])),
        after={v.key: draw(st.integers(1, v.times)) for v in earlier if v.key in waits},
        times=times,
        most_a_day=draw(st.integers(1, 2)),
        bay_slots=draw(st.sampled_from([None, 1])),
        preferred=draw(st.sampled_from([None, None, F({0}), F({1, 2})])),
        group=draw(SELDOM),
        ratio=draw(st.sampled_from([4, 4, 4, 6, 2])),
        everyone=draw(SELDOM),
    )


def _with_history(draw: st.DrawFn, problem: Problem) -> Problem:
    """Sometimes something is over, pinned or published, all at random."""
    rows = _rows(problem)
    past = draw(st.lists(rows, max_size=1)) if draw(SELDOM) else []
    pinned = draw(st.lists(rows, max_size=1)) if draw(SELDOM) else []
    published = draw(st.lists(rows, max_size=3)) if draw(st.booleans()) else []
    return replace(
        problem, past=tuple(past), pinned=tuple(pinned), published=tuple({*past, *published})
    )


def _rows(problem: Problem) -> st.SearchStrategy[Placement]:
    grid = problem.grid
    fitting = {visit.key: range(grid.slots_per_day - visit.slots + 1) for visit in problem.visits}
    return st.sampled_from([*problem.visits]).flatmap(
        lambda visit: st.builds(
            Placement,
            st.sampled_from([squad.key for squad in problem.squads]),
            st.just(visit.key),
            st.sampled_from([0, 0, grid.days - 1]),
            st.sampled_from([0, *fitting[visit.key]]),
            st.sampled_from([bay.key for bay in problem.bays]),
            st.sampled_from([person.key for person in problem.instructors]).map(lambda key: (key,)),
        )
    )
