"""The uncertainty of the measures against other ways of finding it."""

from functools import partial
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from uncertainties import ufloat, umath

from assessments.impact.geometry import StillGeometry, evaluate, measure_names
from assessments.impact.landmarks import PLACEMENT_UNMARKED_MM, Landmark
from assessments.impact.measures import measure_still
from assessments.impact.uncertainty import Model, first_order, jacobian, monte_carlo
from tests.assessments.impact.marks import mirrored, moved, still

Array = NDArray[np.float64]

GEOMETRY = moved(still(), ground_contact=(641.0, 822.0), ground_a=(400.0, 812.0))
MARKS = tuple(GEOMETRY.landmarks)


def inputs(geometry: StillGeometry) -> tuple[Model, Array, Array]:
    marks = tuple(geometry.landmarks)
    x = np.array([geometry.mirrored(mark) for mark in marks]).ravel()
    return partial(evaluate, marks), x, np.full(x.size, geometry.click_sd_px)


def test_complex_step_equals_central_differences() -> None:
    model, x, _ = inputs(GEOMETRY)
    h = 1e-4 * np.eye(x.size)
    central = (model(x + h) - model(x - h)) / 2e-4
    assert jacobian(model, x) == pytest.approx(central, rel=1e-6, abs=1e-8)


def test_complex_step_equals_the_closed_form() -> None:
    """Without roll, r = drop to the ground over height of the forearm."""
    geometry = moved(still(), ground_a=None, ground_b=None)
    marks, (model, x, _) = tuple(geometry.landmarks), inputs(geometry)
    j = jacobian(model, x)[:, 0]
    d = 42.67 * 0.4
    r = (769.0 + 42.67 / 2) / (255.0 * np.cos(np.radians(5)))
    by_wrist, by_elbow = (j[2 * marks.index(m)] for m in (Landmark.LEAD_WRIST, Landmark.LEAD_ELBOW))
    assert [by_wrist, by_elbow] == pytest.approx([(1 + r) / d, -r / d], rel=1e-12)


def second_implementation() -> dict[str, Any]:
    """The definitions once more, point by point, with numbers that carry their uncertainty."""
    p = {
        mark: np.array([ufloat(u, 1.5), ufloat(v, 1.5)])
        for mark, (u, v) in ((m, GEOMETRY.mirrored(m)) for m in MARKS)
    }
    span = p[Landmark.BALL_EDGE_B] - p[Landmark.BALL_EDGE_A]
    centre = (p[Landmark.BALL_EDGE_A] + p[Landmark.BALL_EDGE_B]) / 2
    d = umath.hypot(*span)
    gu, gv = p[Landmark.GROUND_B] - p[Landmark.GROUND_A]
    roll = umath.atan2(gv, gu)
    c, s = umath.cos(roll), umath.sin(roll)

    def place(mark: Landmark) -> tuple[Any, Any]:
        du, dv = p[mark] - centre
        return du * c + dv * s, du * s - dv * c

    (xe, ye), (xw, yw) = place(Landmark.LEAD_ELBOW), place(Landmark.LEAD_WRIST)
    (xg, yg), (xh, yh) = place(Landmark.GRIP_END), place(Landmark.SHAFT_LOW)
    xs, ys = place(Landmark.LEAD_SHOULDER)
    ground = place(Landmark.GROUND_CONTACT)[1]
    phi, lam = umath.atan2(xe - xw, ye - yw), umath.atan2(xg - xh, yg - yh)
    foot = xw + (ground - yw) * umath.tan(phi)
    return {
        "forearm_line_offset_bd": foot / d + 0.5,
        "forearm_lean_deg": umath.degrees(phi),
        "shaft_lean_deg": umath.degrees(lam),
        "forearm_shaft_angle_deg": umath.degrees(lam - phi),
        "hands_ahead_bd": xw / d,
        # the shoulder's distance from the grip line, by turning the line upright
        "grip_line_clearance_bd": -((xs - xg) * umath.cos(lam) - (ys - yg) * umath.sin(lam)) / d,
        "ball_position_bd": place(Landmark.LEAD_HEEL)[0] / d,
        "roll_deg": umath.degrees(roll),
        "ball_diameter_px": d,
    }


def test_first_order_equals_the_uncertainties_package() -> None:
    measures = measure_still(GEOMETRY).measures
    second = second_implementation()
    assert set(second) == set(measure_names(MARKS))
    for name, expected in second.items():
        assert measures[name].value == pytest.approx(expected.n, abs=1e-9)
        assert measures[name].standard_uncertainty == pytest.approx(expected.s, rel=1e-9)


def test_monte_carlo_agrees_with_first_order_in_its_region() -> None:
    model, x, sd = inputs(still(px_per_mm=0.7))
    by_draws = monte_carlo(
        model, lambda rng, n: x + sd * rng.standard_normal((n, x.size)), draws=100_000
    )
    by_rule = first_order(model, x, sd)
    assert by_draws.standard_uncertainty == pytest.approx(by_rule.standard_uncertainty, rel=0.02)
    assert by_draws.high - by_draws.low == pytest.approx(by_rule.high - by_rule.low, rel=0.02)


def noisy(x: Array, sd: Array, count: int) -> Array:
    return x + sd * np.random.default_rng(7).standard_normal((count, x.size))


def test_the_95_percent_interval_of_a_noisy_still_covers_the_truth() -> None:
    """12 000 stills of the base golfer, each with the interval its own clicks give."""
    model, x, sd = inputs(still())
    held = []
    for stills in np.split(noisy(x, sd, 12_000), 12):
        spread = first_order(model, stills, sd)
        held.append((spread.low <= model(x)) & (model(x) <= spread.high))
    shares = np.concatenate(held).mean(axis=0)
    assert shares.shape == (9,)
    assert np.all((shares >= 0.935) & (shares <= 0.965)), shares


def share_within(geometry: StillGeometry) -> Array:
    """Share of noisy stills whose measures lie in the first-order interval about the truth."""
    model, x, sd = inputs(geometry)
    spread, values = first_order(model, x, sd), model(noisy(x, sd, 200_000))
    shares: Array = ((spread.low <= values) & (values <= spread.high)).mean(axis=0)
    return shares


def test_the_first_order_interval_holds_95_percent_of_noisy_stills() -> None:
    shares = share_within(still())
    assert np.all((shares >= 0.935) & (shares <= 0.965)), shares
    assert float(shares[0]) == pytest.approx(0.945, abs=0.002)


def test_first_order_fails_where_the_ball_is_small() -> None:
    """With clicks of a fifth of a ball the offset's interval is too narrow: hence the rule."""
    assert float(share_within(still(px_per_mm=0.19))[0]) < 0.935


@pytest.mark.parametrize(
    ("click_sd_px", "px_per_mm", "method"),
    [
        (1.5, 0.4, "first order"),
        (1.70, 0.4, "first order"),
        (1.72, 0.4, "Monte Carlo"),
        (1.5, 0.30, "Monte Carlo"),
    ],
)
def test_method_by_ball_size(click_sd_px: float, px_per_mm: float, method: str) -> None:
    measures = measure_still(still(click_sd_px=click_sd_px, px_per_mm=px_per_mm)).measures
    assert {m.method for m in measures.values()} == {method}


def test_method_by_forearm_length() -> None:
    """With unmarked joints 20 standard deviations are about 86 px; the base forearm has 102."""
    unmarked = still(placement_sd_mm=PLACEMENT_UNMARKED_MM)
    long, short = measure_still(unmarked), measure_still(moved(unmarked, lead_elbow=(687.0, 412.0)))
    assert long.measures["forearm_lean_deg"].method == "first order"
    assert short.measures["forearm_lean_deg"].method == "Monte Carlo"


def test_monte_carlo_is_repeatable_and_wider() -> None:
    geometry = still(px_per_mm=0.22)
    offset = measure_still(geometry).measures["forearm_line_offset_bd"]
    rule = first_order(*inputs(geometry))
    assert measure_still(geometry).measures["forearm_line_offset_bd"] == offset
    assert 1.03 < (offset.high - offset.low) / float(rule.high[0] - rule.low[0]) < 1.25
    assert offset.low < offset.value < offset.high


def test_shares_of_the_variance() -> None:
    """Wrist 60 %, elbow 34 %, ball 6 % of the offset's variance on the base still."""
    model, x, _ = inputs(still())
    parts = (jacobian(model, x)[:, 0] ** 2).reshape(-1, 2).sum(axis=1)
    share = dict(zip(still().landmarks, parts / parts.sum(), strict=True))
    ball = share[Landmark.BALL_EDGE_A] + share[Landmark.BALL_EDGE_B]
    found = [share[Landmark.LEAD_WRIST], share[Landmark.LEAD_ELBOW], ball]
    assert found == pytest.approx([0.60, 0.34, 0.06], abs=0.01)


def test_a_left_hander_draws_the_same_numbers() -> None:
    small = still(px_per_mm=0.22)
    stills = (small, mirrored(small))
    offsets = [measure_still(g).measures["forearm_line_offset_bd"].low for g in stills]
    assert offsets[0] == pytest.approx(offsets[1], abs=1e-9)
