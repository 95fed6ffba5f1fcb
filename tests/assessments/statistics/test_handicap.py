"""What must hold of any score, index and course, whatever the numbers."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.statistics import handicap

TENTHS = st.integers(-50, 600).map(lambda tenths: Decimal(tenths) / 10)
RECORDS = st.lists(TENTHS, min_size=3, max_size=25)
INDEXES = st.integers(-100, 540).map(lambda tenths: Decimal(tenths) / 10)
HANDICAPS = st.integers(-20, 80)
SLOPES = st.integers(55, 155)
RATINGS = st.integers(600, 800).map(lambda tenths: Decimal(tenths) / 10)


@pytest.mark.parametrize(
    ("value", "rounded"),
    [("0.5", 1), ("-0.5", 0), ("-1.5", -1), ("2.4999", 2), ("-1.51", -2)],
)
def test_halves_go_upward(value: str, rounded: int) -> None:
    assert handicap.whole(Decimal(value)) == rounded


def test_a_differential_of_a_half_tenth_goes_upward_below_zero_too() -> None:
    """-0.25 and 0.25 are written by rounding to even, or away from 0, as something else."""
    assert handicap.score_differential(70, Decimal("70.25"), 113) == Decimal("-0.2")
    assert handicap.score_differential(70, Decimal("69.75"), 113) == Decimal("0.3")


@given(RECORDS)
def test_an_index_is_one_of_tenths_and_no_higher_than_the_maximum(record: list[Decimal]) -> None:
    index = handicap.handicap_index(record)
    assert index <= handicap.HIGHEST_INDEX
    assert Fraction(index * 10).denominator == 1


@given(RECORDS)
def test_the_order_of_the_latest_twenty_is_nothing(record: list[Decimal]) -> None:
    latest = record[-20:]
    assert handicap.handicap_index(sorted(latest)) == handicap.handicap_index(record)


@given(RECORDS, st.data())
def test_a_better_score_never_raises_an_index(record: list[Decimal], data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(record) - 1))
    better = [*record]
    better[place] -= 1
    assert handicap.handicap_index(better) <= handicap.handicap_index(record)


@given(INDEXES, INDEXES)
def test_caps_hold_an_index_and_never_raise_it(index: Decimal, low: Decimal) -> None:
    capped = handicap.capped_index(index, low)
    assert capped <= index
    assert capped <= low + 5
    if index <= low + 3:
        assert capped == index


@given(HANDICAPS)
def test_every_stroke_of_a_handicap_falls_somewhere(strokes: int) -> None:
    received = [handicap.strokes_on_hole(strokes, index) for index in range(1, 19)]
    assert sum(received) == strokes
    assert received == sorted(received, reverse=True)
    assert max(received) - min(received) <= 1


@given(INDEXES, SLOPES, RATINGS, st.integers(68, 74))
def test_a_player_who_plays_to_the_index_has_it_as_differential(
    index: Decimal, slope: int, rating: Decimal, par: int
) -> None:
    """Par and the course handicap make the score whose differential is the index."""
    course = handicap.course_handicap(index, slope, rating, par)
    assert Fraction(113, slope) * (par + course - Fraction(rating)) == Fraction(index)


@given(st.lists(st.integers(1, 15), min_size=18, max_size=18), HANDICAPS, st.data())
def test_an_adjusted_score_is_never_more_than_the_score(
    strokes: list[int], course: int, data: st.DataObject
) -> None:
    indexes = data.draw(st.permutations(range(1, 19)))
    adjusted = handicap.adjusted_gross([4] * 18, strokes, indexes, course)
    assert adjusted <= sum(strokes)
    assert adjusted <= 18 * 9


def test_an_exceptional_score_goes_into_the_record_with_its_reduction() -> None:
    record = [Decimal(20)] * 20
    found = handicap.with_score(record, Decimal("12.5"), Decimal(20))
    assert len(found) == 20
    assert (found[0], found[-1]) == (Fraction(19), Fraction("11.5"))


def test_without_an_index_nothing_is_exceptional() -> None:
    assert handicap.with_score([30, 31], 2, None)[0] == Fraction(30)


def test_a_side_plays_off_the_parts_of_its_handicaps() -> None:
    """Scramble of two: 35 % of 10 and 15 % of 24, whoever is named first."""
    parts = handicap.ALLOWANCES["scramble_2"].parts
    assert handicap.playing_handicap([24, 10], parts) == handicap.whole(Decimal("7.1"))


@pytest.mark.parametrize("pcc", [-2, 4])
def test_conditions_past_the_rule_are_refused(pcc: int) -> None:
    with pytest.raises(ValueError, match="-1 and \\+3"):
        handicap.score_differential(90, 72, 113, pcc)


@pytest.mark.parametrize("slope", [54, 156])
def test_a_slope_past_the_rule_is_refused(slope: int) -> None:
    with pytest.raises(ValueError, match="55 and 155"):
        handicap.course_handicap(10, slope, 72, 72)


def test_two_scores_make_no_index() -> None:
    with pytest.raises(ValueError, match="three scores"):
        handicap.handicap_index([10, 12])


def test_a_part_of_a_course_has_no_adjusted_score() -> None:
    with pytest.raises(ValueError, match="eighteen"):
        handicap.adjusted_gross([4] * 9, [5] * 9)


def test_strokes_are_not_allotted_by_a_stroke_index_twice() -> None:
    with pytest.raises(ValueError, match="each once"):
        handicap.adjusted_gross([4] * 18, [5] * 18, [1] * 18, 12)


def test_there_is_no_stroke_index_19() -> None:
    with pytest.raises(ValueError, match="1 and 18"):
        handicap.strokes_on_hole(12, 19)


def test_a_whole_index_and_differential_are_written_to_a_tenth() -> None:
    assert str(handicap.handicap_index([14, 15, 16, 17, 18])) == "14.0"
    assert str(handicap.score_differential(72, Decimal("72.0"), 113)) == "0.0"
    assert str(handicap.capped_index(Decimal("20.0"), 10)) == "15.0"
