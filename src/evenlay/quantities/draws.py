"""Seeded quasi-random points: the draws over which every answer is evaluated."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

COUNT: Final = 521
"""Points of the full run: a prime, so that every generator is open to the search."""

COARSE: Final = 31
"""Points of a coarse run (choosing)."""

WEIGHT: Final = 0.05
"""Weight of every coordinate: low, so that pairs stay nearly uncorrelated (worst pair of 40: 0.19; random points: 0.13 to 0.19)."""


@lru_cache(maxsize=8)
def generating_vector(count: int, dimensions: int) -> tuple[int, ...]:
    """
    Generating vector of a rank-1 lattice, component by component.

    Parameters
    ----------
    count : int
        Number of points, a prime. [-]
    dimensions : int
        Number of coordinates, ``>= 1``. [-]

    Returns
    -------
    tuple of int
        One integer per coordinate, each minimising the worst-case error of the weighted periodic Sobolev space
        given the ones before.

    Notes
    -----
    Kernel :math:`1 + \\gamma 2\\pi^2 B_2(x)` with the same small weight for every coordinate. The sum runs in a fixed
    order (no matrix product), so the vector does not depend on the number of threads.

    References
    ----------
    sloan-reztsov-2002, component-by-component construction (from memory).
    """
    index = np.arange(count, dtype=np.int64)
    candidates = np.arange(1, count // 2 + 1, dtype=np.int64)
    phase = (index[None, :] * candidates[:, None] % count) / count
    kernel = 2.0 * np.pi**2 * (phase * phase - phase + 1.0 / 6.0)
    product = np.ones(count)
    chosen: list[int] = []
    factor = 1.0 + WEIGHT * kernel
    for _ in range(dimensions):
        error = np.sum(factor * product, axis=1)
        error[[used - 1 for used in chosen if len(chosen) < candidates.size]] = np.inf
        best = int(np.argmin(error))
        chosen.append(int(candidates[best]))
        product = product * factor[best]
    return tuple(chosen)


def lattice(*, count: int, dimensions: int, seed: int) -> NDArray[np.float64]:
    """
    Quasi-random points in the unit cube, shifted by the seed.

    Parameters
    ----------
    count : int
        Number of points. [-]
    dimensions : int
        Number of coordinates. [-]
    seed : int
        The same seed gives the same bytes on any number of threads. [-]

    Returns
    -------
    numpy.ndarray
        Shape ``(count, dimensions)``, strictly inside (0, 1). [-]

    Examples
    --------
    >>> lattice(count=61, dimensions=3, seed=1).mean(axis=0).round(1)
    array([0.5, 0.5, 0.5])
    """
    vector = np.asarray(generating_vector(count, dimensions), dtype=np.float64)
    shift = np.random.Generator(np.random.PCG64(seed)).random(dimensions)
    points = (np.arange(count, dtype=np.float64)[:, None] * vector / count + shift) % 1.0
    # Points sit on a comb of pitch 1/count; keep them half a tooth away from 0 and 1, where scores run to infinity.
    return np.clip(points, 0.5 / count, 1.0 - 0.5 / count)
