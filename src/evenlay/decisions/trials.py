"""What could be measured next, how long it takes, and how much narrower the answer would then be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.measurements import MEASUREMENTS, Measurement, Observable
from evenlay.decisions.sensitivity import band, on_scale, weighted_quantile

Array = NDArray[np.float64]

OUTCOMES: Final = 32
"""Hypothetical readings averaged over."""

NEIGHBOURS: Final = 60.0
"""Draws that a hypothetical reading must leave (in equal draws); the kernel is widened until it does, and corrected for it."""

BANDWIDTHS: Final = (0.0, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.6, 0.9)
"""Tried widenings of the kernel, in standard deviations of the observable."""


CHANCE: Final = 3.0
"""A reading that goes with the answer by less than this many standard deviations of chance tells nothing of it. [-]"""


@dataclass(frozen=True)
class Trial:
    """
    A measurement with what it would do to one answer.

    ``ratio``: expected width of the 90 % band after over before (on the logarithm where the band is that of a factor);
    ``low``, ``high``: what the band would shrink to, about where it stands [unit of the answer]; ``per_minute``: share of the width
    saved per minute.
    """

    measurement: Measurement
    ratio: float
    low: float
    high: float
    per_minute: float


def rank_trials(
    *,
    answer: Array,
    quantities: Mapping[str, Array],
    weights: Array | None = None,
    measurements: Sequence[Measurement] = MEASUREMENTS,
    seed: int = 0,
) -> tuple[Trial, ...]:
    """
    Measurements by how much of an answer's band they would save per minute.

    Parameters
    ----------
    answer : numpy.ndarray
        Shape (m,), without the central row. [any]
    quantities : mapping of str to numpy.ndarray
        What can be observed, by name, each of shape (m,) over the same draws. [SI]
    weights : numpy.ndarray, optional
        Of the draws, shape (m,). [-]
    measurements : sequence of Measurement
        Those of which a quantity is missing, does not vary, or goes with the answer by no more than chance are left out.
    seed : int
        Of the instruments' noise: same seed, same bytes. [-]

    Returns
    -------
    tuple of Trial
        The best first; empty if the answer does not vary.
    """
    share = np.full(answer.size, 1.0 / answer.size) if weights is None else weights / np.sum(weights)
    scaled = on_scale(answer, share)
    low, middle, high = weighted_quantile(scaled, (0.05, 0.5, 0.95), share).tolist()
    if not high > low:
        return ()
    found = []
    for measurement in measurements:
        named = [(quantities[seen.quantity], seen) for seen in measurement.observables if seen.quantity in quantities]
        if len(named) < len(measurement.observables):
            continue
        varying = [(draws, seen) for draws, seen in named if float(np.ptp(draws)) > 1e-9 * float(np.max(np.abs(draws)))]
        if not varying:
            continue
        if not any(goes_with(seen.scale(draws), scaled, share) for draws, seen in varying):
            continue
        ratio = expected_ratio(answer=answer, observed=varying, weights=share, seed=seed)
        ends = np.array([middle - ratio * (middle - low), middle + ratio * (high - middle)])
        ends = np.exp(ends) if scaled is not answer else ends
        found.append(Trial(measurement, ratio, float(ends[0]), float(ends[1]), (1.0 - ratio) / measurement.minutes))
    return tuple(sorted(found, key=lambda trial: -trial.per_minute))


def goes_with(one: Array, other: Array, share: Array) -> bool:
    """
    Whether two quantities go together over the draws, or one with the other's distance from its mean, by more than chance.

    Parameters
    ----------
    one, other : numpy.ndarray
        Shape (m,). [any]
    share : numpy.ndarray
        Weights of the draws, shape (m,), sum 1. [-]

    Returns
    -------
    bool
        Correlation, or that of the squared distance, beyond `CHANCE` over the root of the draws.

    Examples
    --------
    >>> x = np.linspace(-1.0, 1.0, 401)
    >>> even = np.full(401, 1.0 / 401)
    >>> goes_with(x, x**3, even), goes_with(x, x**2, even), goes_with(x, np.cos(1e4 * np.arange(401.0)), even)
    (True, True, False)
    """
    limit = CHANCE * float(np.sqrt(np.sum(share**2)))
    centred = one - np.sum(share * one)
    target = other - np.sum(share * other)
    bent = centred**2 - np.sum(share * centred**2)
    size = float(np.sum(share * target**2))
    for each in (centred, bent):
        spread = float(np.sum(share * each**2))
        if spread > 0.0 and size > 0.0 and abs(float(np.sum(share * each * target))) > limit * float(np.sqrt(spread * size)):
            return True
    return False


def expected_ratio(
    *, answer: Array, observed: Sequence[tuple[Array, Observable]], weights: Array | None = None, seed: int = 0, outcomes: int = OUTCOMES
) -> float:
    r"""
    Expected width of an answer's 90 % band after a measurement, over its width before.

    Parameters
    ----------
    answer : numpy.ndarray
        Shape (m,), without the central row. [any]
    observed : sequence of (numpy.ndarray, Observable)
        Noiseless reading over the draws, shape (m,), with its instrument's noise; read together.
    weights : numpy.ndarray, optional
        Of the draws, shape (m,). [-]
    seed : int
        Of the instruments' noise. [-]
    outcomes : int
        Hypothetical readings averaged over. [-]

    Returns
    -------
    float
        1 for a measurement that tells nothing, never above it. [-]

    Notes
    -----
    Preposterior sum: draws are taken as the truth in turn, each gives a reading with the instrument's noise, the reading weighs all draws
    by :math:`\exp(-\tfrac12 (y - g)^T S^{-1} (y - g))`, and the band of the answer is read off the weighted draws. Where a precise
    instrument leaves fewer than `NEIGHBOURS` draws the kernel is widened from S to H, and each draw's answer is moved along the local
    regression of answer on reading, from where the wide kernel put it to where S would: with local moments :math:`m_H, V_H`,
    :math:`V_S^{-1} = V_H^{-1} - H^{-1} + S^{-1}`.

    References
    ----------
    raiffa-schlaifer-1961 (preposterior analysis); beaumont-2002 (regression adjustment), both from memory.
    """
    share = np.full(answer.size, 1.0 / answer.size) if weights is None else weights / np.sum(weights)
    scaled = on_scale(answer, share)
    low, high = band(scaled, share)
    if not high > low or not observed:
        return 1.0
    seen = np.stack([reading.scale(draws) for draws, reading in observed], axis=1)
    noise = np.stack([np.broadcast_to(reading.deviation(draws), draws.shape) for draws, reading in observed], axis=1)
    truths = np.searchsorted(np.cumsum(share), (np.arange(outcomes) + 0.5) / outcomes).clip(0, answer.size - 1)
    error = np.random.Generator(np.random.PCG64(seed)).standard_normal((outcomes, seen.shape[1]))
    readings = seen[truths] + noise[truths] * error
    mean = np.sum(share[:, None] * seen, axis=0)
    spread = np.sqrt(np.sum(share[:, None] * (seen - mean) ** 2, axis=0))
    width = _bandwidth(seen, readings, noise[truths], spread, share)
    widths = [
        _width(scaled, seen, (readings[index], noise[truths[index]], width * spread), share) for index in range(outcomes)
    ]  # one after another: (outcomes x draws x observables) at once would cost memory, not save time
    return min(float(np.mean(widths)) / (high - low), 1.0)


def _kernel(seen: Array, reading: Array, deviation: Array, share: Array) -> Array:
    log = -0.5 * np.sum(((seen - reading) / deviation) ** 2, axis=1)
    weight = share * np.exp(log - np.max(log))
    return np.asarray(weight / np.sum(weight), dtype=np.float64)


def _bandwidth(seen: Array, readings: Array, noise: Array, spread: Array, share: Array) -> float:
    """Smallest of `BANDWIDTHS` that leaves enough draws around the middle one of the readings."""
    enough = min(NEIGHBOURS, 0.5 / float(np.sum(share**2)))
    for width in BANDWIDTHS:
        counts = [
            1.0 / float(np.sum(_kernel(seen, reading, np.hypot(own, width * spread), share) ** 2))
            for reading, own in zip(readings[::4], noise[::4], strict=True)
        ]
        if float(np.median(counts)) >= enough:
            return width
    return BANDWIDTHS[-1]


def _width(scaled: Array, seen: Array, kernel: tuple[Array, Array, Array], share: Array) -> float:
    """Width of the answer's band after one reading."""
    reading, noise, extra = kernel
    wide = np.hypot(noise, extra)
    weight = _kernel(seen, reading, wide, share)
    moved = scaled
    if np.any(extra > 0.0):
        moved = _moved(scaled, seen - reading, weight, noise**2, wide**2)
    low, high = weighted_quantile(moved, (0.05, 0.95), weight)
    return float(high - low)


def _moved(scaled: Array, offset: Array, weight: Array, narrow: Array, wide: Array) -> Array:
    """Answers moved from where the wide kernel put the draws to where the narrow one would."""
    size = offset.shape[1]
    mean = np.sum(weight[:, None] * offset, axis=0)
    centred = offset - mean
    second = np.sum(weight[:, None, None] * centred[:, :, None] * centred[:, None, :], axis=0) + 1e-9 * np.diag(wide)
    slope = np.linalg.solve(second, np.sum(weight[:, None] * centred * scaled[:, None], axis=0))
    local = np.linalg.inv(second) - np.diag(1.0 / wide)
    values, vectors = np.linalg.eigh(0.5 * (local + local.T))
    local = np.einsum("ik,k,jk->ij", vectors, np.maximum(values, 0.0), vectors)
    after = np.linalg.inv(local + np.diag(1.0 / narrow))
    centre = np.einsum("ij,jk,k->i", after, np.linalg.inv(second), mean)
    turn = np.einsum("ij,jk->ik", np.linalg.cholesky(after), np.linalg.inv(np.linalg.cholesky(second)))
    goal = centre + np.sum(centred[:, None, :] * turn[None, :, :], axis=2) if size else offset
    return np.asarray(scaled - np.sum((offset - goal) * slope, axis=1), dtype=np.float64)
