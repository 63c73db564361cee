"""Contrast sensitivity of the standard observer, and the pitches that it sees at a distance."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import gamma, pi, sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from evenlay.physics.viewing.ranges import Floats, within

GAIN: Final = 373.08
"""Gain of the standard contrast sensitivity. [-]"""
HIGH_FREQUENCY: Final = 4.1726
"""Scale of its fall at high frequency. [cycles/deg]"""
LOW_FREQUENCY: Final = 1.3625
"""Scale of its fall at low frequency. [cycles/deg]"""
LOW_LOSS: Final = 0.8493
"""Depth of its fall at low frequency. [-]"""
EXPONENT: Final = 0.7786
"""Exponent of its fall at high frequency. [-]"""
POOLING: Final = 2.4081
"""Exponent beta with which the response is pooled over the picture. [-]"""
APERTURE: Final = 0.6273
"""Standard deviation sigma of the Gaussian aperture around the point looked at. [deg]"""
OBLIQUE_CORNER: Final = 3.48
OBLIQUE_SCALE: Final = 13.57

SEARCH_LOW: Final = 0.05
SEARCH_HIGH: Final = 60.0
"""Frequencies between which the observer is searched; the formula has no meaning above 60. [cycles/deg]"""

GRATING_GAIN: Final = (gamma((POOLING + 1.0) / 2.0) / (sqrt(pi) * gamma(POOLING / 2.0 + 1.0)) * 2.0 * pi * APERTURE**2 / POOLING) ** (
    1.0 / POOLING
)
"""Pooled response to a wide grating of unit response amplitude (kappa_g). [deg^(2/beta)]"""

LINE_GAIN: Final = (2.0 ** (POOLING / 2.0) * gamma((POOLING + 1.0) / 2.0) / sqrt(pi) * 2.0 * pi * APERTURE**2 / POOLING) ** (1.0 / POOLING)
"""Pooled response to random lines of unit rms response (kappa_n). [deg^(2/beta)]"""


def contrast_sensitivity(frequency: ArrayLike) -> Floats:
    r"""
    Sensitivity of the standard observer to a grating, as a gain of its filter.

    Parameters
    ----------
    frequency : array_like
        Spatial frequency, ``>= 0``. [cycles/deg]

    Returns
    -------
    numpy.ndarray
        Gain, same shape; 0 where the formula would fall below 0. [-]

    Raises
    ------
    ValueError
        If a frequency is negative, NaN or infinite.

    Notes
    -----
    :math:`S(f) = G[\mathrm{sech}((f/f_0)^p) - a\,\mathrm{sech}(f/f_1)]` with G 373.08, :math:`f_0` 4.1726, :math:`f_1` 1.3625,
    a 0.8493, p 0.7786. Photopic light (the data: 30 cd/m2), foveal, static. Fitted to 0.05-60 cycles per degree.

    References
    ----------
    watson-ahumada-2005, standard model "HPmH".

    Examples
    --------
    >>> contrast_sensitivity([1.0, 4.0, 16.0]).round(2)
    array([106.56, 214.2 ,  43.11])
    """
    f = within("frequency", frequency, low=0.0)
    high = 1.0 / np.cosh(np.minimum((f / HIGH_FREQUENCY) ** EXPONENT, 300.0))
    low = LOW_LOSS / np.cosh(np.minimum(f / LOW_FREQUENCY, 300.0))
    return np.asarray(np.maximum(GAIN * (high - low), 0.0))


def oblique_effect(frequency_across: ArrayLike, frequency_along: ArrayLike) -> Floats:
    r"""
    Loss of sensitivity to slanting patterns.

    Parameters
    ----------
    frequency_across, frequency_along : array_like
        The two components of the spatial frequency. [cycles/deg]

    Returns
    -------
    numpy.ndarray
        Factor on the sensitivity, 1 for upright and level patterns. [-]

    Notes
    -----
    :math:`1 - (1 - e^{-(f-3.48)/13.57})\sin^2 2\theta` above 3.48 cycles per degree, 1 below.

    References
    ----------
    watson-ahumada-2005 (from memory).

    Examples
    --------
    >>> float(oblique_effect(0.0, 10.0)), float(oblique_effect(7.0, 7.0).round(3))
    (1.0, 0.623)
    """
    fx = np.asarray(frequency_across, dtype=np.float64)
    fy = np.asarray(frequency_along, dtype=np.float64)
    square = fx * fx + fy * fy
    slant = np.where(square > 0.0, (2.0 * fx * fy) ** 2 / np.where(square > 0.0, square, 1.0) ** 2, 0.0)
    excess = np.maximum(np.sqrt(square) - OBLIQUE_CORNER, 0.0)
    return np.asarray(1.0 + np.expm1(-excess / OBLIQUE_SCALE) * slant)


def degrees_per_metre(distance: ArrayLike) -> Floats:
    """
    Visual angle of a metre of the face, at the point looked at.

    Parameters
    ----------
    distance : array_like
        Eye to face, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        [deg/m]

    Examples
    --------
    >>> float(degrees_per_metre(0.6).round(2))
    95.49
    """
    return np.asarray(180.0 / (pi * within("distance", distance, low=0.0, open_low=True)))


def cycles_per_degree(*, pitch: ArrayLike, distance: ArrayLike) -> Floats:
    r"""
    Spatial frequency of a pitch seen from a distance.

    Parameters
    ----------
    pitch : array_like
        Spacing of the marks, ``> 0``. [m]
    distance : array_like
        Eye to face, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`1/(2\,\mathrm{atan}(p/2z))` with the angle in degrees. [cycles/deg]

    Examples
    --------
    >>> float(cycles_per_degree(pitch=0.010, distance=0.6).round(4))
    1.0472
    """
    p = within("pitch", pitch, low=0.0, open_low=True)
    z = within("distance", distance, low=0.0, open_low=True)
    return np.asarray(1.0 / (2.0 * np.degrees(np.arctan(p / (2.0 * z)))))


@dataclass(frozen=True)
class VisibleBand:
    """
    Pitches that the eye sees well from a distance.

    Parameters
    ----------
    shortest, longest : float
        Pitches at which sensitivity has fallen to ``share`` of its peak. [m]
    most_visible : float
        Pitch at the peak. [m]
    """

    shortest: float
    longest: float
    most_visible: float


@lru_cache(maxsize=8)
def _band_frequencies(share: float) -> tuple[float, float, float]:
    """Frequencies of the peak, and below and above it where the sensitivity is ``share`` of the peak. [cycles/deg]."""
    grid = np.geomspace(SEARCH_LOW, SEARCH_HIGH, 20001)
    gain = contrast_sensitivity(grid)
    seen = np.nonzero(gain >= share * np.max(gain))[0]
    return float(grid[int(np.argmax(gain))]), float(grid[seen[0]]), float(grid[seen[-1]])


def visible_band(distance: float, *, share: float = 0.5) -> VisibleBand:
    """
    Band of pitches seen at a share of the peak sensitivity or better.

    Parameters
    ----------
    distance : float
        Eye to face, ``> 0``. [m]
    share : float
        Share of the peak sensitivity at the ends of the band, ``0 < share < 1``. [-]

    Returns
    -------
    VisibleBand
        Three pitches. [m]

    Raises
    ------
    ValueError
        If the distance or the share is out of range.

    References
    ----------
    watson-ahumada-2005.

    Examples
    --------
    >>> band = visible_band(0.6)
    >>> [round(1000 * pitch, 1) for pitch in (band.shortest, band.most_visible, band.longest)]
    [1.1, 3.0, 10.2]
    """
    if not 0.0 < share < 1.0:
        raise ValueError("share must be > 0 and < 1")
    z = float(within("distance", distance, low=0.0, open_low=True))
    peak, low, high = (2.0 * z * np.tan(np.radians(0.5 / f)) for f in _band_frequencies(share))
    return VisibleBand(shortest=float(high), longest=float(low), most_visible=float(peak))
