"""How far each pass lies off, drawn once so that every candidate meets the same luck."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.quantities.known import normal_score

Array = NDArray[np.float64]

MOST_PASSES: Final = 512
"""Passes with a score of their own; later ones begin again."""

SEED: Final = 20260
"""Seed of the table: the luck is the same for all jobs, so that plans compare."""

HELD_WITHIN: Final = 2.5
"""Scores are held within this many standard deviations."""

GOLDEN: Final = 0.6180339887498949


@lru_cache(maxsize=4)
def _scores(count: int) -> Array:
    table = np.random.Generator(np.random.PCG64(SEED)).standard_normal((count, MOST_PASSES))
    # The central row is no draw: neighbouring passes lie off by evenly spread scores, a face of ordinary luck.
    table[0] = normal_score((0.5 + GOLDEN * np.arange(MOST_PASSES)) % 1.0 * 0.98 + 0.01)
    return np.clip(table, -HELD_WITHIN, HELD_WITHIN)


def lateral_offsets(*, lateral_sd: Array, passes: int) -> Array:
    """
    Sideways error of every pass.

    Parameters
    ----------
    lateral_sd : numpy.ndarray
        Standard deviation over the draws, ``(n,)``. [m]
    passes : int
        Number of passes. [-]

    Returns
    -------
    numpy.ndarray
        Shape ``(n, passes)``; the same scores for the same row and pass whatever the candidate. [m]
    """
    table = _scores(lateral_sd.size)
    return lateral_sd[:, None] * table[:, np.arange(passes) % MOST_PASSES]
