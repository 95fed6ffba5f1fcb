"""Propagation of uncertainty through any model of independent inputs.

First order is GUM (JCGM 100:2008) 5.1.2, with derivatives by complex step: for a step h the
imaginary part of f(x + ih) over h is f'(x) without a difference being taken, so h can be so small
that the result is exact to rounding. Where the model bends within the spread of its inputs, the
Monte Carlo method of JCGM 101:2008 is used instead.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Model = Callable[[NDArray[Any]], NDArray[Any]]
Draw = Callable[[np.random.Generator, int], NDArray[np.float64]]

COVERAGE_FACTOR = 1.959963984540054  # 95 % of a normal distribution
DRAWS = 20_000
SEED = 4267  # fixed, so that the same still always gets the same interval

_STEP = 1e-30


@dataclass(frozen=True)
class Spread:
    """95 % coverage interval of each output, and the covariance of all."""

    covariance: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]

    @property
    def standard_uncertainty(self) -> NDArray[np.float64]:
        """Of each output."""
        return np.sqrt(np.diagonal(self.covariance, axis1=-2, axis2=-1))


def jacobian(model: Model, x: NDArray[np.float64]) -> NDArray[np.float64]:
    """Derivatives of every output by every input.

    Parameters
    ----------
    model
        From (..., n) inputs to (..., m) outputs, made of functions that are analytic at `x`.
    x
        Shape (..., n).

    Returns
    -------
    array of shape (..., n, m).
    """
    stepped = x[..., None, :] + 1j * _STEP * np.eye(x.shape[-1])
    derivatives: NDArray[np.float64] = np.imag(model(stepped)) / _STEP
    return derivatives


def first_order(model: Model, x: NDArray[np.float64], sd: NDArray[np.float64]) -> Spread:
    """Derivatives times standard deviations, squared and summed, for independent inputs."""
    value = model(x)
    parts = jacobian(model, x) * sd[..., :, None]
    covariance = np.swapaxes(parts, -1, -2) @ parts
    half = COVERAGE_FACTOR * np.sqrt(np.diagonal(covariance, axis1=-2, axis2=-1))
    return Spread(covariance, value - half, value + half)


def monte_carlo(model: Model, draw: Draw, *, draws: int = DRAWS, seed: int = SEED) -> Spread:
    """Spread of the outputs over random draws of the inputs.

    The interval is the 2.5 to 97.5 percentile, which need not be symmetric. The standard
    uncertainty is the standard deviation of the draws; with heavy tails it overstates the width.

    Parameters
    ----------
    draw
        Gives a number of draws of the inputs, shape (draws, n), from a generator.
    """
    outputs = model(draw(np.random.default_rng(seed), draws))
    low, high = np.percentile(outputs, [2.5, 97.5], axis=0)
    return Spread(np.atleast_2d(np.cov(outputs, rowvar=False)), low, high)
