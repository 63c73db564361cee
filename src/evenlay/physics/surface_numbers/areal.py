"""Slopes, area and direction of a map: Sdq, Sdr, Std."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.physics.surface_numbers.heights import slopes
from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]

ANGLE_STEP: Final = np.pi / 180.0
"""Width of a class of directions. [rad]"""

SPREAD: Final = np.pi / 36.0
"""Standard deviation of the bell that smooths the angular spectrum. [rad]"""

MOST_STEPS: Final = 100
"""Steps towards the top of the smoothed angular spectrum."""


@dataclass(frozen=True)
class Gradients:
    """
    Slopes of a map.

    Parameters
    ----------
    Sdq : float
        Root mean square gradient. [-]
    Sdr : float
        Developed area over the flat one, less 1. [-]
    slope_x, slope_y : float
        Root mean square slope along x and along y. [-]
    """

    Sdq: float
    Sdr: float
    slope_x: float
    slope_y: float


def gradients(height: ArrayLike, *, spacing_x: float, spacing_y: float) -> Gradients:
    r"""
    Root mean square gradient and developed area.

    Parameters
    ----------
    height : array_like
        Shape ``(ny, nx)``, at least seven each way; NaN where nothing was measured. [m]
    spacing_x, spacing_y : float
        Distance between columns and between rows, ``> 0``. [m]

    Returns
    -------
    Gradients
        Over the points that have both slopes, by the seven-point rule.

    Raises
    ------
    ValueError
        If no point has both slopes, or as `slopes`.

    Notes
    -----
    :math:`\mathrm{Sdq}^2 = \overline{z_x^2 + z_y^2}`, :math:`\mathrm{Sdr} = \overline{\sqrt{1 + z_x^2 + z_y^2} - 1}`. Triangles between
    the points instead of slopes make both smaller at coarse spacing (4 per mille of Sdr at 32 points to a wave).

    References
    ----------
    iso-25178-2, Sdq and Sdr.

    Examples
    --------
    >>> ramp = np.tile(np.arange(9.0) * 3e-6, (9, 1))
    >>> found = gradients(ramp, spacing_x=4e-6, spacing_y=4e-6)
    >>> round(found.Sdq, 9), round(found.Sdr, 9), round(found.slope_y, 9)
    (0.75, 0.25, 0.0)
    """
    z = np.asarray(height, dtype=np.float64)
    if z.ndim != 2 or min(z.shape) < 7:
        raise ValueError("slopes of a map need at least seven rows and seven columns")
    along_x = slopes(z[3:-3], spacing=spacing_x)
    along_y = slopes(z[:, 3:-3].T, spacing=spacing_y).T
    both = ~(np.isnan(along_x) | np.isnan(along_y))
    if not np.any(both):
        raise ValueError("no point has seven measured points in both directions")
    square_x, square_y = along_x[both] ** 2, along_y[both] ** 2
    square = square_x + square_y
    return Gradients(
        Sdq=float(np.sqrt(np.mean(square))),
        Sdr=float(np.mean(square / (np.sqrt(1.0 + square) + 1.0))),
        slope_x=float(np.sqrt(np.mean(square_x))),
        slope_y=float(np.sqrt(np.mean(square_y))),
    )


def texture_direction(height: ArrayLike, *, spacing_x: float, spacing_y: float) -> float:
    r"""
    Std: direction of the grain.

    Parameters
    ----------
    height : array_like
        Filtered, levelled map, shape ``(ny, nx)``, at least three each way; a missing point counts as lying on the mean. [m]
    spacing_x, spacing_y : float
        Distance between columns and between rows, ``> 0``. [m]

    Returns
    -------
    float
        Counter-clockwise from +x with y upwards, 0 to pi: 0 where the scratches run along x. Says little where Str is near 1. [rad]

    Raises
    ------
    ValueError
        If all heights are equal, the map is too small, or a spacing is not positive and finite.

    Notes
    -----
    The power spectrum (Hann window) is summed in classes of direction one degree wide, up to the frequency that both spacings carry,
    and smoothed over five degrees. From its highest class the direction moves to the mean of the power under the same bell about it,
    until it stays: the top of the smoothed angular spectrum, in which heights change most; the grain runs across it.

    References
    ----------
    iso-25178-2, Std, from the angular spectrum.

    Examples
    --------
    >>> y, x = np.mgrid[0:256, 0:256]
    >>> waves = np.sin(2.0 * np.pi * (x * np.cos(0.3) + y * np.sin(0.3)) / 8.0)
    >>> round(texture_direction(waves, spacing_x=1e-6, spacing_y=1e-6) - np.pi / 2, 2)
    0.3
    """
    z = np.asarray(height, dtype=np.float64)
    dx, dy = float(positive("spacing_x", spacing_x)), float(positive("spacing_y", spacing_y))
    if z.ndim != 2 or min(z.shape) < 3:
        raise ValueError("a direction needs at least three rows and three columns")
    measured = np.isfinite(z)
    mean = float(np.mean(z[measured])) if np.any(measured) else 0.0
    window = np.hanning(z.shape[0] + 2)[1:-1, None] * np.hanning(z.shape[1] + 2)[1:-1]
    power = np.abs(np.fft.rfft2(np.where(measured, z - mean, 0.0) * window)) ** 2
    fy, fx = np.fft.fftfreq(z.shape[0], dy)[:, None], np.fft.rfftfreq(z.shape[1], dx)[None, :]
    radius = np.hypot(fx, fy)
    counted = (radius > 0.0) & (radius <= 0.5 / max(dx, dy))
    power = np.where(counted, power, 0.0)
    power[:, 0] *= 0.5  # this column stands for both signs of the frequency, and is there twice
    if not np.sum(power) > 0.0:
        raise ValueError("all heights are equal: there is no direction")
    angle = np.arctan2(fy, fx)
    classes = round(np.pi / ANGLE_STEP)
    index = np.round(angle / ANGLE_STEP).astype(np.int64) % classes
    spectrum = np.bincount(index.ravel(), weights=power.ravel(), minlength=classes)
    apart = (np.arange(classes) + classes // 2) % classes - classes // 2
    bell = np.fft.rfft(np.exp(-0.5 * (apart * ANGLE_STEP / SPREAD) ** 2))
    across = float(np.argmax(np.fft.irfft(np.fft.rfft(spectrum) * bell, classes))) * ANGLE_STEP
    double = np.exp(2j * angle)
    for _ in range(MOST_STEPS):
        turned = np.angle(double * np.exp(-2j * across)) / 2.0
        step = 0.5 * float(np.angle(np.sum(power * np.exp(-0.5 * (turned / SPREAD) ** 2) * np.exp(2j * turned))))
        across += step
        if abs(step) < 1e-7:
            break
    return float((across + np.pi / 2) % np.pi)
