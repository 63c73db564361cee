"""Fast bedding law of a bonded rubber cover, fitted to the reference solver of `layer`."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, log
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.bedding_table import LOAD, PEAK, WIDTH, Table

Array = NDArray[np.float64]

PENETRATION_RANGE: Final = (0.0035, 35.0)
"""Range of d R / b^2 of the fit; beyond it the law goes on as the power law it has at the end. [-]"""

POISSON_RANGE: Final = (0.30, 0.50)
"""Range of Poisson's ratio of the fit. [-]"""

STATED_ERROR: Final = 0.005
"""Largest error of load, half-width and peak pressure against the reference solver, for a/b in 0.05..8. [-]"""

_MIDDLE: Final = 0.5 * (log(PENETRATION_RANGE[0]) + log(PENETRATION_RANGE[1]))
_SPAN: Final = 0.5 * (log(PENETRATION_RANGE[1]) - log(PENETRATION_RANGE[0]))
_SOFTEST: Final = (1.0 - 2.0 * POISSON_RANGE[0]) ** 0.5


@dataclass(frozen=True)
class StripContact:
    """
    Contact of strips of a wheel, one plane-strain strip per element.

    Attributes
    ----------
    load_per_width : ndarray
        :math:`q`. [N/m]
    stiffness : ndarray
        :math:`dq/d\\delta`. [Pa]
    half_width : ndarray
        :math:`a`. [m]
    widening : ndarray
        :math:`da/d\\delta`. [-]
    """

    load_per_width: Array
    stiffness: Array
    half_width: Array
    widening: Array


@dataclass(frozen=True)
class Cover:
    """
    A bonded cover with its fitted law, one element per draw.

    Attributes
    ----------
    modulus, thickness : ndarray (n,)
        :math:`E` [Pa] and :math:`b` [m].
    load, width, peak : tuple of ndarray (n,)
        Coefficients in powers of the scaled logarithm of penetration. [-]
    """

    modulus: Array
    thickness: Array
    load: tuple[Array, ...]
    width: tuple[Array, ...]
    peak: tuple[Array, ...]


def _at_poisson(table: Table, scaled: Array) -> tuple[Array, ...]:
    """Coefficients in powers of the first variable, at each draw's Poisson's ratio."""
    found = []
    for row in table:
        value = np.full_like(scaled, row[-1])
        for coefficient in row[-2::-1]:
            value = value * scaled + coefficient
        found.append(value)
    return tuple(found)


def bonded_cover(*, modulus: Array | float, poisson: Array | float, thickness: Array | float) -> Cover:
    r"""
    The fast law of a bonded cover for each draw.

    Parameters
    ----------
    modulus : ndarray (n,)
        :math:`E`, ``> 0``. [Pa]
    poisson : ndarray (n,)
        :math:`\nu`, ``0.30..0.50``. [-]
    thickness : ndarray (n,)
        :math:`b`, ``> 0``. [m]

    Returns
    -------
    Cover
        For `strip_contact` and `strip_peak_pressure`.

    Raises
    ------
    ValueError
        If a value is outside its range, NaN or infinite.

    Notes
    -----
    :math:`\ln(qR/Eb^2)`, :math:`\ln(a/b)` and :math:`p_0a/q` as Chebyshev series (kept as powers) in :math:`\ln(\delta R/b^2)` and
    :math:`\sqrt{1-2\nu}`, through the results of `layer.layer_contact`. Error within 0.5 % for :math:`a/b` of 0.05 to 8 (tests).

    References
    ----------
    bonded-layer-compliance; evenlay's own fit (bench/bedding_fit.py).
    """
    e, nu, b = np.broadcast_arrays(*(np.atleast_1d(np.asarray(v, dtype=np.float64)) for v in (modulus, poisson, thickness)))
    if not (np.all(e > 0.0) and np.all(e < inf) and np.all(b > 0.0) and np.all(b < inf)):
        raise ValueError("modulus and thickness of a cover must be > 0 and finite")
    if not (np.all(nu >= POISSON_RANGE[0] - 1e-12) and np.all(nu <= POISSON_RANGE[1] + 1e-12)):
        raise ValueError(f"Poisson's ratio of a bonded cover must lie in {POISSON_RANGE[0]}..{POISSON_RANGE[1]}, where the law was fitted")
    scaled = 2.0 * np.sqrt(np.maximum(1.0 - 2.0 * nu, 0.0)) / _SOFTEST - 1.0
    return Cover(e, b, _at_poisson(LOAD, scaled), _at_poisson(WIDTH, scaled), _at_poisson(PEAK, scaled))


def _column(values: Array, like: Array) -> Array:
    return values.reshape(values.shape + (1,) * (like.ndim - 1))


def _along(coefficients: tuple[Array, ...], s: Array) -> Array:
    """Value of the power series at ``s`` (Horner)."""
    value = np.empty_like(s)
    value[...] = _column(coefficients[-1], s)
    for coefficient in coefficients[-2::-1]:
        value *= s
        value += _column(coefficient, s)
    return value


def _slope(coefficients: tuple[Array, ...], s: Array) -> Array:
    """Slope of the power series at ``s``."""
    return _along(tuple(power * coefficient for power, coefficient in enumerate(coefficients) if power), s)


def _scaled(cover: Cover, flattening: Array, radius: Array | float) -> tuple[Array, Array]:
    """Scaled logarithm of penetration, held inside the fit, and how far it lies beyond (0 where nothing touches)."""
    zeta = np.where(flattening > 0.0, flattening, 1.0) * (radius / _column(cover.thickness, flattening) ** 2)
    s = (np.log(zeta) - _MIDDLE) / _SPAN
    inside = np.clip(s, -1.0, 1.0)
    return inside, s - inside


def _carried_on(coefficients: tuple[Array, ...], inside: Array, beyond: Array) -> Array:
    """The series, and its straight continuation beyond the fit."""
    value = _along(coefficients, inside)
    if np.any(beyond != 0.0):
        value += _slope(coefficients, np.sign(beyond)) * beyond
    return value


def strip_contact(cover: Cover, *, flattening: Array, radius: Array | float) -> StripContact:
    r"""
    Load, stiffness and half-width of strips pressed by a given flattening.

    Parameters
    ----------
    cover : Cover
        From `bonded_cover`; n draws.
    flattening : ndarray (n,) or (n, m)
        :math:`\delta`; no contact where ``<= 0``. [m]
    radius : float
        Effective radius :math:`R`, ``> 0``. [m]

    Returns
    -------
    StripContact
        Shapes of ``flattening``.

    Notes
    -----
    Outside the fitted range of :math:`\delta R/b^2` the power law at its end goes on: a strip near the end of a crowned contact carries
    next to nothing; a cover pressed far beyond the range is named by the caller.

    References
    ----------
    bonded-layer-compliance; evenlay's own fit.
    """
    touching = flattening > 0.0
    inside, beyond = _scaled(cover, flattening, radius)
    load = _load(cover, inside, beyond, radius)
    width = _column(cover.thickness, flattening) * np.exp(_carried_on(cover.width, inside, beyond))
    per_depth = 1.0 / (_SPAN * np.where(touching, flattening, 1.0))
    stiffness = load * _slope(cover.load, inside) * per_depth
    widening = width * _slope(cover.width, inside) * per_depth
    return StripContact(*(np.where(touching, value, 0.0) for value in (load, stiffness, width, widening)))


def _load(cover: Cover, inside: Array, beyond: Array, radius: Array | float) -> Array:
    scale = cover.modulus * cover.thickness**2 / radius
    load: Array = _column(scale, inside) * np.exp(_carried_on(cover.load, inside, beyond))
    return load


def strip_loads(cover: Cover, *, flattening: Array, radius: Array | float) -> Array:
    """
    Load per width alone, as `strip_contact` gives it.

    Parameters
    ----------
    cover, flattening, radius
        As in `strip_contact`.

    Returns
    -------
    ndarray
        :math:`q`, shape of ``flattening``. [N/m]
    """
    inside, beyond = _scaled(cover, flattening, radius)
    return np.where(flattening > 0.0, _load(cover, inside, beyond, radius), 0.0)


def strip_half_width(cover: Cover, *, flattening: Array, radius: Array | float) -> Array:
    """
    Half-width alone, as `strip_contact` gives it.

    Parameters
    ----------
    cover, flattening, radius
        As in `strip_contact`.

    Returns
    -------
    ndarray
        :math:`a`, shape of ``flattening``. [m]
    """
    inside, beyond = _scaled(cover, flattening, radius)
    width = _column(cover.thickness, flattening) * np.exp(_carried_on(cover.width, inside, beyond))
    return np.where(flattening > 0.0, width, 0.0)


def strip_peak_pressure(cover: Cover, *, flattening: Array, radius: Array | float) -> Array:
    r"""
    Peak pressure of strips pressed by a given flattening.

    Parameters
    ----------
    cover : Cover
        From `bonded_cover`; n draws.
    flattening : ndarray (n,) or (n, m)
        :math:`\delta`. [m]
    radius : float
        :math:`R`, ``> 0``. [m]

    Returns
    -------
    ndarray
        :math:`p_0`; 0 without contact. [Pa]

    References
    ----------
    bonded-layer-compliance; evenlay's own fit.
    """
    strip = strip_contact(cover, flattening=flattening, radius=radius)
    inside, _ = _scaled(cover, flattening, radius)
    peak: Array = _along(cover.peak, inside) * strip.load_per_width / np.where(flattening > 0.0, strip.half_width, 1.0)
    return peak


def flattening_for(cover: Cover, *, load_per_width: Array | float, radius: Array | float) -> Array:
    r"""
    Flattening that gives a wanted load per width (the inverse of `strip_contact`).

    Parameters
    ----------
    cover : Cover
        From `bonded_cover`; n draws.
    load_per_width : ndarray (n,)
        :math:`q`, ``>= 0``. [N/m]
    radius : float
        :math:`R`, ``> 0``. [m]

    Returns
    -------
    ndarray (n,)
        :math:`\delta`; 0 at zero load. [m]

    Raises
    ------
    ValueError
        If the load is negative, NaN or infinite, or the search does not close.

    References
    ----------
    Newton's method on logarithms: both sides are nearly power laws.
    """
    wanted = np.broadcast_to(np.asarray(load_per_width, dtype=np.float64), cover.modulus.shape)
    if not (np.all(wanted >= 0.0) and np.all(wanted < inf)):
        raise ValueError("load_per_width must be >= 0 and finite")
    loaded = wanted > 0.0
    target = np.where(loaded, wanted, 1.0)
    log_depth = np.log(0.1 * cover.thickness**2 / radius)
    for _ in range(60):
        depth = np.exp(log_depth)
        strip = strip_contact(cover, flattening=depth, radius=radius)
        miss = np.log(target / strip.load_per_width)
        if np.all(np.abs(miss) < 1e-12):
            break
        log_depth = log_depth + np.clip(miss * strip.load_per_width / (strip.stiffness * depth), -3.0, 3.0)
    return np.where(loaded, np.exp(log_depth), 0.0)
