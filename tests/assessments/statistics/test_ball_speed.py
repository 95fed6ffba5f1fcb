import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessments.statistics.ball_speed import HIGHEST_READ_RATIO, ball_to_club_ratio

RESTITUTIONS, MASSES = st.floats(0, 1), st.floats(10, 1000)


@given(RESTITUTIONS, MASSES, MASSES)
def test_no_strike_doubles_the_speed(restitution: float, ball: float, head: float) -> None:
    assert 0 < ball_to_club_ratio(restitution, ball, head) < 2


@given(st.floats(0, 0.99), MASSES, MASSES)
def test_a_livelier_face_and_a_heavier_head_give_more(
    restitution: float, ball: float, head: float
) -> None:
    ratio = ball_to_club_ratio(restitution, ball, head)
    assert ball_to_club_ratio(restitution + 0.01, ball, head) > ratio
    assert ball_to_club_ratio(restitution, ball, head * 1.01) > ratio


def test_readings_may_be_a_little_apart_from_the_truth() -> None:
    assert ball_to_club_ratio() < HIGHEST_READ_RATIO < 1.6


@given(st.floats(0, 89))
def test_loft_takes_speed_away(loft_deg: float) -> None:
    assert ball_to_club_ratio(loft_deg=loft_deg + 1) < ball_to_club_ratio(loft_deg=loft_deg)


@pytest.mark.parametrize("wrong", [{"restitution": 1.1}, {"ball_mass_g": 0}, {"head_mass_g": -1}])
def test_bodies_that_cannot_be(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="Restitution"):
        ball_to_club_ratio(**wrong)


def test_a_loft_that_cannot_be() -> None:
    with pytest.raises(ValueError, match="Loft"):
        ball_to_club_ratio(loft_deg=91)
