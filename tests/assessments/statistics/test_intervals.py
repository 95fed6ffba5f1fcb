import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.statistics.intervals import (
    Estimate,
    mean,
    median,
    proportion,
    robust_spread,
    spread,
)

COUNTS = st.integers(1, 200).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
SHOTS = st.lists(st.floats(-300, 300), min_size=2, max_size=10)
SIX_OR_MORE = st.lists(st.floats(-300, 300), min_size=6, max_size=30)


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


@given(SIX_OR_MORE)
def test_a_median_and_a_robust_spread_lie_in_their_intervals(shots: list[float]) -> None:
    for estimate in (median(shots, 1.0), robust_spread(shots, 1.0)):
        assert estimate.low <= estimate.value <= estimate.high
        assert estimate.standard_uncertainty > 0


@given(SIX_OR_MORE)
def test_mirrored_shots_have_the_mirrored_median(shots: list[float]) -> None:
    one, other = median(shots, 0.0), median([-shot for shot in shots], 0.0)
    assert (other.low, other.high) == pytest.approx((-one.high, -one.low), abs=1e-9)
    mirrored = robust_spread([-shot for shot in shots], 0.0).value
    assert mirrored == pytest.approx(robust_spread(shots, 0.0).value, abs=1e-9)


@given(SIX_OR_MORE, st.floats(-1e6, 1e6))
def test_one_wild_shot_leaves_the_median_among_the_others(shots: list[float], wild: float) -> None:
    estimate = median([*shots, wild], 0.0)
    assert min(shots) <= estimate.value <= max(shots)


@given(SIX_OR_MORE, st.floats(1e4, 1e9))
def test_one_wild_shot_cannot_widen_the_robust_spread_at_will(
    shots: list[float], wild: float
) -> None:
    assert robust_spread([*shots, wild], 0.0).value <= 2.3 * (max(shots) - min(shots)) + 1e-9


def test_rounding_widens_a_median_of_shots_that_read_alike() -> None:
    estimate = median([140.0] * 8, resolution=1.0)
    assert estimate.low < 140.0 < estimate.high


@pytest.mark.parametrize("measure", [median, robust_spread])
def test_five_shots_are_too_few(measure: Callable[[list[float], float], Estimate]) -> None:
    with pytest.raises(ValueError, match="six"):
        measure([140.0] * 5, 1.0)


@pytest.mark.parametrize("measure", [spread, robust_spread])
def test_readings_alike_do_not_make_a_spread_of_none_certain(
    measure: Callable[[list[float], float], Estimate],
) -> None:
    estimate = measure([100.0] * 6, 1.0)
    assert (estimate.value, estimate.low) == (0.0, 0.0)
    assert estimate.high == pytest.approx(1.96 / math.sqrt(12), abs=0.001)
