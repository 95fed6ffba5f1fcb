"""Squads: what always holds, what is best on small cohorts, and what cannot be had."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lessons.planner.company.division import Golfer, Rules, best_place, worth_of
from lessons.planner.company.evening import evened
from lessons.planner.company.squads import CLOSE_ENOUGH_TENTHS, NoSquads, make_squads

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
    squads = make_squads(cohort, Rules(size))
    assert sorted(key for squad in squads for key in squad) == sorted(g.key for g in cohort)
    assert len(squads) == -(-len(cohort) // size)
    sizes = {len(squad) for squad in squads}
    assert max(sizes) <= size
    assert max(sizes) - min(sizes) <= 1


@settings(max_examples=25)
@given(cohorts(8), st.integers(2, 4), st.integers(0, 2))
def test_no_other_division_is_better(cohort: list[Golfer], size: int, served: int) -> None:
    """Squads with a left-hander count past those that the bays serve."""
    squads = make_squads(cohort, Rules(size, left_squads=served))
    ways = divisions([g.key for g in cohort], [len(squad) for squad in squads])
    best = min((max(0, left - served), *rest) for left, *rest in (worth(cohort, w) for w in ways))
    left, lone, spread = worth(cohort, squads)
    assert (max(0, left - served), lone) == best[:2]
    assert spread <= best[2] + CLOSE_ENOUGH_TENTHS + 1e-9


@st.composite
def cohorts_with_wishes(draw: st.DrawFn) -> tuple[list[Golfer], Rules]:
    cohort = draw(cohorts(12).filter(lambda found: len(found) > 1))
    keys = st.sampled_from([g.key for g in cohort])
    pairs = st.tuples(keys, keys).filter(lambda pair: pair[0] != pair[1])
    few = st.lists(pairs, max_size=2).map(tuple)
    return cohort, Rules(draw(st.integers(2, 4)), draw(few), draw(few))


def possible(cohort: list[Golfer], rules: Rules) -> bool:
    """By another way than the squad-maker's: join those kept together one after the other."""
    group = {g.key: {g.key} for g in cohort}
    for one, other in rules.together * len(cohort):
        group[one] |= group[other]
        group[other] |= group[one]
    fits = all(len(each) <= rules.size for each in group.values())
    return fits and not any(other in group[one] for one, other in rules.apart)


@settings(max_examples=40)
@given(cohorts_with_wishes())
def test_pairs_are_honoured_in_whatever_order_golfers_come(
    asked: tuple[list[Golfer], Rules],
) -> None:
    cohort, rules = asked
    if not possible(cohort, rules):
        with pytest.raises(NoSquads):
            make_squads(cohort, rules)
        return
    squads = make_squads(cohort, rules)
    seat = {key: number for number, squad in enumerate(squads) for key in squad}
    assert max(len(squad) for squad in squads) <= rules.size
    assert all(seat[one] == seat[other] for one, other in rules.together)
    assert all(seat[one] != seat[other] for one, other in rules.apart)
    assert make_squads(cohort[::-1], rules) == squads


@settings(max_examples=20)
@given(cohorts(10), st.randoms(use_true_random=False))
def test_other_names_for_the_same_golfers_change_nothing_that_counts(
    cohort: list[Golfer], shuffle: Random
) -> None:
    keys = [g.key for g in cohort]
    shuffle.shuffle(keys)
    renamed = [replace(g, key=key) for g, key in zip(cohort, keys, strict=True)]
    left, lone, spread = worth(cohort, make_squads(cohort, Rules()))
    *counted, other_spread = worth(renamed, make_squads(renamed, Rules()))
    assert counted == [left, lone]
    assert abs(spread - other_spread) <= CLOSE_ENOUGH_TENTHS + 1e-9


@settings(max_examples=40)
@given(cohorts_with_wishes(), st.integers(0, 3))
def test_evening_out_keeps_what_it_found(asked: tuple[list[Golfer], Rules], served: int) -> None:
    cohort, rules = asked
    rules = replace(rules, left_squads=served)
    keys = [g.key for g in cohort]
    before = [keys[at : at + rules.size] for at in range(0, len(keys), rules.size)]
    # Wishes that these squads do not keep are none that could be kept.
    was = worth_of(cohort, before, rules)
    kept = replace(
        rules,
        together=tuple(p for p in rules.together if p not in was.split),
        apart=tuple(p for p in rules.apart if p not in was.mixed),
    )
    after = evened(cohort, before, kept)
    now = worth_of(cohort, after, kept)
    assert [len(squad) for squad in after] == [len(squad) for squad in before]
    assert (now.split, now.mixed) == ((), ())
    assert now.left_squads <= max(was.left_squads, served)


def test_left_handers_share_a_squad_and_handicaps_are_evened_out() -> None:
    cohort = [golfer(f"g{n}", 20 * n, left=n in (0, 11)) for n in range(12)]
    squads = make_squads(cohort, Rules())
    in_order = tuple(tuple(g.key for g in cohort[n : n + 4]) for n in (0, 4, 8))
    assert worth(cohort, squads)[0] == 1
    assert spread_of(cohort, in_order) == 160
    assert spread_of(cohort, squads) <= CLOSE_ENOUGH_TENTHS


def test_left_handers_are_spread_like_anybody_where_bays_are_plentiful() -> None:
    """Together they would be the best four of eight."""
    cohort = [golfer(f"g{n}", 40 * n, left=n < 4) for n in range(8)]
    assert worth(cohort, make_squads(cohort, Rules())) == (1, 0, 160)
    left, _lone, spread = worth(cohort, make_squads(cohort, Rules(left_squads=2)))
    assert (left, spread <= CLOSE_ENOUGH_TENTHS) == (2, True)


def test_two_minors_are_not_left_alone() -> None:
    cohort = [golfer(f"g{n}", 20 * n, minor=n in (0, 1)) for n in range(8)]
    assert worth(cohort, make_squads(cohort, Rules()))[1] == 0


def test_a_minor_is_with_who_looks_after_them_and_then_not_alone() -> None:
    """The minors' handicaps would pair them with each other's mother, and with no other minor."""
    cohort = [golfer(f"g{n}", 20 * n, minor=n in (0, 7)) for n in range(8)]
    rules = Rules(cares=(("g0", "g1"), ("g7", "g6")))
    squads = make_squads(cohort, rules)
    found = worth_of(cohort, squads, rules)
    assert (found.split, found.lone_minors) == ((), ())
    assert spread_of(cohort, squads) == 0


def test_more_squads_are_made_before_a_wish_is_broken() -> None:
    apart = tuple(combinations("abc", 2))
    squads = make_squads(FIVE, Rules(apart=apart))
    assert sorted(len(squad) for squad in squads) == [1, 2, 2]


def test_uneven_squads_are_made_before_a_wish_is_broken() -> None:
    """Three pairs do not fit into two squads of three."""
    cohort = [golfer(key) for key in "abcdef"]
    rules = Rules(together=(("a", "b"), ("c", "d"), ("e", "f")))
    assert sorted(len(squad) for squad in make_squads(cohort, rules)) == [2, 4]


def test_a_golfer_without_a_handicap_counts_as_the_median() -> None:
    cohort = [golfer("a", 100), golfer("b", 200), golfer("c", 600), golfer("d", None)]
    assert spread_of(cohort, (("a", "c"), ("b", "d"))) == 150
    assert make_squads(cohort, Rules(2)) == (("a", "c"), ("b", "d"))


def test_a_limit_on_work_gives_the_same_squads_again() -> None:
    cohort = [golfer(f"g{n:02}", n * n % 540, left=n % 9 == 0) for n in range(24)]
    squads = make_squads(cohort, Rules())
    assert worth(cohort, squads)[0] == 1
    assert make_squads(cohort, Rules()) == squads


def test_nobody_makes_no_squads() -> None:
    assert make_squads([], Rules()) == ()


FIVE = [golfer(key) for key in "abcde"]


@pytest.mark.parametrize(
    ("rules", "words"),
    [
        (Rules(5), "1 to 4 golfers, not 5"),
        (Rules(0), "1 to 4 golfers, not 0"),
        (Rules(together=(("a", "z"),)), "z is not one of the golfers"),
        (Rules(apart=(("z", "a"),)), "z is not one of the golfers"),
        (
            Rules(3, together=(("a", "b"), ("b", "c"), ("c", "d"))),
            "a, b, c and d are to be together, and a squad has 3 places",
        ),
        (
            Rules(together=(("a", "b"), ("b", "c")), apart=(("c", "a"),)),
            "c and a are to be both together and apart",
        ),
        (Rules(cares=(("a", "b"),), apart=(("a", "b"),)), "a and b are to be both"),
    ],
)
def test_squads_that_cannot_be_made_say_why(rules: Rules, words: str) -> None:
    with pytest.raises(NoSquads, match=words):
        make_squads(FIVE, rules)


def test_a_golfer_listed_twice_is_refused() -> None:
    with pytest.raises(NoSquads, match="listed twice"):
        make_squads([*FIVE, FIVE[0]], Rules())


@pytest.mark.parametrize(
    ("newcomer", "rules", "place"),
    [
        (golfer("z", minor=True), Rules(), 0),
        (golfer("z", left=True), Rules(), 1),
        (golfer("z", left=True), Rules(left_squads=2), 2),
        (golfer("z"), Rules(), 2),
        (golfer("z"), Rules(together=(("a", "z"),)), 0),
        (golfer("z"), Rules(apart=(("z", "e"), ("z", "a"))), 1),
        (golfer("z"), Rules(2), 2),
        (golfer("z"), Rules(1), None),
    ],
)
def test_a_newcomer_is_put_where_they_fit_best(
    newcomer: Golfer, rules: Rules, place: int | None
) -> None:
    """Three squads: one of two with a minor, one of two with a left-hander, one of one."""
    seated = [golfer("a", minor=True), golfer("b"), golfer("c", left=True), *map(golfer, "de")]
    squads: list[list[str]] = [["a", "b"], ["c", "d"], ["e"]]
    assert best_place([*seated, newcomer], squads, "z", rules) == place
