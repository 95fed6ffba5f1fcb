"""How fast a ball can leave a club at all: a bound that tells a slip of the pen from a shot.

Club head and ball are taken as two free bodies that meet in one line. Momentum is kept, and the
speed at which they part is the coefficient of restitution times the speed at which they met
(Newton's law of restitution). A strike off centre only takes speed away. A head with more loft is
heavier, which gives a little, and meets the ball aslant, which takes more: what a driver gives
bounds them all.
"""

from __future__ import annotations

import math

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
    loft_deg: float = 0.0,
) -> float:
    """Ball speed over club-head speed of a full, central strike.

    Square to the face it is (1 + e) / (1 + m/M) times the cosine of the loft that is delivered.
    Along the face a solid ball that leaves rolling has 1 / (7/2 + m/M) times the sine (A. R.
    Penner, American Journal of Physics 69, 2001, 563-568, takes the strike apart in the same way).

    Raises
    ------
    ValueError
        If the restitution lies outside 0 to 1, a mass is not above 0 or the loft outside 0 to 90.
    """
    if not (0 <= restitution <= 1 and ball_mass_g > 0 and head_mass_g > 0):
        raise ValueError("Restitution lies between 0 and 1, and a mass is above 0.")
    if not 0 <= loft_deg <= 90:
        raise ValueError("Loft lies between 0 and 90 degrees.")
    loft, masses = math.radians(loft_deg), ball_mass_g / head_mass_g
    square = (1 + restitution) / (1 + masses) * math.cos(loft)
    return math.hypot(square, math.sin(loft) / (3.5 + masses))


HIGHEST_READ_RATIO = ball_to_club_ratio() * (1 + READING_TOLERANCE)
