"""The propagation of uncertainty against the Guide (JCGM 100) and its Supplement 1 (JCGM 101)."""

import math
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from assessments.impact.uncertainty import first_order, jacobian, monte_carlo

Array = NDArray[Any]


def total(x: Array) -> Array:
    return x.sum(axis=-1, keepdims=True)


def test_end_gauge_calibration() -> None:
    """JCGM 100:2008 annex H.1: l = 50 000 838 nm, first-order u = 32 nm, parts as printed."""

    def end_gauge(x: Array) -> Array:
        l_s, d0, d1, d2, alpha_s, d_alpha, d_theta, theta_bar, delta = np.moveaxis(x, -1, 0)
        warmth = d_alpha * (theta_bar + delta) + alpha_s * d_theta
        return np.stack([l_s + d0 + d1 + d2 - l_s * warmth], axis=-1)

    x = np.array([50_000_623, 215, 0, 0, 11.5e-6, 0, 0, -0.1, 0])
    uniform, arcsine = 1 / math.sqrt(3), 1 / math.sqrt(2)
    sd = np.array(
        [25, 5.8, 3.9, 6.7, 2e-6 * uniform, 1e-6 * uniform, 0.05 * uniform, 0.2, 0.5 * arcsine]
    )
    parts = np.abs(jacobian(end_gauge, x)[:, 0]) * sd
    assert end_gauge(x)[0] == pytest.approx(50_000_838)
    assert round(float(first_order(end_gauge, x, sd).standard_uncertainty[0])) == 32
    assert parts[[0, 1, 2, 3, 5, 6]] == pytest.approx([25, 5.8, 3.9, 6.7, 2.9, 16.6], abs=0.05)


def test_sum_of_four_normal_inputs() -> None:
    """JCGM 101:2008, 9.2.2: u = 2.0, 95 % interval [-3.92, 3.92]."""
    spread = monte_carlo(total, lambda rng, n: rng.standard_normal((n, 4)), draws=1_000_000)
    assert float(spread.standard_uncertainty[0]) == pytest.approx(2.0, abs=0.01)
    assert [float(spread.low[0]), float(spread.high[0])] == pytest.approx([-3.92, 3.92], abs=0.02)


def test_sum_of_four_rectangular_inputs() -> None:
    """JCGM 101:2008, 9.2.3: u = 2.0, 95 % interval [-3.88, 3.88] where first order has 3.92."""
    half = math.sqrt(3)
    spread = monte_carlo(total, lambda rng, n: rng.uniform(-half, half, (n, 4)), draws=1_000_000)
    guide = first_order(total, np.zeros(4), np.ones(4))
    assert float(spread.standard_uncertainty[0]) == pytest.approx(2.0, abs=0.01)
    assert [float(spread.low[0]), float(spread.high[0])] == pytest.approx([-3.88, 3.88], abs=0.015)
    assert float(guide.high[0]) == pytest.approx(3.92, abs=0.001)


@pytest.mark.parametrize(
    ("ends", "sigma", "angle_deg", "u_deg"),
    [
        ([512.0, 210.0, 548.0, 700.0], 1.5, 85.79806364184037, 0.24737958383649405),
        ([100.0, 100.0, 200.0, 200.0], 1.0, 45.0, 0.5729577951308232),
    ],
)
def test_direction_through_two_points(
    ends: list[float], sigma: float, angle_deg: float, u_deg: float
) -> None:
    """GUM 5.1.2 in closed form: equal sigma on both ends gives sqrt(2) sigma / length."""

    def angle(x: Array) -> Array:
        slope = (x[..., 3] - x[..., 1]) / (x[..., 2] - x[..., 0])
        return np.stack([np.degrees(1.0) * np.arctan(slope)], axis=-1)

    spread = first_order(angle, np.array(ends), np.full(4, sigma))
    assert angle(np.array(ends))[0] == pytest.approx(angle_deg)
    assert float(spread.standard_uncertainty[0]) == pytest.approx(u_deg, rel=1e-9)


def intersection(x: Array) -> Array:
    """Where two lines meet, each through two points: the construction behind the ground offset."""
    x1, y1, x2, y2, x3, y3, x4, y4 = np.moveaxis(x, -1, 0)
    first, second = x1 * y2 - y1 * x2, x3 * y4 - y3 * x4
    det = (x1 - x2) * (y3 - y4) - (y1 - y2) * (x3 - x4)
    u = (first * (x3 - x4) - (x1 - x2) * second) / det
    v = (first * (y3 - y4) - (y1 - y2) * second) / det
    return np.stack([u, v], axis=-1)


# No book gives this example. Points from the formula, covariance (uu, vv, uv) by finite
# differences, found equal to 1e-5 by the GUM Tree Calculator (Python package GTC).
MEETING_LINES = [
    ([100, 100, 300, 300, 100, 300, 300, 100], [1] * 8, [200, 200], [0.5, 0.5, 0.0]),
    (
        [400, 120, 520, 640, 380, 650, 900, 600],
        [2] * 8,
        [519.218523878437, 636.6136034732272],
        [4.10499739267949, 2.3854921512750917, 0.159322122575911],
    ),
    ([0, 0, 10, 0, 3, -5, 3, 5], [0.1] * 8, [3, 0], [0.005, 0.0058, 0.0]),
    (
        [512, 210, 548, 700, 470, 690, 860, 715],
        [1.5, 1.5, 3, 3, 2, 2, 2, 2],
        [547.6309148264984, 694.9763406940064],
        [8.963224026387772, 2.798466742224492, 0.776510269028584],
    ),
]


@pytest.mark.parametrize(("ends", "sigma", "point", "covariance"), MEETING_LINES)
def test_two_lines_meeting(
    ends: list[float], sigma: list[float], point: list[float], covariance: list[float]
) -> None:
    x, sd = np.array(ends, dtype=float), np.array(sigma, dtype=float)
    j = jacobian(intersection, x)
    found = j.T @ np.diag(sd**2) @ j
    assert intersection(x) == pytest.approx(point)
    assert [found[0, 0], found[1, 1], found[0, 1]] == pytest.approx(covariance, rel=1e-5, abs=1e-7)
    assert first_order(intersection, x, sd).standard_uncertainty == pytest.approx(
        np.sqrt(covariance[:2]), rel=1e-5
    )
