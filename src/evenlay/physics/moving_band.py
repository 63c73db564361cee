"""Temperature under a moving band of heat, as a patch is on a thick part."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import not_negative, positive

Array = NDArray[np.float64]

NODES: Final = 80
"""Nodes of the trapezoidal rule for the Bessel functions (error below 1e-12 from 1e-6 to 1e5)."""


@dataclass(frozen=True)
class BandHeat:
    """
    Steady temperature under a moving band source.

    ``peak``, ``mean``: of the dimensionless rise over the band [-]; ``place``: where the peak lies, from -1 at the
    trailing to 1 at the leading edge [-].
    """

    peak: Array
    mean: Array
    place: Array


def peclet_number(*, feed: ArrayLike, half_length: ArrayLike, diffusivity: ArrayLike) -> Array:
    r"""
    Speed of the source against the spreading of heat.

    Parameters
    ----------
    feed : array_like
        :math:`f`, ``> 0``. [m/s]
    half_length : array_like
        :math:`l`, half the patch length, ``> 0``. [m]
    diffusivity : array_like
        :math:`\alpha`, ``> 0``. [m2/s]

    Returns
    -------
    numpy.ndarray
        :math:`L = f l/(2\alpha)`. [-]

    Raises
    ------
    ValueError
        If an input is not positive, or is NaN or infinite.

    References
    ----------
    carslaw-jaeger-1959, sec. 10.7.

    Examples
    --------
    >>> float(peclet_number(feed=0.2, half_length=0.006, diffusivity=16.2 / (8000 * 500)).round(1))
    148.1
    """
    return np.asarray(positive("feed", feed) * positive("half_length", half_length) / (2.0 * positive("diffusivity", diffusivity)))


def band_rise(*, place: ArrayLike, peclet: ArrayLike) -> Array:
    r"""
    Dimensionless rise of the surface under and around a moving band.

    Parameters
    ----------
    place : array_like
        :math:`X/L`: 1 at the leading edge, -1 at the trailing edge. Broadcasts with ``peclet``. [-]
    peclet : array_like
        :math:`L`, ``> 0``. [-]

    Returns
    -------
    numpy.ndarray
        :math:`\theta = \pi\kappa f\,\Delta T/(2\alpha q) = \int_{X-L}^{X+L} e^{-u} K_0(|u|)\,du`. [-]

    Raises
    ------
    ValueError
        If the Peclet number is not positive, or an input is NaN or infinite.

    Notes
    -----
    In closed form by :math:`\int_0^x e^{\pm u}K_0\,du = x e^{\pm x}[K_0(x) \pm K_1(x)] \mp 1`; a thick part, no cooling.

    References
    ----------
    carslaw-jaeger-1959, sec. 10.7; abramowitz-stegun-1964, 11.3.14-15 (from memory).

    Examples
    --------
    >>> float(band_rise(place=-0.876, peclet=5.0).round(3))
    7.613
    """
    number, where = positive("peclet", peclet), np.asarray(place, dtype=np.float64)
    if not np.all(np.isfinite(where)):
        raise ValueError("place must be finite")
    return _band_integral(number * (where + 1.0)) - _band_integral(number * (where - 1.0))


def band_heat(peclet: ArrayLike) -> BandHeat:
    r"""
    Peak and mean of the rise under a moving band.

    Parameters
    ----------
    peclet : array_like
        :math:`L`, ``> 0``, shape ``(n,)`` or scalar. [-]

    Returns
    -------
    BandHeat
        Same shape; the peak tends to :math:`2\sqrt{\pi L}` from below, the mean to two thirds of it.

    Raises
    ------
    ValueError
        If the number is not positive, or is NaN or infinite.

    Notes
    -----
    The peak lies where :math:`e^{-u}K_0(|u|)` is the same at both ends of the integral: found by bisection. The mean is a
    Gauss sum over the band, with nodes crowded towards the edges, where the slope is infinite.

    References
    ----------
    carslaw-jaeger-1959, sec. 10.7; jaeger-1942.

    Examples
    --------
    >>> five = band_heat(5.0)
    >>> float(five.peak.round(4)), float(five.mean.round(4))
    (7.6127, 5.4196)
    """
    number = positive("peclet", peclet)
    low, high = np.full(number.shape, -1.0 + 1e-12), np.full(number.shape, 1.0 - 1e-12)
    for _ in range(50):
        middle = 0.5 * (low + high)
        ahead, behind = number * (1.0 + middle), number * (1.0 - middle)
        falling = np.log(_scaled_bessel(ahead)[0]) - 2.0 * ahead < np.log(_scaled_bessel(behind)[0])
        low, high = np.where(falling, low, middle), np.where(falling, middle, high)
    place = 0.5 * (low + high)
    nodes, weights = np.polynomial.legendre.leggauss(40)
    # x = s (3 - s^2)/2 has slope zero at both edges, so the logarithms there do no harm.
    spots, share = nodes * (3.0 - nodes**2) / 2.0, weights * 1.5 * (1.0 - nodes**2)
    mean = 0.5 * np.sum(share * band_rise(place=spots, peclet=number[..., None]), axis=-1)
    return BandHeat(band_rise(place=place, peclet=number), np.asarray(mean), place)


def band_flash(*, heat_flux: ArrayLike, half_length: ArrayLike, feed: ArrayLike, conductivity: ArrayLike, diffusivity: ArrayLike) -> Array:
    r"""
    Hottest point under the patch of a thick part.

    Parameters
    ----------
    heat_flux : array_like
        :math:`q` into the part, ``>= 0``. [W/m2]
    half_length : array_like
        :math:`l`, half the patch length, ``> 0``. [m]
    feed : array_like
        :math:`f`, ``> 0``. [m/s]
    conductivity : array_like
        :math:`\kappa`, ``> 0``. [W/(m K)]
    diffusivity : array_like
        :math:`\alpha`, ``> 0``. [m2/s]

    Returns
    -------
    numpy.ndarray
        Rise over the part's own temperature. [K]

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    References
    ----------
    jaeger-1942; carslaw-jaeger-1959, sec. 10.7.

    Examples
    --------
    200 W into 12 x 30 mm of stainless at 0.2 m/s:

    >>> rise = band_flash(heat_flux=200 / (0.012 * 0.03), half_length=0.006, feed=0.2, conductivity=16.2, diffusivity=4.05e-6)
    >>> float(rise.round(2))
    19.03
    """
    spread, conducts = positive("diffusivity", diffusivity), positive("conductivity", conductivity)
    peak = band_heat(peclet_number(feed=feed, half_length=half_length, diffusivity=spread)).peak
    return np.asarray(2.0 * spread * not_negative("heat_flux", heat_flux) * peak / (np.pi * conducts * positive("feed", feed)))


def _scaled_bessel(x: Array) -> tuple[Array, Array]:
    r"""
    :math:`e^x K_0(x)` and :math:`e^x K_1(x)` for positive x.

    :math:`K_\nu(x) = \int_0^\infty e^{-x\cosh t}\cosh\nu t\,dt`: the integrand dies so fast that the trapezoidal rule is
    exact to rounding once it spans the part that counts.
    """
    span = np.arccosh(1.0 + 40.0 / x)
    t = span[..., None] * (np.arange(NODES) / (NODES - 1.0))
    weight = np.exp(-x[..., None] * (np.cosh(t) - 1.0))
    weight[..., 0] *= 0.5
    step = span / (NODES - 1.0)
    return step * np.sum(weight, axis=-1), step * np.sum(weight * np.cosh(t), axis=-1)


def _band_integral(x: Array) -> Array:
    r""":math:`\int_0^x e^{-u}K_0(|u|)\,du`, odd parts and all, zero at zero."""
    size = np.maximum(np.abs(x), 1e-12)
    zeroth, first = _scaled_bessel(size)
    ahead = 1.0 + size * (zeroth - first) * np.exp(-2.0 * size)
    behind = 1.0 - size * (zeroth + first)
    return np.asarray(np.where(x >= 0.0, ahead, behind))
