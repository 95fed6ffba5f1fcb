"""Who may come before whom: what holds for any values, and the cases that surprise."""

from hypothesis import given
from hypothesis import strategies as st

from assessments.wall.ranking import (
    Rank,
    Standing,
    Value,
    ranks,
    reversed_rank,
    standing_among,
    tied,
)

numbers = st.floats(-50, 50).map(lambda x: round(x, 2))
values = st.builds(Value, numbers, st.floats(0, 5).map(lambda x: round(x, 2)))
walls = st.lists(values, min_size=1, max_size=12)


def places(*rows: tuple[float, float]) -> list[str]:
    return [rank.words for rank in ranks([Value(*row) for row in rows])]


def test_what_lies_further_apart_than_twice_its_uncertainty_has_a_place_of_its_own() -> None:
    assert places((3.0, 0.1), (1.0, 0.1), (2.0, 0.1)) == ["3", "1", "2"]


def test_the_bound_itself_is_no_tie() -> None:
    assert tied(Value(0, 3), Value(9.99, 4))  # 2 * hypot(3, 4) = 10
    assert not tied(Value(0, 3), Value(10, 4))


def test_equal_values_are_tied_however_sure() -> None:
    assert places((1.0, 0.0), (1.0, 0.0)) == ["1 to 2", "1 to 2"]


def test_ties_are_no_groups() -> None:
    """The middle one is tied with both ends, which are not tied with each other."""
    assert places((0.0, 0.5), (1.0, 0.5), (2.0, 0.5)) == ["1 to 2", "1 to 3", "2 to 3"]


def test_an_unsure_still_reaches_over_its_neighbour() -> None:
    assert places((0.0, 0.1), (1.0, 0.1), (1.1, 5.0)) == ["1 to 2", "2 to 3", "1 to 3"]


@given(values, values)
def test_a_tie_is_symmetric(one: Value, other: Value) -> None:
    assert tied(one, other) == tied(other, one)


@given(st.data(), walls)
def test_places_do_not_depend_on_who_is_named_first(data: st.DataObject, wall: list[Value]) -> None:
    order = data.draw(st.permutations(range(len(wall))))
    found = ranks([wall[number] for number in order])
    assert [found[order.index(number)] for number in range(len(wall))] == ranks(wall)


@given(walls)
def test_every_value_has_a_place_and_order_is_kept(wall: list[Value]) -> None:
    found = ranks(wall)
    for one, rank in zip(wall, found, strict=True):
        before = sum(other.value < one.value for other in wall)
        assert 1 <= rank.first <= before + 1 <= rank.last <= len(wall)


@given(walls)
def test_places_that_do_not_overlap_are_certain(wall: list[Value]) -> None:
    found = list(zip(wall, ranks(wall), strict=True))
    for one, rank in found:
        for other, others in found:
            if rank.last < others.first:
                assert not tied(one, other)


@given(walls)
def test_from_the_highest_is_the_same_wall_upside_down(wall: list[Value]) -> None:
    upside_down = ranks([Value(-one.value, one.uncertainty) for one in wall])
    assert [reversed_rank(rank, len(wall)) for rank in ranks(wall)] == upside_down


@given(values, walls)
def test_the_reference_set_is_counted_whole(one: Value, reference: list[Value]) -> None:
    found = standing_among(one, reference)
    assert found.below + found.tied + found.above == len(reference)
    assert found.tied == sum(tied(one, other) for other in reference)


def test_a_still_among_a_reference_set() -> None:
    reference = [Value(0, 0.1), Value(1, 0.1), Value(3, 0.1)]
    assert standing_among(Value(1.1, 0.1), reference) == Standing(1, 1, 1)


def test_a_rank_in_words() -> None:
    assert (Rank(2, 4).words, Rank(3, 3).words) == ("2 to 4", "3")
    assert (Rank(2, 4).is_tied, Rank(3, 3).is_tied) == (True, False)
