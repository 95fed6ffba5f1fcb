import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.statistics.intervals import mean, proportion, spread

COUNTS = st.integers(1, 200).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
SHOTS = st.lists(st.floats(-300, 300), min_size=2, max_size=10)


@given(COUNTS)
def test_a_share_lies_in_its_interval_and_both_within_0_and_1(count: tuple[int, int]) -> None:
    share = proportion(*count)
    assert 0 <= share.low <= share.value <= share.high <= 1
    assert share.standard_uncertainty > 0


@given(COUNTS)
def test_misses_mirror_hits(count: tuple[int, int]) -> None:
    hits, misses = proportion(*count), proportion(count[1] - count[0], count[1])
    assert (hits.low, hits.high) == pytest.approx((1 - misses.high, 1 - misses.low), abs=1e-12)


@given(COUNTS)
def test_ten_times_the_putts_say_more(count: tuple[int, int]) -> None:
    few, many = proportion(*count), proportion(10 * count[0], 10 * count[1])
    assert many.standard_uncertainty < few.standard_uncertainty


@pytest.mark.parametrize(("successes", "trials"), [(0, 0), (-1, 5), (6, 5)])
def test_counts_that_cannot_be(successes: int, trials: int) -> None:
    with pytest.raises(ValueError, match="Successes"):
        proportion(successes, trials)


@given(SHOTS)
def test_the_mean_lies_in_the_middle_of_its_interval(shots: list[float]) -> None:
    estimate = mean(shots, resolution=1.0)
    assert estimate.low < estimate.value < estimate.high
    assert math.isclose(estimate.low + estimate.high, 2 * estimate.value, abs_tol=1e-6)


@given(SHOTS, st.floats(-100, 100))
def test_a_shift_moves_the_mean_and_not_its_worth(shots: list[float], shift: float) -> None:
    moved, stayed = mean([shot + shift for shot in shots], 1.0), mean(shots, 1.0)
    assert moved.value == pytest.approx(stayed.value + shift, abs=1e-9)
    assert moved.standard_uncertainty == pytest.approx(stayed.standard_uncertainty, abs=1e-9)


@given(SHOTS)
def test_a_spread_lies_in_its_interval(shots: list[float]) -> None:
    estimate = spread(shots, resolution=1.0)
    assert 0 <= estimate.low <= estimate.value <= estimate.high


def test_shots_that_read_alike_are_still_in_doubt() -> None:
    assert mean([140.0] * 5, resolution=1.0).standard_uncertainty > 0


@pytest.mark.parametrize("measure", [mean, spread])
def test_one_shot_does_not_scatter(measure: object) -> None:
    assert callable(measure)
    with pytest.raises(ValueError, match="two values"):
        measure([140.0], 1.0)
