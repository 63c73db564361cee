"""Elliptical contact, with its elliptic integrals (no library, over draws)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.elastic import PointContact, positive

Array = NDArray[np.float64]


def elliptic_integrals(parameter: Array | float) -> tuple[Array, Array]:
    r"""
    Complete elliptic integrals of the first and second kind.

    Parameters
    ----------
    parameter : ndarray or float
        :math:`m = k^2`, ``0 <= m < 1``. [-]

    Returns
    -------
    first, second : ndarray
        :math:`K(m)`, :math:`E(m)`. [-]

    Raises
    ------
    ValueError
        If the parameter is outside its range, or NaN.

    Notes
    -----
    Arithmetic-geometric mean; error below 1e-14.

    References
    ----------
    abramowitz-stegun-1964-ch17, 17.6.
    """
    m = np.asarray(parameter, dtype=np.float64)
    if not (np.all(m >= 0.0) and np.all(m < 1.0)):
        raise ValueError("the parameter of an elliptic integral must lie in 0 <= m < 1")
    a, b, c = np.ones_like(m), np.sqrt(1.0 - m), np.sqrt(m)
    total, power = 0.5 * c * c, 0.5
    for _ in range(9):
        a, b, c = 0.5 * (a + b), np.sqrt(a * b), 0.5 * (a - b)
        power *= 2.0
        total = total + power * c * c
    first: Array = np.pi / (2.0 * a)
    return first, first * (1.0 - total)


def elliptical_contact(
    *, force: Array | float, radius_along: Array | float, radius_across: Array | float, contact_modulus: Array | float
) -> PointContact:
    r"""
    Elliptical contact of two bodies whose principal curvatures lie along the same two axes, frictionless.

    Parameters
    ----------
    force : ndarray or float
        :math:`F`, ``>= 0``. [N]
    radius_along, radius_across : ndarray or float
        Effective radii :math:`R_x`, :math:`R_y`, ``> 0``; their ratio below 1e6. [m]
    contact_modulus : ndarray or float
        :math:`E^*`, ``> 0``. [Pa]

    Returns
    -------
    PointContact
        The longer half-axis lies along the larger radius.

    Raises
    ------
    ValueError
        If a value is outside its range, NaN or infinite.

    Notes
    -----
    With :math:`m = 1 - b^2/a^2`: :math:`R_l/R_s = ((a/b)^2E(m) - K(m))/(K(m) - E(m))`, solved for :math:`a/b` by bisection on its
    logarithm (between 1 and the ratio of radii); then :math:`b^3 = 3FE(m)/(\pi (a/b) E^*(1/R_l + 1/R_s))`,
    :math:`p_0 = 3F/(2\pi ab)`, :math:`\delta = p_0 b K(m)/E^*`.

    References
    ----------
    johnson-1985, eq. 4.26-4.32.
    """
    f, e = positive("force", force, zero=True), positive("contact_modulus", contact_modulus)
    along, across = positive("radius_along", radius_along), positive("radius_across", radius_across)
    large, small = np.maximum(along, across), np.minimum(along, across)
    ratio = large / small
    if not np.all(ratio < 1e6):
        raise ValueError("the radii of an elliptical contact differ by a million or more: it is a line contact")
    low, high = np.zeros_like(ratio), np.log(ratio)
    for _ in range(60):
        middle = 0.5 * (low + high)
        m = -np.expm1(-2.0 * middle)
        first, second = elliptic_integrals(m)
        nearly_round = m < 1e-6
        safe = np.where(nearly_round, 1.0, first - second)
        found = np.where(nearly_round, 1.0 + 0.75 * m, (np.exp(2.0 * middle) * second - first) / safe)
        low, high = np.where(found < ratio, middle, low), np.where(found < ratio, high, middle)
    axes = np.exp(0.5 * (low + high))
    first, second = elliptic_integrals(-np.expm1(-(low + high)))
    breadth = np.cbrt(3.0 * f * second / (np.pi * axes * e * (1.0 / large + 1.0 / small)))
    area = np.pi * axes * breadth**2
    peak = np.where(area > 0.0, 1.5 * f / np.where(area > 0.0, area, 1.0), 0.0)
    return PointContact(axes * breadth, breadth, peak, peak * breadth * first / e)
