"""One standard observer for lines, edges, gratings and pictures."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
from numpy.typing import ArrayLike

from evenlay.physics.viewing.masking import MaskingNoise, masked_sensitivity
from evenlay.physics.viewing.ranges import Floats, within
from evenlay.physics.viewing.sensitivity import (
    APERTURE,
    POOLING,
    contrast_sensitivity,
    cycles_per_degree,
    degrees_per_metre,
    oblique_effect,
)

PHASES = 64
"""Points of one period at which a grating's response is taken: enough for 12 harmonics. [-]"""


def _pooled(response: Floats, pitch: float, across: float) -> Floats:
    """Pooled response of the last axis under the aperture, at the point where looking shows most; ``across`` pools the other axis."""
    count = response.shape[-1]
    power = np.abs(response) ** POOLING
    position = np.arange(count, dtype=np.float64) * pitch
    window = np.exp(-0.5 * POOLING * (position / APERTURE) ** 2)
    size = 2 * count
    kernel = np.concatenate((window, np.zeros(1), window[:0:-1]))
    summed = np.fft.irfft(np.fft.rfft(power, size, axis=-1) * np.fft.rfft(kernel), size, axis=-1)[..., :count]
    return np.asarray((np.maximum(np.max(summed, axis=-1), 0.0) * pitch * across) ** (1.0 / POOLING))


def observer_visibility(profile: ArrayLike, *, spacing: float, distance: float, noise: MaskingNoise | None = None) -> Floats:
    r"""
    Visibility of a luminance profile across the grain, unbroken along it.

    Parameters
    ----------
    profile : array_like
        Luminance contrast (luminance over its mean, less 1; a mean that is left is taken off) on even points across the face,
        shape ``(n, ny)`` or ``(ny,)``. [-]
    spacing : float
        Distance of the points, ``> 0``; an eighth of the finest pitch that matters keeps the pooling to 0.5 %, a quarter to 3 %. [m]
    distance : float
        Eye to face, ``> 0``. [m]
    noise : MaskingNoise, optional
        Random texture of the same finish; none gives the plain observer.

    Returns
    -------
    numpy.ndarray
        Times just-visible for the best point of view, shape ``(n,)`` or ``()``. [-]

    Raises
    ------
    ValueError
        If the profile has fewer than two points or is not finite, or spacing or distance is not positive.

    Notes
    -----
    :math:`V = \max_{y_0}\left(\sqrt{2\pi\sigma^2/\beta}\int |r(y)|^\beta e^{-\beta(y-y_0)^2/2\sigma^2}dy\right)^{1/\beta}`,
    r the profile filtered with the (masked) contrast sensitivity; the first factor is the pooling along an unbroken line. The profile
    is mirrored at its ends, so the edge of the face is not taken for a line. A slow drift over a wide face counts with the sensitivity of
    the standard observer at its lowest frequencies, 56, which errs towards visible.

    References
    ----------
    watson-ahumada-2005; pelli-1981 for the masking; derived for the unbroken line.

    Examples
    --------
    A grating of 1 % and 3 mm pitch at 0.6 m:

    >>> y = np.arange(600) * 0.00025
    >>> float(observer_visibility(0.01 * np.cos(2 * np.pi * y / 0.003), spacing=0.00025, distance=0.6).round(2))
    1.6
    """
    contrast = within("profile", profile, low=-np.inf, open_low=True)
    count = contrast.shape[-1] if contrast.ndim else 0
    if count < 2:
        raise ValueError("profile must have at least two points")
    step = float(within("spacing", spacing, low=0.0, open_low=True))
    angle = float(degrees_per_metre(distance))
    rows = contrast.reshape(-1, count)
    rows = rows - np.mean(rows, axis=1, keepdims=True)
    size = 2 * count
    folded = np.concatenate((rows, rows[:, ::-1]), axis=1)
    frequency = np.asarray(np.fft.rfftfreq(size, d=step), dtype=np.float64)
    if noise is None:
        gain = contrast_sensitivity(frequency / angle)[None, :]
    else:
        gain = masked_sensitivity((frequency / angle)[None, :], noise.at(frequency), scale=np.asarray(noise.scale)[..., None])
    response = np.fft.irfft(np.fft.rfft(folded, axis=1) * gain, size, axis=1)[:, :count]
    across = sqrt(2.0 * pi / POOLING) * APERTURE
    seen = _pooled(response, step * angle, across)
    return np.asarray(seen.reshape(contrast.shape[:-1]))


def grating_visibility(
    amplitudes: ArrayLike, *, pitch: ArrayLike, distance: float, noise: MaskingNoise | None = None, shifts: ArrayLike | None = None
) -> Floats:
    r"""
    Visibility of marks that repeat at one pitch, straight and wide against the aperture.

    Parameters
    ----------
    amplitudes : array_like
        Contrast amplitudes of the harmonics 1, 2, ... of the luminance (half of peak to valley for a pure wave), shape ``(n, k)`` or
        ``(k,)``. [-]
    pitch : array_like
        Spacing of the marks, scalar or ``(n,)``, ``> 0``. [m]
    distance : float
        Eye to face, ``> 0``. [m]
    noise : MaskingNoise, optional
        Random texture met by marks of this direction; none gives the plain observer.
    shifts : array_like, optional
        Phases of the harmonics as cosines, shape of ``amplitudes``; 0 (a row of sharp marks) when not given. [rad]

    Returns
    -------
    numpy.ndarray
        Times just-visible for the best point of view, shape ``(n,)``. [-]

    Raises
    ------
    ValueError
        If more than 16 harmonics are given, or a value is out of range.

    Notes
    -----
    The pooled power of one period has Fourier coefficients :math:`g_k`; the aperture passes
    :math:`e^{-2\pi^2\sigma^2k^2/(\beta p^2)}` of each.
    For a pitch far below the aperture only the mean is left and one harmonic gives :math:`V = \kappa_g\,A\,H(f)`.

    References
    ----------
    watson-ahumada-2005; pelli-1981 for the masking; derived for the periodic case.

    Examples
    --------
    >>> grating_visibility([0.01], pitch=0.003, distance=0.6).round(2)
    array([1.6])
    """
    size = np.atleast_2d(within("amplitudes", amplitudes, low=-np.inf, open_low=True))
    if size.shape[-1] > PHASES // 4:
        raise ValueError(f"amplitudes must have at most {PHASES // 4} harmonics")
    spacing = np.atleast_1d(within("pitch", pitch, low=0.0, open_low=True))
    order = np.arange(1.0, size.shape[-1] + 1.0)
    z = float(within("distance", distance, low=0.0, open_low=True))
    first = cycles_per_degree(pitch=spacing, distance=z)
    on_face = np.asarray(order / spacing[:, None], dtype=np.float64)
    if noise is None:
        gain = contrast_sensitivity(first[:, None] * order)
    else:
        gain = masked_sensitivity(first[:, None] * order, noise.at(on_face), scale=np.asarray(noise.scale)[..., None])
    phase = 2.0 * pi * np.arange(PHASES) / PHASES
    start = np.zeros_like(size) if shifts is None else np.broadcast_to(within("shifts", shifts, low=-np.inf, open_low=True), size.shape)
    wave = np.cos(order[:, None] * phase + start[..., None])
    response = np.sum((size * gain)[..., None] * wave, axis=1)
    power = np.fft.rfft(np.abs(response) ** POOLING, axis=-1)
    index = np.arange(power.shape[-1])
    passed = np.exp(-2.0 * (pi * APERTURE * index * first[:, None]) ** 2 / POOLING)
    around = np.fft.irfft(power * passed, PHASES, axis=-1)
    return np.asarray((np.maximum(np.max(around, axis=-1), 0.0) * 2.0 * pi * APERTURE**2 / POOLING) ** (1.0 / POOLING))


def picture_visibility(picture: Floats, *, pixels_per_degree: float, oblique: bool = True) -> float:
    r"""
    Visibility of a picture for an eye that looks at its centre.

    Parameters
    ----------
    picture : numpy.ndarray
        Luminance contrast, shape ``(rows, columns)``; 0 around it. [-]
    pixels_per_degree : float
        ``> 0``. [1/deg]
    oblique : bool
        With the loss of sensitivity to slanting patterns.

    Returns
    -------
    float
        Times just-visible. [-]

    Notes
    -----
    :math:`V = (\int\int |r|^\beta\,dA)^{1/\beta}`, r the filtered picture times the aperture :math:`e^{-\rho^2/2\sigma^2}`.

    References
    ----------
    watson-ahumada-2005.

    Examples
    --------
    >>> round(picture_visibility(np.zeros((8, 8)), pixels_per_degree=60.0), 3)
    0.0
    """
    contrast = within("picture", picture, low=-np.inf, open_low=True)
    scale = float(within("pixels_per_degree", pixels_per_degree, low=0.0, open_low=True))
    rows, columns = contrast.shape
    tall, wide = 2 * rows, 2 * columns
    along = np.fft.fftfreq(tall, d=1.0 / scale)[:, None]
    across = np.fft.rfftfreq(wide, d=1.0 / scale)[None, :]
    gain = contrast_sensitivity(np.hypot(along, across))
    if oblique:
        gain = gain * oblique_effect(across, along)
    response = np.fft.irfft2(np.fft.rfft2(contrast, s=(tall, wide)) * gain, s=(tall, wide))[:rows, :columns]
    y = (np.arange(rows) - (rows - 1) / 2.0)[:, None] / scale
    x = (np.arange(columns) - (columns - 1) / 2.0)[None, :] / scale
    seen = np.abs(response * np.exp(-0.5 * (x * x + y * y) / APERTURE**2)) ** POOLING
    return float((np.sum(seen) / scale**2) ** (1.0 / POOLING))


def edge_threshold_second_opinion(radius: ArrayLike) -> Floats:
    """
    Contrast at which a single soft edge is just seen, from another model of sensitivity.

    Parameters
    ----------
    radius : array_like
        Radius of the lit field around the point looked at, ``> 0``. [deg]

    Returns
    -------
    numpy.ndarray
        Contrast of the two sides: 0.005 at 1 deg, 0.003 at 5 deg, straight between in the logarithms and level beyond. [-]

    Notes
    -----
    For 100-300 cd/m2. Measured discs of 1 deg gave about 0.01: this is an opinion beside the standard observer, not part of its number.

    References
    ----------
    edge-second-opinion.

    Examples
    --------
    >>> edge_threshold_second_opinion([1.0, 5.0])
    array([0.005, 0.003])
    """
    field = np.log(within("radius", radius, low=0.0, open_low=True))
    return np.asarray(np.exp(np.interp(field, np.log([1.0, 5.0]), np.log([0.005, 0.003]))))
