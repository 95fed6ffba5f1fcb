"""The bound on ball speed against the laws that it comes from and the figure the trade knows."""

import numpy as np
import pytest

from assessments.statistics.ball_speed import (
    BALL_MASS_G,
    RESTITUTION,
    ball_to_club_ratio,
)


def after_the_strike(restitution: float, ball: float, head: float) -> tuple[float, float]:
    """Speeds of ball and head, before which the head had 1: momentum, and Newton's law of
    restitution, as two linear equations."""
    laws = np.array([[ball, head], [1.0, -1.0]])
    ball_speed, head_speed = np.linalg.solve(laws, np.array([head, restitution]))
    return float(ball_speed), float(head_speed)


@pytest.mark.parametrize("restitution", [0.0, 0.5, RESTITUTION, 1.0])
@pytest.mark.parametrize("head", [45.93, 200.0, 300.0])
def test_the_closed_form_solves_the_two_laws(restitution: float, head: float) -> None:
    ball_speed, _ = after_the_strike(restitution, BALL_MASS_G, head)
    assert ball_to_club_ratio(restitution, BALL_MASS_G, head) == pytest.approx(ball_speed)


def test_a_perfect_spring_keeps_the_energy() -> None:
    ball_speed, head_speed = after_the_strike(1.0, BALL_MASS_G, 200.0)
    assert ball_to_club_ratio(restitution=1.0) == pytest.approx(ball_speed)
    assert BALL_MASS_G * ball_speed**2 + 200 * head_speed**2 == pytest.approx(200)


def test_the_ball_is_the_heaviest_and_the_spring_the_strongest_that_the_rules_allow() -> None:
    """1.62 ounces avoirdupois of 28.3495 g: The Equipment Rules (2019), part 4."""
    assert pytest.approx(1.62 * 28.349523, abs=0.005) == BALL_MASS_G
    assert RESTITUTION == 0.83


def test_a_full_strike_gives_about_one_and_a_half() -> None:
    """The ratio at which the trade takes a driver for perfectly struck is 1.5, rounded."""
    assert round(ball_to_club_ratio(), 1) == 1.5
