"""How fast a ball can leave a club at all: a bound that tells a slip of the pen from a shot.

Club head and ball are taken as two free bodies that meet in one line. Momentum is kept, and the
speed at which they part is the coefficient of restitution times the speed at which they met
(Newton's law of restitution). Loft, spin and a strike off centre only take speed away.
"""

from __future__ import annotations

BALL_MASS_G = 45.93  # The Equipment Rules (The R&A and USGA, 2019), part 4: the maximum
# The spring-effect limit of The R&A and USGA before 2004, still the nominal ceiling; the rule in
# force limits a contact time instead.
RESTITUTION = 0.83
HEAD_MASS_G = 200.0  # assumed: a typical driver head
READING_TOLERANCE = 0.05  # assumed: how far two good readings can be apart from the truth together


def ball_to_club_ratio(
    restitution: float = RESTITUTION,
    ball_mass_g: float = BALL_MASS_G,
    head_mass_g: float = HEAD_MASS_G,
) -> float:
    """Ball speed over club-head speed of a full, central strike: (1 + e) / (1 + m/M).

    Raises
    ------
    ValueError
        If the restitution lies outside 0 to 1 or a mass is not above 0.
    """
    if not (0 <= restitution <= 1 and ball_mass_g > 0 and head_mass_g > 0):
        raise ValueError("Restitution lies between 0 and 1, and a mass is above 0.")
    return (1 + restitution) / (1 + ball_mass_g / head_mass_g)


HIGHEST_READ_RATIO = ball_to_club_ratio() * (1 + READING_TOLERANCE)
