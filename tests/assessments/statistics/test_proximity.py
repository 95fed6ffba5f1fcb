import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from assessments.statistics.proximity import BANDS, points, score

LEAVES = st.floats(0, 100)
LENGTHS = st.sampled_from([8, 10, 20, 40])
BALLS = st.lists(st.sampled_from([0, 15, 30, 45, 60, 75, 90, 100]), min_size=2, max_size=10)


@given(LEAVES, LEAVES, LENGTHS)
def test_a_nearer_ball_never_scores_less(one: float, other: float, length: float) -> None:
    near, far = sorted((one, other))
    assert 100 >= points(near, length) >= points(far, length) >= 0


@given(st.lists(BALLS, min_size=1, max_size=3), st.randoms(use_true_random=False))
def test_the_order_of_balls_and_tasks_does_not_count(
    tasks: list[list[int]], chance: random.Random
) -> None:
    other = [chance.sample(balls, len(balls)) for balls in chance.sample(tasks, len(tasks))]
    ours, theirs = score(tasks), score(other)
    assert (ours.value, ours.low, ours.high) == pytest.approx(
        (theirs.value, theirs.low, theirs.high)
    )


@given(st.lists(BALLS, min_size=1, max_size=3))
def test_a_score_lies_in_its_interval_and_both_within_0_and_100(tasks: list[list[int]]) -> None:
    found = score(tasks)
    assert 0 <= found.low <= found.value <= found.high <= 100
    assert found.standard_uncertainty > 0


@given(BALLS, st.integers(0, 9), st.floats(0, 3))
def test_moving_one_ball_nearer_never_lowers_the_score(
    balls: list[int], which: int, metres: float
) -> None:
    which %= len(balls)
    nearer = [*balls[:which], max(balls[which], points(metres, 10)), *balls[which + 1 :]]
    assert score([nearer]).value >= score([balls]).value


@pytest.mark.parametrize("length", [8, 10, 20, 40])
def test_the_edge_of_a_band_is_within_it(length: int) -> None:
    assert [points(share * length, length) for share, _ in BANDS] == [worth for _, worth in BANDS]


def test_only_a_holed_ball_is_worth_all() -> None:
    assert (points(0, 10), points(0.01, 10), points(5.01, 10)) == (100, 90, 0)


def test_the_interval_of_one_task_is_students() -> None:
    balls = [90, 60, 45, 75, 15, 30]
    theirs = stats.ttest_1samp(balls, 0).confidence_interval(0.95)
    ours = score([balls])
    assert (ours.low, ours.high) == pytest.approx(tuple(theirs), rel=1e-9)


def test_the_degrees_of_freedom_of_two_tasks_are_welchs() -> None:
    one, other = [90, 60, 45, 75], [15, 30, 0, 45, 60, 90]
    # the mean of two means is half the difference of one and the other turned round
    turned = [-ball for ball in other]
    theirs = stats.ttest_ind(one, turned, equal_var=False).confidence_interval(0.95)
    ours = score([one, other])
    assert (ours.low, ours.high) == pytest.approx((theirs.low / 2, theirs.high / 2), rel=1e-9)


def test_a_task_weighs_the_same_with_more_balls() -> None:
    assert score([[90, 90], [30] * 10]).value == 60


def test_balls_in_one_band_scatter_within_it() -> None:
    assert score([[60, 60, 60]]).standard_uncertainty == pytest.approx(15 / math.sqrt(12 * 3))


@pytest.mark.parametrize("tasks", [[], [[90]], [[90, 60], []]])
def test_a_ball_alone_has_no_score(tasks: list[list[int]]) -> None:
    with pytest.raises(ValueError, match="two balls"):
        score(tasks)
