import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.statistics.gapping import HOLE_M, STEP_M, Apart, Carry, gaps

CARRIES = st.lists(
    st.builds(lambda club, value: Carry(str(club), value), st.integers(), st.floats(0, 300)),
    max_size=14,
)


def sure(club: str, value: float, worth: float) -> Carry:
    return Carry(club, value, (value - worth, value + worth))


@given(CARRIES)
def test_gaps_run_from_the_shortest_club_to_the_longest(carries: list[Carry]) -> None:
    found = gaps(carries)
    assert len(found) == max(0, len(carries) - 1)
    assert all(gap.size >= 0 for gap in found)
    spread = [carry.value for carry in carries] or [0.0]
    assert sum(gap.size for gap in found) == pytest.approx(max(spread) - min(spread))


@pytest.mark.parametrize(
    ("size", "worth", "apart"),
    [
        (4.0, 1.0, Apart.OVERLAP),
        (4.0, 6.0, Apart.UNSURE),
        (13.0, 2.0, Apart.STEP),
        (13.0, 9.0, Apart.UNSURE),
        (26.0, 3.0, Apart.HOLE),
        (26.0, 9.0, Apart.UNSURE),
    ],
)
def test_a_gap_is_named_only_past_the_worth_of_both(
    size: float, worth: float, apart: Apart
) -> None:
    (gap,) = gaps([sure("8i", 130, worth), sure("7i", 130 + size, worth)])
    assert (gap.shorter.club, gap.longer.club, gap.apart) == ("8i", "7i", apart)


def test_uneven_arms_are_joined_as_they_point() -> None:
    """3-4-5: the arms toward each other below, the arms away from each other above."""
    (gap,) = gaps([Carry("8i", 100, (88, 103)), Carry("7i", 120, (116, 125))])
    assert gap.interval == pytest.approx((15, 33))


def test_of_a_single_shot_no_gap_is_known() -> None:
    (gap,) = gaps([Carry("8i", 130), sure("7i", 132, 1)])
    assert (gap.interval, gap.apart, gap.is_small) == (None, Apart.UNSURE, True)
    assert STEP_M < HOLE_M
