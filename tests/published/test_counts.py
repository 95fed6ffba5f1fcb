"""The interval of a count against its published table and another implementation."""

import pytest
from scipy import stats

from assessments.statistics.counts import events

# F. Garwood, Biometrika 28 (1936) 437-442, limits of the expectation at 2.5 % a side
GARWOOD = [(0, 0.0, 3.689), (1, 0.0253, 5.572), (5, 1.623, 11.668), (10, 4.795, 18.390)]


@pytest.mark.parametrize(("count", "low", "high"), GARWOOD)
def test_the_interval_of_a_count_is_garwoods(count: int, low: float, high: float) -> None:
    found = events(count, 1)
    assert (found.low, found.high) == pytest.approx((low, high), abs=6e-4)


@pytest.mark.parametrize("count", [0, 1, 4, 30])
def test_at_either_end_the_count_is_just_as_rare(count: int) -> None:
    found = events(count, 9)
    assert stats.poisson.cdf(count, 9 * found.high) == pytest.approx(0.025, rel=1e-9)
    if count:
        assert stats.poisson.sf(count - 1, 9 * found.low) == pytest.approx(0.025, rel=1e-9)


@pytest.mark.parametrize(("count", "exposure"), [(-1, 9), (1, 0)])
def test_what_is_no_count_is_refused(count: int, exposure: int) -> None:
    with pytest.raises(ValueError, match="from 0 up"):
        events(count, exposure)
