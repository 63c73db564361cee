"""Elastic bodies in closed form: moduli of rubber, contact modulus, Hertz line and point contact."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SHORE_RANGE: Final = (20.0, 99.0)
"""Range in which the conversion of Gent was used. [Shore A]"""

LOG_LINEAR_RANGE: Final = (30.0, 60.0)
"""Range in which the log-linear conversion is stated. [Shore A]"""


@dataclass(frozen=True)
class LineContact:
    """
    Line contact of two cylinders.

    Attributes
    ----------
    half_width : ndarray or float
        :math:`a`. [m]
    peak_pressure : ndarray or float
        :math:`p_0`. [Pa]
    """

    half_width: Array
    peak_pressure: Array


@dataclass(frozen=True)
class PointContact:
    """
    Point contact: circle or ellipse.

    Attributes
    ----------
    half_length, half_breadth : ndarray
        Half-axes, the longer one first. [m]
    peak_pressure : ndarray
        :math:`p_0`. [Pa]
    approach : ndarray
        :math:`\\delta`. [m]
    """

    half_length: Array
    half_breadth: Array
    peak_pressure: Array
    approach: Array


def positive(name: str, value: Array | float, *, zero: bool = False) -> Array:
    """
    A value as an array, checked.

    Parameters
    ----------
    name : str
        For the message.
    value : ndarray or float
        ``> 0`` and finite. [any]
    zero : bool
        Whether 0 is allowed. [-]

    Returns
    -------
    ndarray
        The value.

    Raises
    ------
    ValueError
        If it is not.
    """
    found = np.asarray(value, dtype=np.float64)
    if not (np.all(found >= 0.0) and np.all(found < inf) and (zero or np.all(found > 0.0))):
        raise ValueError(f"{name} must be {'>= 0' if zero else '> 0'} and finite")
    return found


def contact_modulus(
    *, modulus: Array | float, poisson: Array | float, other_modulus: Array | float = inf, other_poisson: Array | float = 0.0
) -> Array:
    r"""
    Contact modulus of two bodies.

    Parameters
    ----------
    modulus, other_modulus : ndarray or float
        :math:`E_1`, :math:`E_2`, ``> 0``; infinite for a rigid body. [Pa]
    poisson, other_poisson : ndarray or float
        :math:`\nu_1`, :math:`\nu_2`, ``0..0.5``. [-]

    Returns
    -------
    ndarray
        :math:`E^*`. [Pa]

    Raises
    ------
    ValueError
        If a modulus is not positive, both are infinite, a Poisson's ratio is outside its range, or any is NaN.

    Notes
    -----
    :math:`1/E^* = (1-\nu_1^2)/E_1 + (1-\nu_2^2)/E_2`.

    References
    ----------
    johnson-1985, ch. 4.
    """
    one, two = np.asarray(modulus, dtype=np.float64), np.asarray(other_modulus, dtype=np.float64)
    ratios = [np.asarray(value, dtype=np.float64) for value in (poisson, other_poisson)]
    if not (np.all(one > 0.0) and np.all(two > 0.0) and np.all(np.isfinite(one) | np.isfinite(two))):
        raise ValueError("moduli must be > 0, and one of the two bodies must not be rigid")
    if not all(np.all(ratio >= 0.0) and np.all(ratio <= 0.5) for ratio in ratios):
        raise ValueError("Poisson's ratio must lie in 0..0.5")
    together: Array = 1.0 / ((1.0 - ratios[0] ** 2) / one + (1.0 - ratios[1] ** 2) / two)
    return together


def effective_radius(*, radius: Array | float, curvature: Array | float) -> Array:
    r"""
    Effective radius of a wheel on a part.

    Parameters
    ----------
    radius : ndarray or float
        Of the wheel, ``> 0``. [m]
    curvature : ndarray or float
        Of the part: convex > 0, flat 0, hollow < 0. [1/m]

    Returns
    -------
    ndarray
        :math:`R` from :math:`1/R = 1/R_1 + \kappa`. [m]

    Raises
    ------
    ValueError
        If the hollow is not wider than the wheel, or any value is out of range, NaN or infinite.

    References
    ----------
    johnson-1985, ch. 4.
    """
    wheel, part = positive("radius", radius), np.asarray(curvature, dtype=np.float64)
    both = 1.0 / wheel + part
    if not (np.all(both > 0.0) and np.all(both < inf)):
        raise ValueError("the hollow is not wider than the wheel: its radius must exceed the wheel's")
    together: Array = 1.0 / both
    return together


def shore_a_modulus(hardness: Array | float) -> Array:
    r"""
    Young's modulus of rubber from Shore A hardness.

    Parameters
    ----------
    hardness : ndarray or float
        :math:`S`, ``20..99``. [Shore A]

    Returns
    -------
    ndarray
        :math:`E`. [Pa]

    Raises
    ------
    ValueError
        If the hardness is outside the range, or NaN.

    Notes
    -----
    :math:`E[\mathrm{MPa}] = 0.0981(56 + 7.62336 S) / (0.137505(254 - 2.54 S))`. Against the log-linear conversion it differs by factors
    of 0.53 to 1.08 (20 to 90 Shore A): a band of 20 to 30 % on the patch.

    References
    ----------
    gent-1958.

    Examples
    --------
    >>> print(round(float(shore_a_modulus(40.0)) / 1e6, 3), "MPa")
    1.69 MPa
    """
    s = np.asarray(hardness, dtype=np.float64)
    if not (np.all(s >= SHORE_RANGE[0]) and np.all(s <= SHORE_RANGE[1])):
        raise ValueError(f"Shore A hardness must lie in {SHORE_RANGE[0]:g}..{SHORE_RANGE[1]:g}, the range of the conversion")
    modulus: Array = 1e6 * 0.0981 * (56.0 + 7.62336 * s) / (0.137505 * (254.0 - 2.54 * s))
    return modulus


def shore_a_modulus_log_linear(hardness: Array | float) -> Array:
    r"""
    Young's modulus of rubber from Shore A hardness, a second conversion: the two show how far to trust either.

    Parameters
    ----------
    hardness : ndarray or float
        :math:`S`, ``20..99``; stated for 30 to 60. [Shore A]

    Returns
    -------
    ndarray
        :math:`E`. [Pa]

    Raises
    ------
    ValueError
        If the hardness is outside the range, or NaN.

    Notes
    -----
    :math:`\log_{10} E[\mathrm{MPa}] = 0.0235 S - 0.6403`. The logarithm is to base 10; some pages print the same constants with e.

    References
    ----------
    shore-log-linear.
    """
    s = np.asarray(hardness, dtype=np.float64)
    if not (np.all(s >= SHORE_RANGE[0]) and np.all(s <= SHORE_RANGE[1])):
        raise ValueError(f"Shore A hardness must lie in {SHORE_RANGE[0]:g}..{SHORE_RANGE[1]:g}")
    modulus: Array = 1e6 * 10.0 ** (0.0235 * s - 0.6403)
    return modulus


def line_contact(*, load_per_width: Array | float, effective_radius: Array | float, contact_modulus: Array | float) -> LineContact:
    r"""
    Half-width and peak pressure of a frictionless elastic line contact.

    Parameters
    ----------
    load_per_width : ndarray or float
        :math:`q`, ``>= 0``. [N/m]
    effective_radius : ndarray or float
        :math:`R`, ``> 0``. [m]
    contact_modulus : ndarray or float
        :math:`E^*`, ``> 0``. [Pa]

    Returns
    -------
    LineContact
        Both 0 at zero load.

    Raises
    ------
    ValueError
        If the load is negative, the radius or modulus not positive, or any is NaN or infinite.

    Notes
    -----
    :math:`a = \sqrt{4qR/(\pi E^*)}`, :math:`p_0 = \sqrt{qE^*/(\pi R)}`. Half-spaces: right for :math:`a \ll R` and a cover much thicker
    than :math:`a`; a bonded cover of usual thickness carries up to 1.9 times more (`layer`).

    References
    ----------
    johnson-1985, eq. 4.43-4.45.

    Examples
    --------
    >>> found = line_contact(load_per_width=40.0 / 0.030, effective_radius=0.100, contact_modulus=2.25285e6)
    >>> print(round(2e3 * float(found.half_width), 2), "mm")
    17.36 mm
    """
    q = positive("load_per_width", load_per_width, zero=True)
    r, e = positive("effective_radius", effective_radius), positive("contact_modulus", contact_modulus)
    return LineContact(np.sqrt(4.0 * q * r / (np.pi * e)), np.sqrt(q * e / (np.pi * r)))


def point_contact(*, force: Array | float, effective_radius: Array | float, contact_modulus: Array | float) -> PointContact:
    r"""
    Circular point contact of two spheres, frictionless.

    Parameters
    ----------
    force : ndarray or float
        :math:`F`, ``>= 0``. [N]
    effective_radius : ndarray or float
        :math:`R`, ``> 0``. [m]
    contact_modulus : ndarray or float
        :math:`E^*`, ``> 0``. [Pa]

    Returns
    -------
    PointContact
        Both half-axes equal; all 0 at zero force.

    Raises
    ------
    ValueError
        If the force is negative, the radius or modulus not positive, or any is NaN or infinite.

    Notes
    -----
    :math:`a^3 = 3FR/(4E^*)`, :math:`\delta = a^2/R`, :math:`p_0 = (6FE^{*2}/(\pi^3R^2))^{1/3}`.

    References
    ----------
    johnson-1985, eq. 4.22-4.24.
    """
    f = positive("force", force, zero=True)
    r, e = positive("effective_radius", effective_radius), positive("contact_modulus", contact_modulus)
    a = np.cbrt(0.75 * f * r / e)
    return PointContact(a, a, np.cbrt(6.0 * f * e * e / (np.pi**3 * r * r)), a * a / r)
