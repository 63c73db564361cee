"""Numbers of one filtered profile that need its order, not its heights alone: peaks, spacings, slopes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.physics.surface_numbers.heights import slopes
from evenlay.quantities.ranges import not_negative, positive

Floats = NDArray[np.float64]

HEIGHT_DISCRIMINATION: Final = 0.1
"""A hill or dale that does not leave this share of Rz above or below the mean line is not counted. [-]"""

SPACING_DISCRIMINATION: Final = 0.01
"""A hill or dale narrower than this share of the section length is not counted. [-]"""


@dataclass(frozen=True)
class Extremes:
    """
    Peaks and pits of a profile, section by section.

    Parameters
    ----------
    Rp, Rv, Rz : float
        Highest peak, deepest pit (positive), and their sum, each the mean over the sections. [m]
    Rt : float
        Highest peak to deepest pit of all sections together. [m]
    """

    Rp: float
    Rv: float
    Rz: float
    Rt: float


def sections(height: ArrayLike, *, count: int) -> Floats:
    """
    A profile cut into sections of equal length.

    Parameters
    ----------
    height : array_like
        Shape ``(n,)``. [m]
    count : int
        ``>= 1``. [-]

    Returns
    -------
    numpy.ndarray
        Shape ``(count, n // count)``; up to ``count - 1`` points at the end are left out. [m]

    Raises
    ------
    ValueError
        If the profile is not one row or has fewer points than sections.

    Examples
    --------
    >>> sections([1.0, 2.0, 3.0, 4.0, 5.0], count=2).tolist()
    [[1.0, 2.0], [3.0, 4.0]]
    """
    z = np.asarray(height, dtype=np.float64)
    if z.ndim != 1 or not 1 <= count <= z.size:
        raise ValueError(f"{count} sections cannot be cut from an array of shape {z.shape}")
    each = z.size // count
    return z[: each * count].reshape(count, each)


def extremes(height: ArrayLike, *, count: int = 5) -> Extremes:
    r"""
    Peaks and pits from the mean line.

    Parameters
    ----------
    height : array_like
        Roughness profile on its mean line, shape ``(n,)``; NaN where nothing was measured. [m]
    count : int
        Number of sections, ``>= 1``. [-]

    Returns
    -------
    Extremes
        Sections without a measured point are left out of the means.

    Raises
    ------
    ValueError
        If no height is measured, or as `sections`.

    References
    ----------
    iso-21920-2, Rp, Rv, Rz, Rt; iso-4287 with five sampling lengths.

    Examples
    --------
    >>> extremes([1.0, -1.0, 3.0, -1.0], count=2)
    Extremes(Rp=2.0, Rv=1.0, Rz=3.0, Rt=4.0)
    """
    cut = sections(height, count=count)
    cut = cut[np.any(np.isfinite(cut), axis=1)]
    if cut.size == 0:
        raise ValueError("at least one height must be measured")
    peaks, pits = np.nanmax(cut, axis=1), -np.nanmin(cut, axis=1)
    peak, pit = float(np.mean(peaks)), float(np.mean(pits))
    return Extremes(peak, pit, peak + pit, float(np.max(peaks) + np.max(pits)))


def rms_slope(height: ArrayLike, *, spacing: float) -> float:
    r"""
    Rdq: root mean square slope of a profile.

    Parameters
    ----------
    height : array_like
        Shape ``(..., n)``, n at least 7; NaN where nothing was measured. [m]
    spacing : float
        Distance between points, ``> 0``. [m]

    Returns
    -------
    float
        By the seven-point rule. Depends on the short-wave limit more than on anything else: say it beside the number. [-]

    Raises
    ------
    ValueError
        If no seven measured points follow each other, or as `slopes`.

    References
    ----------
    iso-21920-2, Rdq; iso-4287, local slope.

    Examples
    --------
    >>> round(rms_slope(np.arange(10.0) * 1e-6, spacing=1e-5), 12)
    0.1
    """
    slope = slopes(height, spacing=spacing)
    slope = slope[~np.isnan(slope)]
    if slope.size == 0:
        raise ValueError("no seven measured points follow each other")
    return float(np.sqrt(np.mean(slope * slope)))


@dataclass(frozen=True)
class Elements:
    """
    Widths of the profile elements, a hill with the dale beside it.

    Parameters
    ----------
    RSm : float
        Mean width. [m]
    number : float
        How many there are; a half where one way of counting finds one more than the other. [-]
    """

    RSm: float
    number: float


def mean_spacing(height: ArrayLike, *, spacing: float, section_length: float, threshold: float) -> Elements:
    r"""
    RSm: mean width of the profile elements.

    Parameters
    ----------
    height : array_like
        Roughness profile on its mean line, shape ``(n,)``, no point missing. [m]
    spacing : float
        Distance between points, ``> 0``. [m]
    section_length : float
        Hills and dales narrower than 1 % of it are not counted, ``> 0``. [m]
    threshold : float
        Height that a hill must leave above the mean line, and a dale below, ``>= 0``; a tenth of Rz. [m]

    Returns
    -------
    Elements

    Raises
    ------
    ValueError
        If there is no whole element, a point is missing, or a length is not positive and finite.

    Notes
    -----
    The profile is read as a row of hills and dales that pass the threshold. Where several crossings of the mean line lie between a hill
    and the dale that follows, the last one counts reading forwards and the first one reading backwards: both are done and averaged.
    An element runs from one rising crossing to the next, or from one falling crossing to the next; again both are done.

    References
    ----------
    iso-4287, RSm with its discriminations; iso-21920-2, both directions (from memory).

    Examples
    --------
    >>> wave = np.sin(2.0 * np.pi * np.arange(1000) / 100.0)
    >>> found = mean_spacing(wave, spacing=1e-6, section_length=8e-4, threshold=0.2)
    >>> round(found.RSm, 9), found.number
    (0.0001, 8.5)
    """
    z = np.asarray(height, dtype=np.float64)
    step = float(positive("spacing", spacing))
    narrow = SPACING_DISCRIMINATION * float(positive("section_length", section_length))
    limit = float(not_negative("threshold", threshold))
    if z.ndim != 1 or not np.all(np.isfinite(z)):
        raise ValueError("a profile of one row without missing points is needed")
    widths: list[float] = []
    counts: list[int] = []
    for turned in (False, True):
        crossings, rising = _crossings(z[::-1] if turned else z, limit, narrow / step)
        for kind in (True, False):
            places = crossings[rising == kind]
            if places.size >= 2:
                widths.append(float(places[-1] - places[0]))
                counts.append(places.size - 1)
    if not counts:
        raise ValueError("there is no whole profile element")
    return Elements(step * sum(widths) / sum(counts), sum(counts) / len(counts))


def _crossings(z: Floats, threshold: float, narrow: float) -> tuple[Floats, NDArray[np.bool_]]:
    """Places (in points) where counted hills and dales meet, and whether the profile rises there; the last crossing between them."""
    side = np.where(z > threshold, 1, np.where(z < -threshold, -1, 0))
    counted = np.flatnonzero(side)
    turns = np.flatnonzero(np.diff(side[counted]))
    after = counted[turns + 1]
    sign = np.sign(z)
    cross = np.flatnonzero((sign[:-1] != sign[1:]) & (sign[1:] != 0))
    if turns.size == 0:
        return np.empty(0), np.empty(0, dtype=np.bool_)
    last = cross[np.searchsorted(cross, after) - 1]
    run = z[last + 1] - z[last]
    places = last - z[last] / run
    rising = side[after] > 0
    kept: list[int] = []
    for index in range(places.size):
        if kept and places[index] - places[kept[-1]] < narrow:
            kept.pop()
        else:
            kept.append(index)
    return np.asarray(places[kept]), np.asarray(rising[kept])
