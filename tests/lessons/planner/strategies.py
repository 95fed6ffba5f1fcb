"""Random tiny schools, about half of which can be planned."""

from hypothesis import strategies as st

from lessons.planner.problem import Bay, Grid, Instructor, Problem, Squad, Visit

F = frozenset
BAYS = [F({"cam", "left-handed"}), F({"cam", "left-handed"}), F({"cam"}), F()]


def subsets(items: list[str]) -> st.SearchStrategy[frozenset[str]]:
    return st.frozensets(st.sampled_from(items))


@st.composite
def problems(draw: st.DrawFn, sessions: int = 4) -> Problem:
    """A school of at most so many sessions, on one or two days of three to five slots."""
    days = draw(st.integers(1, 2))
    per_day = draw(st.integers(3, 5 if days == 1 else 4))
    grid = Grid(days, per_day, draw(st.integers(0, per_day)), 45)
    slots = [(day, slot) for day in range(days) for slot in range(per_day)]
    squads = draw(st.integers(1, 3 if sessions > 4 else 2))
    visits = draw(st.integers(1, sessions // squads))
    few: st.SearchStrategy[frozenset[tuple[int, int]]] = st.sampled_from(
        [F(), F()]
    ) | st.frozensets(st.sampled_from(slots), max_size=2)
    return Problem(
        grid=grid,
        squads=tuple(Squad(f"s{n}", f"Squad {n}", 4, draw(st.booleans())) for n in range(squads)),
        visits=tuple(_visit(draw, n, days) for n in range(visits)),
        bays=tuple(
            Bay(f"b{n}", f"Bay {n}", draw(st.sampled_from("pq")), features, draw(few))
            for n, features in enumerate(
                draw(st.lists(st.sampled_from(BAYS), min_size=1, max_size=2))
            )
        ),
        instructors=tuple(
            Instructor(
                f"i{n}",
                f"Person {n}",
                F("xy") - draw(st.sampled_from([F(), F(), F("x"), F("y")])),
                F(slots) - draw(few),
                draw(st.sampled_from([4, 4, 3, 2, 1])),
                draw(st.sampled_from([4, 4, 3, 2, 1])),
            )
            for n in range(draw(st.integers(1, 2)))
        ),
        walk_min={("p", "q"): draw(st.sampled_from([3, 12]))},
        changeover_min=10,
        lead=draw(st.sampled_from([None, "i0"])),
        same_instructor=draw(st.sampled_from([None, ("v0", f"v{visits - 1}")])),
    )


def _visit(draw: st.DrawFn, number: int, days: int) -> Visit:
    return Visit(
        key=f"v{number}",
        name=f"Visit {number}",
        station=draw(st.sampled_from("xxy")),
        slots=draw(st.sampled_from([1, 1, 2])),
        features=draw(st.sampled_from([F(), F(), F({"cam"})])),
        handed=draw(st.sampled_from([False, False, True])),
        days=draw(st.sampled_from([None, None, F({0}), F({days - 1})])),
        after=draw(subsets([f"v{n}" for n in range(number)])) if number else F(),
    )
