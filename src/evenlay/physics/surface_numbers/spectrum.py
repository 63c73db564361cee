"""Spectrum of a surface across or along its grain, the amplitudes of its bands, and its slopes in the optical band."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]

BANDS: Final = ((0.5e-3, 1e-3), (1e-3, 2e-3), (2e-3, 5e-3), (5e-3, 10e-3), (10e-3, 30e-3))
"""Bands of pitch for which an amplitude is given, shortest and longest wave. [m]"""

OPTICAL_BAND: Final = (16e-6, 80e-6)
"""Waves whose slopes make the lobe of brushed metal (guess). [m]"""

OPTICAL_WAVES: Final = 10.0
"""Longest waves of the optical band that a trace must hold (ours). [-]"""

WAVES_NEEDED: Final = 2.0
"""Longest waves of a band that the length must hold: one is lost to levelling and to the fading at the ends. [-]"""

MOST_MISSING: Final = 0.1
"""Share of missing points up to which a row is bridged with straight lines. [-]"""


HANN_SPREAD: Final = 35.0 / 18.0
"""Bins of a Hann window that say one thing between them: mean fourth power of the window over its mean square squared. [-]"""


@dataclass(frozen=True)
class Spectrum:
    """
    One-sided power spectral density of heights along one axis.

    Parameters
    ----------
    frequency : numpy.ndarray
        Evenly from the first bin above 0 up to half the sampling rate, shape ``(m,)``. [cycles/m]
    density : numpy.ndarray
        Height squared per frequency; its sum times the step of frequency is the mean square height, shape ``(m,)``. [m3]
    length : float
        Of the rows. [m]
    spacing : float
        Between the points of a row. [m]
    rows : int
        Rows that were averaged.
    """

    frequency: Floats
    density: Floats
    length: float
    spacing: float
    rows: int

    @property
    def step(self) -> float:
        """From bin to bin. [cycles/m]"""
        return 1.0 / self.length


def bridged(rows: ArrayLike) -> Floats:
    """
    Rows with their holes bridged by straight lines; rows with too many holes left out.

    Parameters
    ----------
    rows : array_like
        Shape ``(ny, n)``; NaN where nothing was measured. [m]

    Returns
    -------
    numpy.ndarray
        Shape ``(k, n)``, k rows that miss no more than a tenth of their points. [m]

    Raises
    ------
    ValueError
        If no row is left.

    Examples
    --------
    >>> bridged([[0.0, float("nan"), *range(2, 12)], [float("nan")] * 12])[0, :3].tolist()
    [0.0, 1.0, 2.0]
    """
    z = np.atleast_2d(np.asarray(rows, dtype=np.float64))
    missing = ~np.isfinite(z)
    lacking = np.count_nonzero(missing, axis=1)
    kept = np.flatnonzero(lacking <= MOST_MISSING * z.shape[1])
    if kept.size == 0:
        raise ValueError("every row misses more than a tenth of its points")
    out = np.array(z[kept])
    place = np.arange(z.shape[1], dtype=np.float64)
    for row in np.flatnonzero(lacking[kept] > 0):
        hole = ~np.isfinite(out[row])
        out[row, hole] = np.interp(place[hole], place[~hole], out[row, ~hole])
    return out


def height_spectrum(rows: ArrayLike, *, spacing: float) -> Spectrum:
    r"""
    Spectrum of the rows of a map, each levelled, averaged over the rows.

    Parameters
    ----------
    rows : array_like
        Shape ``(ny, n)`` or ``(n,)``, n at least 16; NaN where nothing was measured. [m]
    spacing : float
        Distance between the points of a row, ``> 0``. [m]

    Returns
    -------
    Spectrum
        Of the mean of the rows, pass that mean as one row: what is left after averaging along the grain is what persists.

    Raises
    ------
    ValueError
        If a row is shorter than 16 points, all miss too much, or the spacing is not positive and finite.

    Notes
    -----
    Each row less its line of least squares, times a Hann window whose mean square is 1; :math:`S_k = 2\Delta|Z_k|^2/n`. A sine
    of amplitude A spreads its :math:`A^2/2` over three bins.

    References
    ----------
    welch-1967 (one segment as long as the row).

    Examples
    --------
    >>> x = np.arange(1000) * 1e-5
    >>> found = height_spectrum(1e-6 * np.sin(2.0 * np.pi * x / 5e-4), spacing=1e-5)
    >>> round(float(np.sum(found.density) * found.step) * 1e12, 3), round(1.0 / float(found.frequency[np.argmax(found.density)]), 6)
    (0.5, 0.0005)
    """
    z = bridged(rows)
    step, n = float(positive("spacing", spacing)), z.shape[1]
    if n < 16:
        raise ValueError(f"a spectrum needs at least 16 points in a row, there are {n}")
    window = np.sqrt(8.0 / 3.0) * 0.5 * (1.0 - np.cos(2.0 * np.pi * (np.arange(n) + 0.5) / n))
    place = np.linspace(-1.0, 1.0, n)
    place_square = float(np.sum(place * place))
    total = np.zeros(n // 2 + 1)
    block = max(1, 2_000_000 // n)
    for first in range(0, z.shape[0], block):
        part = z[first : first + block]
        tilt = np.sum(part * place, axis=1) / place_square
        part = (part - np.mean(part, axis=1)[:, None] - tilt[:, None] * place) * window
        total += np.sum(np.abs(np.fft.rfft(part, axis=1)) ** 2, axis=0)
    density = 2.0 * step / n * total / z.shape[0]
    if n % 2 == 0:
        density[-1] *= 0.5
    return Spectrum(np.arange(1, n // 2 + 1) / (n * step), density[1:], n * step, step, z.shape[0])


def band_power(spectrum: Spectrum, *, shortest: float, longest: float, order: int = 0) -> float:
    r"""
    Mean square height, slope or curvature of the waves in a band.

    Parameters
    ----------
    spectrum : Spectrum
    shortest, longest : float
        Waves of the band, ``0 < shortest < longest``. [m]
    order : int
        0 of the heights, 1 of the slopes, 2 of the curvatures. [-]

    Returns
    -------
    float
        :math:`\int (2\pi f)^{2k} S\,df` from 1/longest to 1/shortest; bins that the ends cut count by their part. [m2 to the power 1 - k]

    Raises
    ------
    ValueError
        If the band is empty, or the spacing cannot carry its shortest wave.

    References
    ----------
    derived (Parseval).

    Examples
    --------
    >>> level = Spectrum(np.arange(1.0, 101.0), np.full(100, 2.0), 1.0, 0.005, 1)
    >>> band_power(level, shortest=0.05, longest=0.1)
    20.0
    """
    if not 0.0 < shortest < longest < np.inf:
        raise ValueError("a band needs 0 < shortest < longest")
    if shortest < 2.0 * spectrum.spacing * (1.0 - 1e-9):
        raise ValueError(f"points {spectrum.spacing:.3g} m apart cannot carry waves of {shortest:.3g} m")
    low, high = 1.0 / longest, 1.0 / shortest
    half = 0.5 * spectrum.step
    part = np.clip(np.minimum(spectrum.frequency + half, high) - np.maximum(spectrum.frequency - half, low), 0.0, None)
    return float(np.sum(part * spectrum.density * (2.0 * np.pi * spectrum.frequency) ** (2 * order)))


@dataclass(frozen=True)
class BandAmplitude:
    """
    Height of the waves in one band of pitch.

    Parameters
    ----------
    shortest, longest : float
        Waves of the band. [m]
    rms : float
        Root mean square height; a lone sine has :math:`\\sqrt2` times this as its amplitude. [m]
    scatter : float
        Relative standard deviation of ``rms`` that chance alone gives one row of a random surface of this length. [-]
    """

    shortest: float
    longest: float
    rms: float
    scatter: float


def holds_band(*, length: float, spacing: float, shortest: float, longest: float) -> bool:
    """
    Whether a trace can speak of a band.

    Parameters
    ----------
    length : float
        Of the trace. [m]
    spacing : float
        Between its points. [m]
    shortest, longest : float
        Waves of the band. [m]

    Returns
    -------
    bool
        The trace holds two of the longest waves, and four points fall on the shortest.

    References
    ----------
    derived; two and four are ours.

    Examples
    --------
    >>> [holds_band(length=0.04, spacing=1e-5, shortest=longest / 2, longest=longest) for longest in (1e-2, 3e-2)]
    [True, False]
    """
    return bool(length >= WAVES_NEEDED * longest * (1.0 - 1e-9) and spacing <= 0.25 * shortest * (1.0 + 1e-9))


def band_amplitudes(spectrum: Spectrum, *, bands: tuple[tuple[float, float], ...] = BANDS) -> tuple[BandAmplitude | None, ...]:
    r"""
    Amplitudes of the bands of pitch in which lines are judged.

    Parameters
    ----------
    spectrum : Spectrum
        Across the grain.
    bands : tuple of pairs of float
        Shortest and longest wave of each. [m]

    Returns
    -------
    tuple of (BandAmplitude or None)
        None where `holds_band` says that the trace cannot speak of the band.

    Notes
    -----
    A band holds about :math:`L(1/\lambda_1 - 1/\lambda_2)` independent bins of a random surface, fewer by the
    window's factor of 1.9; the mean square of each scatters by its own size, so the rms scatters by :math:`1/(2\sqrt{N})`.

    A line nearer than two bins to the end of a band counts in part in the next one.

    References
    ----------
    derived.

    Examples
    --------
    >>> x = np.arange(20000) * 5e-6
    >>> found = band_amplitudes(height_spectrum(1e-6 * np.sin(2.0 * np.pi * x / 3e-3), spacing=5e-6))
    >>> [round(each.rms * 1e6, 3) for each in found]
    [0.0, 0.0, 0.707, 0.0, 0.0]
    """
    found: list[BandAmplitude | None] = []
    for shortest, longest in bands:
        if not holds_band(length=spectrum.length, spacing=spectrum.spacing, shortest=shortest, longest=longest):
            found.append(None)
            continue
        bins = max(spectrum.length * (1.0 / shortest - 1.0 / longest) / HANN_SPREAD, 1.0)
        power = band_power(spectrum, shortest=shortest, longest=longest)
        found.append(BandAmplitude(shortest, longest, float(np.sqrt(power)), float(0.5 / np.sqrt(bins))))
    return tuple(found)


def optical_slope(spectrum: Spectrum, *, band: tuple[float, float] = OPTICAL_BAND) -> float:
    r"""
    Root mean square slope in the band of waves that throws the light about.

    Parameters
    ----------
    spectrum : Spectrum
        Across the grain for ``slope_across``, along it for ``slope_along``.
    band : pair of float
        Shortest and longest wave. [m]

    Returns
    -------
    float
        :math:`\sqrt{\int (2\pi f)^2 S\,df}`. [-]

    Raises
    ------
    ValueError
        If the points lie further apart than half the shortest wave, or the trace is shorter than ten of the longest.

    References
    ----------
    derived (Parseval); the band is a guess of day zero.

    Examples
    --------
    >>> x = np.arange(8000) * 2e-6
    >>> round(optical_slope(height_spectrum(1e-6 * np.sin(2.0 * np.pi * x / 4e-5), spacing=2e-6)), 4)
    0.1111
    """
    if not spectrum.length >= OPTICAL_WAVES * band[1] * (1.0 - 1e-9):
        raise ValueError(f"a trace of {spectrum.length:.3g} m is shorter than ten waves of {band[1]:.3g} m")
    return float(np.sqrt(band_power(spectrum, shortest=band[0], longest=band[1], order=1)))
