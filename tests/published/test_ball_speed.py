"""The bound on ball speed against the laws that it comes from and the figure the trade knows."""

import json
from pathlib import Path

import numpy as np
import pytest

from assessments.statistics.ball_speed import (
    BALL_MASS_G,
    HIGHEST_READ_RATIO,
    RESTITUTION,
    ball_to_club_ratio,
)

EQUIPMENT = json.loads(Path(__file__).with_name("equipment.json").read_text())
# Heads as heavy as are made for their loft, and the least loft that is delivered with them, from
# memory: driver, 3-wood, 2-iron, 7-iron, wedge.
HEADS = [(215, 5), (230, 9), (240, 10), (275, 17), (310, 27)]


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
    ball = EQUIPMENT["ball_mass_maximum"]
    assert ball["g"] == BALL_MASS_G
    assert ball["oz_avoirdupois"] * 28.349523 == pytest.approx(BALL_MASS_G, abs=0.005)
    assert EQUIPMENT["restitution_ceiling"]["value"] == RESTITUTION


def test_a_full_strike_gives_about_one_and_a_half() -> None:
    """The ratio at which the trade takes a driver for perfectly struck is 1.5, rounded."""
    assert round(ball_to_club_ratio(), 1) == 1.5


@pytest.mark.parametrize(("head_g", "loft_deg"), HEADS)
def test_no_head_gives_more_than_the_bound(head_g: float, loft_deg: float) -> None:
    ratio = ball_to_club_ratio(head_mass_g=head_g, loft_deg=loft_deg)
    assert ratio < HIGHEST_READ_RATIO


def aslant(loft: float, restitution: float, ball: float, head: float) -> float:
    """Ball speed after an oblique strike in which the ball ends rolling on the face.

    Unknowns: ball and head square to the face and along it, and the speed of the ball's surface.
    The impulse along the face acts at the radius: momentum, and 5/2 of it as spin of the surface.
    """
    laws = np.array(
        [
            [ball, head, 0, 0, 0],
            [1, -1, 0, 0, 0],
            [0, 0, ball, head, 0],
            [0, 0, 1, -1, 1],
            [0, 0, -2.5, 0, 1],
        ]
    )
    c, s = np.cos(loft), np.sin(loft)
    after = np.linalg.solve(laws, np.array([head * c, restitution * c, head * s, 0, 0]))
    return float(np.hypot(after[0], after[2]))


@pytest.mark.parametrize("loft_deg", [0, 10.5, 34, 60])
def test_a_lofted_strike_solves_the_laws_of_both_directions(loft_deg: float) -> None:
    ours = ball_to_club_ratio(loft_deg=loft_deg)
    assert ours == pytest.approx(aslant(np.radians(loft_deg), RESTITUTION, BALL_MASS_G, 200.0))
