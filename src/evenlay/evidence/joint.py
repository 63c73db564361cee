"""Several unknowns and several measurements at once: a joint posterior to draw from."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.evidence.combine import Likelihood
from evenlay.evidence.least_squares import cholesky, solve_lower, solve_upper

Array = NDArray[np.float64]
Predict = Callable[[Array], Array]
"""Normal scores of the unknowns, shape (m, d), to what the instruments would read without noise, shape (m, j). [SI]"""

STEPS: Final = 25
"""Most steps to the most probable point."""


@dataclass(frozen=True)
class JointPosterior:
    """
    Normal approximation of what is known of all unknowns together, in the normal scores of their bands before.

    ``centre`` (d,): most probable point; ``spread`` (d, d): upper triangular, turns independent normal scores into those of the
    posterior. Before any measurement: zero and the unit matrix.
    """

    centre: Array
    spread: Array

    def scores(self, independent: Array) -> Array:
        """
        Correlated scores from independent ones.

        Parameters
        ----------
        independent : numpy.ndarray
            Shape (n, d), for instance the normal scores of a lattice. [-]

        Returns
        -------
        numpy.ndarray
            Shape (n, d): feed each column to `evenlay.evidence.combine.value_at_scores`. [-]
        """
        return np.asarray(self.centre + np.sum(independent[:, None, :] * self.spread[None, :, :], axis=2), dtype=np.float64)

    @property
    def deviation(self) -> Array:
        """Standard deviation of each score, shape (d,): 1 before measuring. [-]"""
        return np.asarray(np.sqrt(np.sum(self.spread**2, axis=1)), dtype=np.float64)


def joint_posterior(*, predict: Predict, readings: Sequence[Likelihood], dimensions: int) -> JointPosterior:
    """
    Most probable unknowns and their joint spread after several readings.

    Parameters
    ----------
    predict : callable
        Scores (m, d) to noiseless readings (m, j), called with m = 2 d + 1.
    readings : sequence of Likelihood
        One per predicted reading; their errors are independent. An error they share is one more unknown.
    dimensions : int
        Number of unknowns d. [-]

    Returns
    -------
    JointPosterior

    Raises
    ------
    ValueError
        If a prediction is not finite or their number differs from the readings'.

    Notes
    -----
    Gauss-Newton on :math:`\\tfrac12|z|^2 - \\sum_j \\ln L_j(g_j(z))` with steps halved until it falls; spread from the curvature
    :math:`I + J^T W J` there (Laplace). Student's readings enter with their weights
    :math:`(\\nu+1)/(\\nu + r^2)`. `correction` weighs draws for what the normal shape misses.

    References
    ----------
    gelman-2013, section 4.1 (from memory).
    """
    centre: Array = np.zeros(dimensions)
    if not readings:
        return JointPosterior(centre, np.eye(dimensions))
    cost = _cost(predict, readings, centre)
    for _ in range(STEPS):
        gradient, curvature = _curvature(predict, readings, centre)
        factor = cholesky(curvature)
        step = solve_upper(factor, solve_lower(factor, gradient))
        size = 1.0
        while size > 1e-4:
            trial = np.clip(centre + size * step, -6.5, 6.5)
            tried = _cost(predict, readings, trial)
            if tried < cost:
                break
            size *= 0.5
        else:
            break
        done = bool(np.all(np.abs(trial - centre) < 1e-7))
        centre, cost = trial, tried
        if done:
            break
    _, curvature = _curvature(predict, readings, centre)
    factor = cholesky(curvature)
    return JointPosterior(centre, solve_upper(factor, np.eye(dimensions)))


def _predicted(predict: Predict, readings: Sequence[Likelihood], scores: Array) -> Array:
    out = np.asarray(predict(scores), dtype=np.float64)
    if out.shape != (scores.shape[0], len(readings)) or not np.all(np.isfinite(out)):
        raise ValueError(f"expected {len(readings)} finite predicted readings for each of {scores.shape[0]} points, got shape {out.shape}")
    return out


def _cost(predict: Predict, readings: Sequence[Likelihood], at: Array) -> float:
    found = _predicted(predict, readings, at[None, :])[0]
    logs = sum(float(reading.log_density(found[index])) for index, reading in enumerate(readings))
    return 0.5 * float(np.sum(at**2)) - logs


def _curvature(predict: Predict, readings: Sequence[Likelihood], at: Array) -> tuple[Array, Array]:
    """Downhill gradient and expected curvature of the cost."""
    size, step = at.size, 1e-3
    probes = np.concatenate([at[None, :], at + step * np.eye(size), at - step * np.eye(size)])
    found = _predicted(predict, readings, probes)
    slopes = (found[1 : size + 1] - found[size + 1 :]) / (2.0 * step)
    gradient, curvature = -at.copy(), np.eye(size)
    for index, reading in enumerate(readings):
        here = float(found[0, index])
        nearby = found[1 : size + 1, index], found[size + 1 :, index]
        log_slope = (reading.log_density(nearby[0]) - reading.log_density(nearby[1])) / (2.0 * step)
        deviation = float(reading.deviation(here))
        off = (reading.number - here) / deviation
        weight = 1.0 if np.isinf(reading.freedom) else (reading.freedom + 1.0) / (reading.freedom + off**2)
        if np.isfinite(reading.freedom):
            weight = min(weight, (reading.freedom + 1.0) / (reading.freedom + 3.0) * max(weight, 0.2))
        gradient = gradient + log_slope
        curvature = curvature + weight / deviation**2 * slopes[:, index, None] * slopes[None, :, index]
    return gradient, curvature


def correction(*, joint: JointPosterior, predict: Predict, readings: Sequence[Likelihood], independent: Array) -> Array:
    """
    Weights that turn draws of the normal approximation into draws of the posterior itself.

    Parameters
    ----------
    joint : JointPosterior
        The approximation.
    predict, readings
        As in `joint_posterior`.
    independent : numpy.ndarray
        The independent scores (n, d) the draws were made from. [-]

    Returns
    -------
    numpy.ndarray
        Shape (n,), sum 1. Equal weights mean that the approximation is exact. [-]
    """
    scores = joint.scores(independent)
    found = _predicted(predict, readings, scores)
    log = 0.5 * np.sum(independent**2, axis=1) - 0.5 * np.sum(scores**2, axis=1)
    for index, reading in enumerate(readings):
        log = log + reading.log_density(found[:, index])
    weights = np.exp(log - np.max(log))
    return np.asarray(weights / np.sum(weights), dtype=np.float64)


def effective_count(weights: Array) -> float:
    """
    How many equal draws weighted ones are worth.

    Examples
    --------
    >>> effective_count(np.array([0.5, 0.5, 0.0]))
    2.0
    """
    return float(np.sum(weights) ** 2 / np.sum(weights**2))
