"""What a height map repeats along the grain: densities of relief and of texture across it, and their power by pitch."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

BANDS: Final = ((0.5e-3, 1e-3), (1e-3, 2e-3), (2e-3, 5e-3), (5e-3, 10e-3), (10e-3, 30e-3))
"""Bands of pitch in which lines are compared. [m]"""
OPTICAL: Final = (16e-6, 80e-6)
"""Wavelengths whose slopes scatter the light. [m]"""
FOUND: Final = 1e-300


def persistent_density(first: Floats, second: Floats, spacing: float) -> tuple[Floats, Floats]:
    r"""
    One-sided density across the grain of what two sets of rows have in common.

    Parameters
    ----------
    first, second : numpy.ndarray
        Rows of the two sets, shape ``(rows, points)``; each is averaged over its rows first. The same array twice gives the density of its
        mean, noise included.
    spacing : float
        Between points, ``> 0``. [m]

    Returns
    -------
    tuple of numpy.ndarray
        Frequency [cycles/m] without 0, and the real part of the cross-density; its unit is that of the rows squared times m.

    Notes
    -----
    Hann window over the whole width, scaled by its mean square; the mean and the slope are taken out.
    """
    if not (first.ndim == 2 and first.shape[1] == second.shape[1] and first.shape[1] >= 8 and spacing > 0.0):
        raise ValueError("two sets of rows of one length of at least 8 points, and a spacing > 0, are needed")
    points = first.shape[1]
    window = np.hanning(points)
    spectra = []
    for rows in (first, second):
        mean = np.mean(rows, axis=0, dtype=np.float64)
        place = np.arange(points) - 0.5 * (points - 1)
        mean = mean - np.mean(mean)
        mean = mean - place * (np.sum(place * mean) / np.sum(place * place))
        spectra.append(np.fft.rfft(mean * window))
    density = 2.0 * spacing * np.real(spectra[0] * np.conj(spectra[1])) / np.sum(window * window)
    return np.asarray(np.fft.rfftfreq(points, spacing)[1:], dtype=np.float64), np.asarray(density[1:])


def band_density(frequency: Floats, density: Floats, bands: tuple[tuple[float, float], ...] = BANDS) -> Floats:
    """
    Mean density in bands of pitch.

    Parameters
    ----------
    frequency, density : numpy.ndarray
        As from `persistent_density`.
    bands : tuple
        Pairs of shortest and longest pitch. [m]

    Returns
    -------
    numpy.ndarray
        One mean for each band; NaN for a band that the width or the spacing cannot show.
    """
    found = []
    for short, long in bands:
        inside = (frequency >= 1.0 / long) & (frequency <= 1.0 / short)
        shown = np.any(inside) and frequency[-1] >= 1.0 / short
        found.append(float(np.mean(density[inside])) if shown else np.nan)
    return np.asarray(found)


def averaged_columns(height: NDArray[np.float32], points: int) -> Floats:
    """
    Mean of each group of neighbouring samples.

    Parameters
    ----------
    height : numpy.ndarray
        Shape ``(rows, samples)``.
    points : int
        Samples to a group, ``>= 1``; a last incomplete group is dropped. [-]

    Returns
    -------
    numpy.ndarray
        Shape ``(rows, samples // points)``.
    """
    if not 1 <= points <= height.shape[1]:
        raise ValueError("points must be >= 1 and fit the row")
    groups = height.shape[1] // points
    return np.asarray(np.mean(height[:, : groups * points].reshape(height.shape[0], groups, points), axis=2, dtype=np.float64))


def slope_power(height: NDArray[np.float32], spacing: float, points: int, band: tuple[float, float] = OPTICAL) -> Floats:
    r"""
    Mean square slope across the grain within a band of wavelengths, in groups of neighbouring samples.

    Parameters
    ----------
    height : numpy.ndarray
        Shape ``(rows, samples)``. [m]
    spacing : float
        Between samples, ``> 0``. [m]
    points : int
        Samples to a group. [-]
    band : tuple of float
        Shortest and longest wavelength, at which the Gaussian filters pass half of a wave. [m]

    Returns
    -------
    numpy.ndarray
        Shape ``(rows, samples // points)``. [-]

    Notes
    -----
    Filter :math:`2^{-(f\lambda_s)^2} - 2^{-(f\lambda_l)^2}` on the central difference of the heights.

    References
    ----------
    iso-16610-21.
    """
    if not (spacing > 0.0 and 0.0 < band[0] < band[1]):
        raise ValueError("spacing must be > 0 and the band rising")
    frequency = np.fft.rfftfreq(height.shape[1], spacing)
    passed = 2.0 ** -((frequency * band[0]) ** 2) - 2.0 ** -((frequency * band[1]) ** 2)
    turn = 2j * np.pi * frequency * passed
    power = np.empty((height.shape[0], height.shape[1] // points))
    for row in range(height.shape[0]):
        line = height[row].astype(np.float64)
        slope = np.fft.irfft(np.fft.rfft(line - np.mean(line)) * turn, line.size)
        power[row] = np.mean((slope[: power.shape[1] * points] ** 2).reshape(power.shape[1], points), axis=1)
    return power


def texture_swing(power: Floats) -> Floats:
    r"""
    Relative swing of the slope roughness.

    Parameters
    ----------
    power : numpy.ndarray
        As from `slope_power`, shape ``(rows, groups)``.

    Returns
    -------
    numpy.ndarray
        :math:`\delta\sigma/\sigma = \tfrac12\,\delta(\sigma^2)/\overline{\sigma^2}`, linear in the power, so that means over rows stay
        what they are. [-]
    """
    return np.asarray(0.5 * (power / max(float(np.mean(power)), FOUND) - 1.0))
