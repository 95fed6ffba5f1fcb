"""How much one of a unit is, in the unit that everything is stored in."""

from __future__ import annotations

from collections.abc import Mapping

# Exact: the international yard and foot of 1959.
YARD_M, FOOT_M = 0.9144, 0.3048
# Metres, metres a second, degrees, turns a minute.
SIZES: Mapping[str, float] = {
    "m": 1.0,
    "yd": YARD_M,
    "ft": FOOT_M,
    "m/s": 1.0,
    "mph": 1760 * YARD_M / 3600,
    "km/h": 1 / 3.6,
    "°": 1.0,
    "rpm": 1.0,
}
