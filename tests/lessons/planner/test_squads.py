"""Squads: what always holds, what is best on small cohorts, and what cannot be had."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lessons.planner.squads import (
    CLOSE_ENOUGH_TENTHS,
    Golfer,
    NoSquads,
    make_squads,
)

Squads = tuple[tuple[str, ...], ...]

golfers = st.builds(
    Golfer,
    key=st.integers(100, 999).map(str),
    left_handed=st.sampled_from([False, False, True]),
    handicap_tenths=st.none() | st.integers(-20, 540),
    minor=st.sampled_from([False, False, True]),
)


def cohorts(most: int) -> st.SearchStrategy[list[Golfer]]:
    return st.lists(golfers, min_size=1, max_size=most, unique_by=lambda golfer: golfer.key)


def golfer(
    key: str, handicap: int | None = 180, *, left: bool = False, minor: bool = False
) -> Golfer:
    return Golfer(key, left, handicap, minor)


def worth(cohort: list[Golfer], squads: Squads) -> tuple[int, int, float]:
    """Squads with a left-hander, squads with a lone minor, spread in tenths."""
    row = {g.key: g for g in cohort}
    left = sum(any(row[key].left_handed for key in squad) for squad in squads)
    lone = sum(sum(row[key].minor for key in squad) == 1 for squad in squads)
    return left, lone, float(spread_of(cohort, squads))


def spread_of(cohort: list[Golfer], squads: Squads) -> Fraction:
    """Tenths between the highest and the lowest mean; who has no handicap counts as the median."""
    known = sorted(g.handicap_tenths for g in cohort if g.handicap_tenths is not None)
    middle = known[(len(known) - 1) // 2] if known else 0
    tenths = {g.key: middle if g.handicap_tenths is None else g.handicap_tenths for g in cohort}
    means = [Fraction(sum(tenths[key] for key in squad), len(squad)) for squad in squads]
    return max(means) - min(means)


def divisions(keys: list[str], sizes: list[int]) -> Iterator[Squads]:
    """Every way to fill squads of these sizes, alike ones more than once."""
    if not sizes:
        yield ()
        return
    for squad in combinations(keys, sizes[0]):
        rest = [key for key in keys if key not in squad]
        yield from ((squad, *others) for others in divisions(rest, sizes[1:]))


@settings(max_examples=40)
@given(cohorts(12), st.integers(1, 4))
def test_everyone_has_one_place_and_sizes_differ_by_at_most_one(
    cohort: list[Golfer], size: int
) -> None:
    squads = make_squads(cohort, size)
    assert sorted(key for squad in squads for key in squad) == sorted(g.key for g in cohort)
    assert len(squads) == -(-len(cohort) // size)
    sizes = {len(squad) for squad in squads}
    assert max(sizes) <= size
    assert max(sizes) - min(sizes) <= 1


@settings(max_examples=25)
@given(cohorts(8), st.integers(2, 4))
def test_no_other_division_is_better(cohort: list[Golfer], size: int) -> None:
    squads = make_squads(cohort, size)
    ways = divisions([g.key for g in cohort], [len(squad) for squad in squads])
    left, lone, spread = worth(cohort, squads)
    best = min(worth(cohort, way) for way in ways)
    assert (left, lone) == best[:2]
    assert spread <= best[2] + CLOSE_ENOUGH_TENTHS + 1e-9


@settings(max_examples=25)
@given(cohorts(12), st.data())
def test_pairs_are_honoured_in_whatever_order_golfers_come(
    cohort: list[Golfer], data: st.DataObject
) -> None:
    keys = [g.key for g in cohort]
    pairs = st.tuples(st.sampled_from(keys), st.sampled_from(keys)).filter(lambda p: p[0] != p[1])
    few = st.lists(pairs, max_size=2) if len(keys) > 1 else st.just([])
    together, apart = data.draw(few), data.draw(few)
    try:
        squads = make_squads(cohort, 4, together, apart)
    except NoSquads:
        return
    seat = {key: number for number, squad in enumerate(squads) for key in squad}
    assert all(seat[one] == seat[other] for one, other in together)
    assert all(seat[one] != seat[other] for one, other in apart)
    assert make_squads(cohort[::-1], 4, together, apart) == squads


def test_left_handers_share_a_squad_and_handicaps_are_evened_out() -> None:
    cohort = [golfer(f"g{n}", 20 * n, left=n in (0, 11)) for n in range(12)]
    squads = make_squads(cohort)
    in_order = tuple(tuple(g.key for g in cohort[n : n + 4]) for n in (0, 4, 8))
    assert worth(cohort, squads)[0] == 1
    assert spread_of(cohort, in_order) == 160
    assert spread_of(cohort, squads) <= CLOSE_ENOUGH_TENTHS


def test_two_minors_are_not_left_alone() -> None:
    cohort = [golfer(f"g{n}", 20 * n, minor=n in (0, 1)) for n in range(8)]
    assert worth(cohort, make_squads(cohort))[1] == 0


def test_a_golfer_without_a_handicap_counts_as_the_median() -> None:
    cohort = [golfer("a", 100), golfer("b", 200), golfer("c", 600), golfer("d", None)]
    assert spread_of(cohort, (("a", "c"), ("b", "d"))) == 150
    assert make_squads(cohort, 2) == (("a", "c"), ("b", "d"))


def test_a_limit_on_work_gives_the_same_squads_again() -> None:
    cohort = [golfer(f"g{n:02}", n * n % 540, left=n % 9 == 0) for n in range(24)]
    squads = make_squads(cohort)
    assert worth(cohort, squads)[0] == 1
    assert make_squads(cohort) == squads


def test_nobody_makes_no_squads() -> None:
    assert make_squads([]) == ()


FIVE = [golfer(key) for key in "abcde"]


@pytest.mark.parametrize(
    ("size", "together", "apart", "words"),
    [
        (5, [], [], "1 to 4 golfers, not 5"),
        (0, [], [], "1 to 4 golfers, not 0"),
        (4, [("a", "z")], [], "z is not one of the golfers"),
        (4, [], [("z", "a")], "z is not one of the golfers"),
        (
            4,
            [("a", "b"), ("b", "c"), ("c", "d")],
            [],
            "a, b, c and d are to be together.* 3 places",
        ),
        (4, [("a", "b"), ("b", "c")], [("c", "a")], "a and c are to be both together and apart"),
        (4, [], [("a", "b"), ("b", "c"), ("c", "a")], "5 golfers cannot make squads of 3 and 2"),
    ],
)
def test_squads_that_cannot_be_made_say_why(
    size: int, together: list[tuple[str, str]], apart: list[tuple[str, str]], words: str
) -> None:
    with pytest.raises(NoSquads, match=words):
        make_squads(FIVE, size, together, apart)


def test_a_golfer_listed_twice_is_refused() -> None:
    with pytest.raises(NoSquads, match="listed twice"):
        make_squads([*FIVE, FIVE[0]])
