"""How wide an answer is over the draws, and which unknown makes it so."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.evidence.least_squares import cholesky, solve_lower, solve_upper
from evenlay.quantities.known import FACTOR_BAND, Known, Value

Array = NDArray[np.float64]

RIDGE: Final = 1e-3
"""Added to the diagonal of the normal equations, in units of a column's own square: columns that say the same share the effect. [-]"""


@dataclass(frozen=True)
class Shares:
    """
    Shares of an answer's variance.

    ``shares`` (d,): of each unknown, ``>= 0``; ``unexplained``: what no single unknown explains (unknowns acting together, kinks);
    they sum to 1, or are all zero for an answer that does not vary.
    """

    shares: Array
    unexplained: float

    def ranking(self) -> tuple[int, ...]:
        """Indices of the unknowns, the largest share first; ties keep their order."""
        return tuple(int(index) for index in np.argsort(-self.shares, kind="stable"))


def weighted_quantile(draws: Array, probabilities: tuple[float, ...], weights: Array | None = None) -> Array:
    """
    Quantiles of weighted draws.

    Parameters
    ----------
    draws : numpy.ndarray
        Shape (m,), without the central row. [any]
    probabilities : tuple of float
        Between 0 and 1. [-]
    weights : numpy.ndarray, optional
        Shape (m,), ``>= 0``, some above zero; equal when left out. [-]

    Returns
    -------
    numpy.ndarray
        One per probability. [any]

    Notes
    -----
    Straight lines between the draws, each standing at the middle of its own weight.

    Examples
    --------
    >>> weighted_quantile(np.array([3.0, 1.0, 2.0]), (0.5,)).tolist()
    [2.0]
    """
    order = np.argsort(draws, kind="stable")
    share = np.ones(draws.size) if weights is None else weights[order]
    middle = (np.cumsum(share) - 0.5 * share) / np.sum(share)
    return np.asarray(np.interp(probabilities, middle, draws[order]), dtype=np.float64)


def band(draws: Array, weights: Array | None = None) -> tuple[float, float]:
    """
    5 % and 95 % points of an answer over the draws.

    Parameters
    ----------
    draws : numpy.ndarray
        Shape (m,), without the central row. [any]
    weights : numpy.ndarray, optional
        Shape (m,). [-]

    Returns
    -------
    tuple of float
        Low and high. [any]

    Examples
    --------
    >>> band(np.arange(1.0, 101.0))
    (5.5, 95.5)
    """
    low, high = weighted_quantile(draws, (0.05, 0.95), weights)
    return float(low), float(high)


def answer_value(answer: Array, *, weights: Array | None = None, known: Known, source: str) -> Value:
    """
    Value of an answer: the central result with the band of the draws.

    Parameters
    ----------
    answer : numpy.ndarray
        Shape (n,); element 0 is the result at the central values, the others are draws. [any]
    weights : numpy.ndarray, optional
        Shape (n - 1,). [-]
    known : str
        Weakest way of knowing among what it rests on.
    source : str
        In words.

    Returns
    -------
    Value
        The band is widened to hold the central result, should it lie outside of the middle 90 % of the draws.
    """
    low, high = band(answer[1:], weights)
    number = float(answer[0])
    return Value(number, min(low, number), max(high, number), known, source)


def on_scale(draws: Array, weights: Array | None = None) -> Array:
    """
    Draws on the scale their band is judged on: the logarithm when it is that of a factor.

    Parameters
    ----------
    draws : numpy.ndarray
        Shape (m,). [any]
    weights : numpy.ndarray, optional
        Shape (m,). [-]

    Returns
    -------
    numpy.ndarray
        Shape (m,): the logarithm if all draws are above zero and the band spans more than a factor of 2.25, as
        `evenlay.quantities.known.Value` does; else unchanged.
    """
    low, high = band(draws, weights)
    if np.all(draws > 0.0) and high > FACTOR_BAND**2 * low:
        return np.asarray(np.log(draws), dtype=np.float64)
    return draws


def variance_explained(scores: Array, answer: Array, weights: Array | None = None) -> Shares:
    """
    Share of an answer's variance that each unknown explains.

    Parameters
    ----------
    scores : numpy.ndarray
        Normal scores of the unknowns over the draws, shape (m, d), without the central row. [-]
    answer : numpy.ndarray
        Shape (m,), without the central row. [any]
    weights : numpy.ndarray, optional
        Shape (m,); equal when left out. [-]

    Returns
    -------
    Shares
        Of the answer, or of its logarithm where its band is that of a factor.

    Raises
    ------
    ValueError
        If shapes do not fit, or an answer or score is not finite.

    Notes
    -----
    One joint regression on :math:`z_i` and :math:`z_i^2 - 1`; the share of an unknown is the covariance of its two terms with the
    answer over the answer's variance, so shares add up even when draws are slightly correlated (and, after evidence, when unknowns
    are). What chance alone explains, (terms / draws) of the rest, is taken off; a negative share is counted as none.

    References
    ----------
    saltelli-2008, section 1.2 (regression shares), from memory.

    Examples
    --------
    >>> from evenlay.quantities.draws import lattice
    >>> from evenlay.quantities.known import normal_score
    >>> z = normal_score(lattice(count=521, dimensions=3, seed=1))
    >>> variance_explained(z, 2.0 * z[:, 0] + z[:, 1]).shares.round(1).tolist()
    [0.8, 0.2, 0.0]
    """
    if scores.ndim != 2 or answer.shape != scores.shape[:1]:
        raise ValueError(f"scores of shape {scores.shape} and answers of shape {answer.shape} do not belong together")
    if not (np.all(np.isfinite(answer)) and np.all(np.isfinite(scores))):
        raise ValueError("an answer or a score over the draws is not finite")
    count, dimensions = scores.shape
    share = np.full(count, 1.0 / count) if weights is None else weights / np.sum(weights)
    target = on_scale(answer, share)
    target = target - np.sum(share * target)
    variance = float(np.sum(share * target**2))
    if dimensions == 0 or not variance > 1e-24 * float(np.max(np.abs(answer))) ** 2:
        return Shares(np.zeros(dimensions), 0.0)
    terms = np.concatenate([scores, scores**2 - 1.0], axis=1)
    terms = terms - np.sum(share[:, None] * terms, axis=0)
    size = np.sqrt(np.sum(share[:, None] * terms**2, axis=0))
    terms = terms / np.where(size > 1e-9, size, np.inf)
    # A fixed order of sums, not a threaded product: the same bytes on any number of threads.
    normal = np.einsum("mi,mj->ij", terms * share[:, None], terms, optimize=False) + RIDGE * np.eye(2 * dimensions)
    moments = np.sum(share[:, None] * terms * target[:, None], axis=0)
    factor = cholesky(normal)
    explained = solve_upper(factor, solve_lower(factor, moments)) * moments / variance
    each = explained[:dimensions] + explained[dimensions:]
    rest = max(1.0 - float(np.sum(each)), 0.0)
    chance = rest * 2.0 / float(1.0 / np.sum(share**2))
    each = np.maximum(each - chance, 0.0)
    total = float(np.sum(each))
    return Shares(each / max(total, 1.0), max(1.0 - total, 0.0))
