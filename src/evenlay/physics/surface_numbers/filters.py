"""Gaussian filters of profiles and maps, and the removal of form; missing points stay missing and weigh nothing."""

from __future__ import annotations

from itertools import combinations_with_replacement
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]

ALPHA: Final = float(np.sqrt(np.log(2.0) / np.pi))
"""Constant that makes a sine of the cut-off wavelength pass to one half. [-]"""

REACH: Final = 1.0
"""Half-width of the weighting function as computed, in cut-offs: 0.999 999 91 of its area. [-]"""


def gaussian_weight(position: ArrayLike, *, cutoff: float) -> Floats:
    r"""
    Weighting function of the Gaussian filter.

    Parameters
    ----------
    position : array_like
        Distance from the point whose mean is formed. [m]
    cutoff : float
        :math:`\lambda_c`, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`s(x) = e^{-\pi(x/\alpha\lambda_c)^2}/(\alpha\lambda_c)`; its integral is 1. [1/m]

    Raises
    ------
    ValueError
        If the cut-off is not positive and finite.

    References
    ----------
    iso-16610-21, weighting function.

    Examples
    --------
    >>> float(gaussian_weight(0.0, cutoff=1.0).round(6))
    2.128934
    """
    width = ALPHA * float(positive("cutoff", cutoff))
    return np.asarray(np.exp(-np.pi * (np.asarray(position, dtype=np.float64) / width) ** 2) / width)


def long_wave_transmission(wavelength: ArrayLike, *, cutoff: float) -> Floats:
    r"""
    Share of a sine's amplitude that the mean line keeps.

    Parameters
    ----------
    wavelength : array_like
        :math:`\lambda`, ``> 0``; infinity passes whole. [m]
    cutoff : float
        :math:`\lambda_c`, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`2^{-(\lambda_c/\lambda)^2}`; roughness keeps the rest. [-]

    Raises
    ------
    ValueError
        If the cut-off is not positive and finite or a wavelength is not positive.

    References
    ----------
    iso-16610-21, transmission of the mean line.

    Examples
    --------
    >>> long_wave_transmission([0.4e-3, 0.8e-3, 1.6e-3], cutoff=0.8e-3).round(4).tolist()
    [0.0625, 0.5, 0.8409]
    """
    length = np.asarray(wavelength, dtype=np.float64)
    if not np.all(length > 0.0):
        raise ValueError("wavelength must be > 0")
    return np.asarray(2.0 ** (-((float(positive("cutoff", cutoff)) / length) ** 2)))


def gaussian_mean(height: ArrayLike, *, spacing: float, cutoff: float) -> Floats:
    r"""
    Mean line of a profile, or of every row of a map.

    Parameters
    ----------
    height : array_like
        Heights, shape ``(..., n)``; NaN where nothing was measured. [m]
    spacing : float
        Distance between points of the last axis, ``> 0``. [m]
    cutoff : float
        :math:`\lambda_c`, ``> 0``; shorter than a third of the spacing nothing is averaged. [m]

    Returns
    -------
    numpy.ndarray
        Same shape; NaN where no point lies within reach. Within half a cut-off of an end, or of a hole, the weights are those of the
        points that there are, scaled to one: leave that much out at both ends where the standard's line is wanted. [m]

    Raises
    ------
    ValueError
        If the spacing or cut-off is not positive and finite.

    Notes
    -----
    :math:`\bar z_i = \sum_k s_k m_{i+k} z_{i+k} / \sum_k s_k m_{i+k}` with m = 1 where measured, for :math:`|x_k| \le \lambda_c`.

    References
    ----------
    iso-16610-21, weighting function; iso-16610-28, ends (zero order).

    Examples
    --------
    >>> gaussian_mean([1.0, 1.0, float("nan"), 1.0], spacing=0.1, cutoff=0.2).round(12).tolist()
    [1.0, 1.0, 1.0, 1.0]
    """
    z = np.asarray(height, dtype=np.float64)
    step = float(positive("spacing", spacing))
    reach = min(int(np.ceil(REACH * float(positive("cutoff", cutoff)) / step)), max(z.shape[-1] - 1, 0))
    weights = gaussian_weight(np.arange(-reach, reach + 1) * step, cutoff=cutoff)
    weights /= np.sum(weights)
    measured = np.isfinite(z)
    whole = bool(np.all(measured))
    summed = _convolved(z if whole else np.where(measured, z, 0.0), weights)
    if whole:
        return np.asarray(summed / _convolved(np.ones(z.shape[-1]), weights))
    weighed = _convolved(measured.astype(np.float64), weights)
    near = weighed > 1e-9
    return np.asarray(np.where(near, summed / np.where(near, weighed, 1.0), np.nan))


def _convolved(rows: Floats, weights: Floats) -> Floats:
    """Rows convolved with an odd number of weights, same length, zero outside; block by block so that memory stays bounded."""
    n, reach = rows.shape[-1], weights.size // 2
    size = fast_length(n + 2 * reach)
    kernel = np.fft.rfft(weights, size)
    flat = rows.reshape(-1, n)
    out = np.empty_like(flat)
    block = max(1, int(4_000_000 // size))
    for first in range(0, flat.shape[0], block):
        part = flat[first : first + block]
        out[first : first + block] = np.fft.irfft(np.fft.rfft(part, size, axis=-1) * kernel, size, axis=-1)[:, reach : reach + n]
    return out.reshape(rows.shape)


def fast_length(at_least: int) -> int:
    """
    Length at which a Fourier transform is quick.

    Parameters
    ----------
    at_least : int
        Points needed, ``>= 1``. [-]

    Returns
    -------
    int
        Smallest number not below that whose only factors are 2, 3 and 5. [-]

    Examples
    --------
    >>> fast_length(17), fast_length(121), fast_length(1)
    (18, 125, 1)
    """
    best = 1 << max(at_least - 1, 0).bit_length()
    five = 1
    while five < best:
        three = five
        while three < best:
            best = min(best, three << max(-(-at_least // three) - 1, 0).bit_length())
            three *= 3
        five *= 5
    return best


def gaussian_mean_surface(height: ArrayLike, *, spacing_x: float, spacing_y: float, cutoff: float) -> Floats:
    r"""
    Mean surface of a map.

    Parameters
    ----------
    height : array_like
        Heights, shape ``(ny, nx)``; NaN where nothing was measured. [m]
    spacing_x, spacing_y : float
        Distance between columns and between rows, ``> 0``. [m]
    cutoff : float
        Nesting index, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        Same shape; NaN where no point lies within reach. [m]

    Raises
    ------
    ValueError
        If a spacing or the cut-off is not positive and finite.

    Notes
    -----
    The Gaussian of two dimensions is the product of two of one, so rows and columns are averaged one after the other: the sum of
    heights and the sum of weights each, then their ratio.

    References
    ----------
    iso-16610-61, weighting function.

    Examples
    --------
    >>> flat = np.full((3, 4), 2.0)
    >>> gaussian_mean_surface(flat, spacing_x=0.1, spacing_y=0.1, cutoff=0.3).round(12).tolist() == flat.tolist()
    True
    """
    z = np.asarray(height, dtype=np.float64)
    measured = np.isfinite(z)
    if np.all(measured):
        rows = gaussian_mean(z, spacing=spacing_x, cutoff=cutoff)
        return np.ascontiguousarray(gaussian_mean(rows.T, spacing=spacing_y, cutoff=cutoff).T)
    sums = []
    for part in (np.where(measured, z, 0.0), measured.astype(np.float64)):
        rows = gaussian_mean(part, spacing=spacing_x, cutoff=cutoff)
        sums.append(gaussian_mean(rows.T, spacing=spacing_y, cutoff=cutoff).T)
    near = sums[1] > 1e-9
    return np.asarray(np.where(near, sums[0] / np.where(near, sums[1], 1.0), np.nan))


def levelled(height: ArrayLike, *, degree: int = 1) -> Floats:
    r"""
    Heights less the polynomial of least squares: the form operation.

    Parameters
    ----------
    height : array_like
        A profile ``(n,)`` or a map ``(ny, nx)``; NaN where nothing was measured. [m]
    degree : int
        0 takes the mean off, 1 a line or plane, 2 a bow too. [-]

    Returns
    -------
    numpy.ndarray
        Same shape; missing points stay missing. [m]

    Raises
    ------
    ValueError
        If the degree is negative or fewer points are measured than the polynomial has terms.

    References
    ----------
    iso-25178-2, F-operation.

    Examples
    --------
    >>> float(np.abs(levelled([0.0, 1.0, 2.0, float("nan"), 4.0])[[0, 1, 2, 4]]).max().round(12))
    0.0
    """
    z = np.asarray(height, dtype=np.float64)
    if degree < 0:
        raise ValueError("degree must be >= 0")
    axes = [np.linspace(-1.0, 1.0, size) if size > 1 else np.zeros(1) for size in z.shape]
    grids = np.meshgrid(*axes, indexing="ij", sparse=True)
    measured = np.isfinite(z)
    filled = np.where(measured, z, 0.0)
    terms = _terms(grids, degree)
    if np.count_nonzero(measured) < len(terms):
        raise ValueError(f"{len(terms)} measured points are needed to level, there are {np.count_nonzero(measured)}")
    normal = np.empty((len(terms), len(terms)))
    for i, a in enumerate(terms):
        for j in range(i + 1):
            normal[i, j] = normal[j, i] = float(np.sum(measured * (a * terms[j])))
    right = np.array([float(np.sum(filled * term)) for term in terms])
    factors = np.linalg.lstsq(normal, right, rcond=None)[0]
    form = sum((factor * term for factor, term in zip(factors, terms, strict=True)), start=np.zeros(1))
    return np.asarray(z - form)


def _terms(grids: tuple[Floats, ...], degree: int) -> list[Floats]:
    """Monomials up to a degree; the variables run from -1 to 1."""
    terms = [np.ones([1] * len(grids))]
    varying = [grid for grid in grids if grid.size > 1]
    for power in range(1, degree + 1):
        for chosen in combinations_with_replacement(varying, power):
            term = np.ones([1] * len(grids))
            for grid in chosen:
                term = term * grid
            terms.append(term)
    return terms
