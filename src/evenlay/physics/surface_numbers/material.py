"""The material ratio curve and the core of it: the Rk and Sk families."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.physics.surface_numbers.filters import gaussian_mean
from evenlay.physics.surface_numbers.heights import measured_heights
from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]

SECANT: Final = 0.4
"""Material ratio that the flattest secant spans. [-]"""

FEWEST: Final = 100
"""Fewest heights of which a curve is formed (ours). [-]"""


@dataclass(frozen=True)
class Core:
    """
    Core, hills and dales of a material ratio curve.

    Parameters
    ----------
    core_height : float
        Rk or Sk. [m]
    hill_height : float
        Rpk or Spk: reduced height of what stands above the core. [m]
    dale_depth : float
        Rvk or Svk: reduced depth of what lies below the core. [m]
    hill_ratio : float
        Mr1: material ratio where hills pass into the core, 0 to 1. [-]
    dale_ratio : float
        Mr2: material ratio where the core passes into dales, 0 to 1. [-]
    """

    core_height: float
    hill_height: float
    dale_depth: float
    hill_ratio: float
    dale_ratio: float


def material_ratio(height: ArrayLike, *, level: ArrayLike) -> Floats:
    """
    Share of the surface at or above a level.

    Parameters
    ----------
    height : array_like
        Any shape; NaN where nothing was measured. [m]
    level : array_like
        On the scale of the heights. [m]

    Returns
    -------
    numpy.ndarray
        0 to 1, shape of ``level``. [-]

    Raises
    ------
    ValueError
        If no height is measured or one is infinite.

    References
    ----------
    iso-21920-2, material ratio function; iso-25178-2, areal material ratio.

    Examples
    --------
    >>> material_ratio([1.0, -1.0, 1.0, -1.0], level=[-2.0, 0.0, 2.0]).tolist()
    [1.0, 0.5, 0.0]
    """
    rising = np.sort(measured_heights(height))
    below = np.searchsorted(rising, np.asarray(level, dtype=np.float64), side="left")
    return np.asarray(1.0 - below / rising.size)


def core(height: ArrayLike) -> Core:
    r"""
    Core, hills and dales of the heights of a profile or map.

    Parameters
    ----------
    height : array_like
        Any shape, at least 100 measured heights; NaN where nothing was measured. [m]

    Returns
    -------
    Core
        All heights 0 for a flat; hills or dales 0 where the straight line leaves none.

    Raises
    ------
    ValueError
        If fewer than 100 heights are measured or one is infinite.

    Notes
    -----
    The n heights, falling, stand at the material ratios :math:`(i + 1/2)/n`. Of all secants that span 40 % the flattest is taken (the
    first, where several are), the straight line of least squares (in height) through the curve under it runs from ratio 0 to 1, and
    Rk is its fall. The hills above the level of that line at 0 have the area :math:`A_1`, and :math:`\mathrm{Rpk} = 2A_1/\mathrm{Mr1}`
    is the height of a triangle of the same area and base; dales likewise.

    References
    ----------
    iso-13565-2, equivalent straight line; iso-25178-2, Sk.

    Examples
    --------
    >>> wedge = core((np.arange(2000) + 0.5) / 2000)
    >>> round(wedge.core_height, 6), round(wedge.hill_height, 6), round(wedge.dale_depth, 6)
    (1.0, 0.0, 0.0)
    """
    falling = np.sort(measured_heights(height))[::-1]
    n = falling.size
    if n < FEWEST:
        raise ValueError(f"a material ratio curve needs {FEWEST} heights, there are {n}")
    span = round(SECANT * n)
    falls = falling[: n - span] - falling[span:]
    first = int(np.argmin(falls))
    under = falling[first : first + span + 1]
    ratio = (first + np.arange(span + 1) + 0.5) / n
    centred = ratio - np.mean(ratio)
    slope = min(float(np.sum(centred * under) / np.sum(centred * centred)), 0.0)
    upper = float(np.mean(under)) - slope * float(np.mean(ratio))
    lower = upper + slope
    hill_ratio, hill_height = _reduced(falling, upper)
    dale_ratio, dale_depth = _reduced(-falling[::-1], -lower)
    return Core(-slope, hill_height, dale_depth, hill_ratio, 1.0 - dale_ratio)


def _reduced(falling: Floats, level: float) -> tuple[float, float]:
    """Share of the curve above a level, and the height of the triangle with the area above it on that base."""
    above = int(np.searchsorted(-falling, -level, side="left"))
    if above == 0:
        return 0.0, 0.0
    ratio = above / falling.size
    if above < falling.size and falling[above - 1] > falling[above]:
        part = (falling[above - 1] - level) / (falling[above - 1] - falling[above])
        ratio = (above - 0.5 + float(part)) / falling.size
    area = float(np.sum(falling[:above] - level)) / falling.size
    return min(ratio, 1.0), 2.0 * area / ratio


def valley_suppressed(height: ArrayLike, *, spacing: float, cutoff: float) -> Floats:
    """
    Roughness profile of the two-step filter, whose reference line deep scratches do not pull down.

    Parameters
    ----------
    height : array_like
        Profile with its form taken off, shape ``(..., n)``; NaN where nothing was measured. [m]
    spacing : float
        Distance between points of the last axis, ``> 0``. [m]
    cutoff : float
        0.8 mm, or 2.5 mm by agreement. [m]

    Returns
    -------
    numpy.ndarray
        Same shape. [m]

    Raises
    ------
    ValueError
        If the spacing or cut-off is not positive and finite.

    Notes
    -----
    Mean line; everything below it is lifted to it; mean line of that; the profile less that second line.

    References
    ----------
    iso-13565-1, filtering process.

    Examples
    --------
    >>> z = np.zeros(2001)
    >>> z[1000:1010] = -1.0
    >>> float(valley_suppressed(z, spacing=1e-3, cutoff=0.8).max().round(3))
    0.001
    """
    z = np.asarray(height, dtype=np.float64)
    step, length = float(positive("spacing", spacing)), float(positive("cutoff", cutoff))
    mean = gaussian_mean(z, spacing=step, cutoff=length)
    lifted = np.where(np.isnan(z), np.nan, np.maximum(z, mean))
    return np.asarray(z - gaussian_mean(lifted, spacing=step, cutoff=length))
