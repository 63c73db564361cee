"""What a step that smooths does to each band of pitch: measured before and after, and laid on a drawn surface."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.physics.surface_numbers.reading import rows_across
from evenlay.physics.surface_numbers.spectrum import (
    BANDS,
    OPTICAL_BAND,
    WAVES_NEEDED,
    BandAmplitude,
    band_amplitudes,
    height_spectrum,
    holds_band,
)
from evenlay.physics.surface_numbers.surface import Surface
from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]

SMOOTHING_BANDS: Final = (OPTICAL_BAND, (OPTICAL_BAND[1], BANDS[0][0]), *BANDS)
"""Waves of the light, waves of the grooves between, and the five bands in which lines are judged. [m]"""


@dataclass(frozen=True)
class SmoothingFactor:
    """
    What is left of the amplitude of one band.

    Parameters
    ----------
    shortest, longest : float
        Waves of the band. [m]
    factor : float
        Root mean square height after over before; above 1 where the step roughens. [-]
    scatter : float
        Relative standard deviation of ``factor`` that chance alone gives one row before and one after. [-]
    """

    shortest: float
    longest: float
    factor: float
    scatter: float

    @property
    def centre(self) -> float:
        """Geometric middle of the band. [m]"""
        return float(np.sqrt(self.shortest * self.longest))


@dataclass(frozen=True)
class Smoothing:
    """
    All bands of a step, measured.

    Parameters
    ----------
    factors : tuple of SmoothingFactor
        Of the bands that both surfaces can speak of, shortest waves first.
    reasons : tuple of (tuple of float, str)
        The other bands, shortest and longest wave [m], and why nothing is said.
    """

    factors: tuple[SmoothingFactor, ...]
    reasons: tuple[tuple[tuple[float, float], str], ...]


def measured_smoothing(before: Surface, after: Surface) -> Smoothing:
    r"""
    Smoothing of a step from one surface before it and one after it.

    Parameters
    ----------
    before, after : Surface
        Maps or traces across the grain; the same place is not needed, the same face is. Spacings and lengths may differ.

    Returns
    -------
    Smoothing

    Raises
    ------
    ValueError
        If a trace runs along the grain, a row is too short for a spectrum, or no band can be told.

    Notes
    -----
    In each band :math:`g = \sqrt{P_\mathrm{after}/P_\mathrm{before}}`, P the mean square height of single rows. The relative variances
    of both amplitudes, :math:`1/(4N)` each, add. The noise of the instrument is in P: where little is left the factor comes out too large.
    Nothing is taken from theory: how a non-woven step smooths is not known well enough to be worked out.

    References
    ----------
    derived (ratio of band powers).

    Examples
    --------
    >>> from evenlay.physics.surface_numbers.surface import trace
    >>> rough = np.random.default_rng(1).normal(size=20000) * 1e-7
    >>> pair = [trace(part * rough, spacing=4e-6, along="y") for part in (1.0, 0.4)]
    >>> {round(each.factor, 6) for each in measured_smoothing(*pair).factors}
    {0.4}
    """
    spectra = []
    for word, surface in (("before", before), ("after", after)):
        if surface.is_trace and surface.along == "x":
            raise ValueError(f"the trace {word} the step runs along the grain: smoothing is measured across it")
        across = rows_across(surface)
        spectra.append(height_spectrum(across.height, spacing=across.spacing))
    factors: list[SmoothingFactor] = []
    reasons: list[tuple[tuple[float, float], str]] = []
    for shortest, longest in SMOOTHING_BANDS:
        lacking = [
            f"the surface {word} the step {_lacks(spectrum.length, spectrum.spacing, shortest, longest)}"
            for word, spectrum in zip(("before", "after"), spectra, strict=True)
            if not holds_band(length=spectrum.length, spacing=spectrum.spacing, shortest=shortest, longest=longest)
        ]
        if lacking:
            reasons.append(((shortest, longest), "; ".join(lacking)))
            continue
        amplitudes = [band_amplitudes(spectrum, bands=((shortest, longest),))[0] for spectrum in spectra]
        found = _factor(*amplitudes)
        if found is None:
            reasons.append(((shortest, longest), "the surface before the step has no height in this band"))
        else:
            factors.append(found)
    if not factors:
        raise ValueError(f"no band of pitch can be compared: {reasons[0][1]}")
    return Smoothing(tuple(factors), tuple(reasons))


def _lacks(length: float, spacing: float, shortest: float, longest: float) -> str:
    if length < WAVES_NEEDED * longest * (1.0 - 1e-9):
        return f"is {length * 1e3:.3g} mm long: {WAVES_NEEDED * longest * 1e3:g} mm at least"
    return f"has points {spacing * 1e6:.3g} µm apart: {shortest * 0.25e6:g} µm at most"


def _factor(before: BandAmplitude | None, after: BandAmplitude | None) -> SmoothingFactor | None:
    if before is None or after is None or not before.rms > 0.0:
        return None
    scatter = float(np.hypot(before.scatter, after.scatter))
    return SmoothingFactor(before.shortest, before.longest, after.rms / before.rms, scatter)


def transmission(pitch: ArrayLike, factors: tuple[SmoothingFactor, ...]) -> Floats:
    """
    Share of a wave's amplitude that a step leaves.

    Parameters
    ----------
    pitch : array_like
        ``> 0``; infinity is longer than every band. [m]
    factors : tuple of SmoothingFactor
        At least one; the order does not matter.

    Returns
    -------
    numpy.ndarray
        The factor of a band at its middle, between middles straight in the logarithm of pitch, level beyond the ends. [-]

    Raises
    ------
    ValueError
        If there is no factor, a factor is negative or not finite, two bands have the same middle, or a pitch is not above zero.

    References
    ----------
    derived; the straight line between is ours.

    Examples
    --------
    >>> two = (SmoothingFactor(1e-5, 1e-5, 0.2, 0.0), SmoothingFactor(1e-3, 1e-3, 0.8, 0.0))
    >>> transmission([1e-6, 1e-4, 1e-3, float("inf")], two).round(6).tolist()
    [0.2, 0.5, 0.8, 0.8]
    """
    wave = np.asarray(pitch, dtype=np.float64)
    if not np.all(wave > 0.0):
        raise ValueError("pitch must be > 0")
    if not factors:
        raise ValueError("at least one band must be measured")
    ordered = sorted(factors, key=lambda each: each.centre)
    place = np.log(positive("bands", [each.centre for each in ordered]))
    left = np.array([each.factor for each in ordered])
    if not np.all((left >= 0.0) & (left < np.inf)):
        raise ValueError("a factor must be finite and not negative")
    if np.any(np.diff(place) <= 0.0):
        raise ValueError("two bands have the same middle")
    return np.asarray(np.interp(np.log(np.minimum(wave, 1e9)), place, left))


def smoothed(height: ArrayLike, *, spacing: float, factors: tuple[SmoothingFactor, ...]) -> Floats:
    r"""
    Heights after a step that smooths each band of pitch by its factor.

    Parameters
    ----------
    height : array_like
        Rows across the grain, levelled, shape ``(..., n)``, n at least 2. [m]
    spacing : float
        Distance between the points of a row, ``> 0``. [m]
    factors : tuple of SmoothingFactor
        As measured; all 1 change nothing.

    Returns
    -------
    numpy.ndarray
        Same shape; the mean of each row is kept, and nothing changes along the grain but by what changes in the rows. [m]

    Raises
    ------
    ValueError
        If a height is missing or not finite, a row is too short, or as `transmission`.

    Notes
    -----
    Each row is mirrored at its ends and its waves are multiplied by `transmission`. That is a linear filter: done twice it is the filter
    of the squares, and the sum of two surfaces becomes the sum of what becomes of each. A step that cuts peaks more than valleys is not
    linear: skewness of the result says nothing. New scratches of the step itself are not drawn.

    References
    ----------
    derived (cosine series).

    Examples
    --------
    >>> x = (np.arange(1000) + 0.5) * 1e-5
    >>> row = np.cos(2.0 * np.pi * x / 1e-3)
    >>> half = (SmoothingFactor(0.5e-3, 2e-3, 0.5, 0.1),)
    >>> bool(np.allclose(smoothed(row, spacing=1e-5, factors=half), 0.5 * row))
    True
    """
    z = np.asarray(height, dtype=np.float64)
    step = float(positive("spacing", spacing))
    if z.ndim < 1 or z.shape[-1] < 2:
        raise ValueError("a row needs at least two points")
    if not np.all(np.isfinite(z)):
        raise ValueError("every height must be finite: bridge the holes first")
    n = z.shape[-1]
    gain = np.ones(n + 1)
    gain[1:] = transmission(2.0 * n * step / np.arange(1, n + 1), factors)
    out = np.empty_like(z)
    rows, into = z.reshape(-1, n), out.reshape(-1, n)
    block = max(1, 1_000_000 // n)
    for first in range(0, rows.shape[0], block):
        part = rows[first : first + block]
        waves = np.fft.rfft(np.concatenate([part, part[:, ::-1]], axis=1), axis=1) * gain
        into[first : first + block] = np.fft.irfft(waves, 2 * n, axis=1)[:, :n]
    return out
