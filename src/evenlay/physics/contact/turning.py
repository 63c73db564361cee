"""Turning rings, running belts and ideal membranes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.elastic import positive

Array = NDArray[np.float64]


def ring_stress(*, density: Array | float, speed: Array | float) -> Array:
    r"""
    Hoop stress of a thin turning ring.

    Parameters
    ----------
    density : ndarray or float
        :math:`\rho`, ``> 0``. [kg/m3]
    speed : ndarray or float
        Rim speed :math:`v`, ``>= 0``. [m/s]

    Returns
    -------
    ndarray
        :math:`\rho v^2`. [Pa]

    Raises
    ------
    ValueError
        If a value is out of range, NaN or infinite.

    Notes
    -----
    Some pages print :math:`\omega^2\rho r`, which lacks a power of the radius.

    References
    ----------
    thin-ring-problems.
    """
    stress: Array = positive("density", density) * positive("speed", speed, zero=True) ** 2
    return stress


def centrifugal_tension(*, belt_mass: Array | float, speed: Array | float) -> Array:
    r"""
    Tension per width that only turns a running belt's own mass.

    Parameters
    ----------
    belt_mass : ndarray or float
        :math:`m''`, ``>= 0``. [kg/m2]
    speed : ndarray or float
        Belt speed, ``>= 0``. [m/s]

    Returns
    -------
    ndarray
        :math:`m''v^2`. [N/m]

    Raises
    ------
    ValueError
        If a value is negative, NaN or infinite.

    References
    ----------
    belt-drive-balance (derived).
    """
    tension: Array = positive("belt_mass", belt_mass, zero=True) * positive("speed", speed, zero=True) ** 2
    return tension


def membrane_area(*, force: Array | float, inflation: Array | float) -> Array:
    r"""
    Contact area of an ideal membrane: the limit of a pneumatic wheel without casing, and its upper bound.

    Parameters
    ----------
    force : ndarray or float
        :math:`F`, ``>= 0``. [N]
    inflation : ndarray or float
        Gauge pressure, ``> 0``. [Pa]

    Returns
    -------
    ndarray
        :math:`F/p`. [m2]

    Raises
    ------
    ValueError
        If a value is out of range, NaN or infinite.

    References
    ----------
    membrane-balance (derived).
    """
    area: Array = positive("force", force, zero=True) / positive("inflation", inflation)
    return area
