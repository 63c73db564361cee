"""Removal coefficient and its twins: specific energy, wear coefficients in their two conventions, cone grains."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import positive

Array = NDArray[np.float64]

HARDNESS_NUMBER: Final = 9.80665e6
"""One unit of Vickers or Brinell hardness (kgf/mm2). [Pa]"""


def specific_energy(*, removal_coefficient: ArrayLike, friction: ArrayLike) -> Array:
    r"""
    Energy spent per volume removed.

    Parameters
    ----------
    removal_coefficient : array_like
        :math:`k`, volume removed per normal force and sliding distance, ``> 0``. [m2/N]
    friction : array_like
        :math:`\mu`, tangential over normal force, ``> 0``. [-]

    Returns
    -------
    numpy.ndarray
        :math:`u = \mu / k`. [J/m3]

    Raises
    ------
    ValueError
        If an input is not positive, or is NaN or infinite.

    Notes
    -----
    Derived: power :math:`\mu F v` over removal rate :math:`k F v`. So a coefficient and a specific energy are one
    number told twice, and a published energy is evidence for :math:`k`.

    References
    ----------
    preston-1927 (removal proportional to pressure and speed); the bridge to energy is derived.

    Examples
    --------
    >>> float(specific_energy(removal_coefficient=7.905e-12, friction=0.4).round(-8)) / 1e9  # J/mm3
    50.6
    """
    return positive("friction", friction) / positive("removal_coefficient", removal_coefficient)


def removal_coefficient_from_energy(*, specific_energy: ArrayLike, friction: ArrayLike) -> Array:
    r"""
    Removal coefficient that belongs to a published specific energy.

    Parameters
    ----------
    specific_energy : array_like
        :math:`u`, ``> 0``. [J/m3]
    friction : array_like
        :math:`\mu`, ``> 0``. [-]

    Returns
    -------
    numpy.ndarray
        :math:`k = \mu / u`. [m2/N]

    Raises
    ------
    ValueError
        If an input is not positive, or is NaN or infinite.

    References
    ----------
    Derived; see `specific_energy`.

    Examples
    --------
    >>> float(removal_coefficient_from_energy(specific_energy=40e9, friction=0.4).round(16))
    1e-11
    """
    return positive("friction", friction) / positive("specific_energy", specific_energy)


def hardness_pressure(hardness_number: ArrayLike) -> Array:
    """
    Indentation pressure of a Vickers or Brinell hardness number.

    Parameters
    ----------
    hardness_number : array_like
        HV or HB, kilograms-force per square millimetre, ``> 0``. [-]

    Returns
    -------
    numpy.ndarray
        Pressure. [Pa]

    Raises
    ------
    ValueError
        If the number is not positive, or is NaN or infinite.

    References
    ----------
    Definition of the scales (ISO 6507-1, ISO 6506-1).

    Examples
    --------
    >>> float(hardness_pressure(129.0).round(-6))
    1265000000.0
    """
    return HARDNESS_NUMBER * positive("hardness_number", hardness_number)


def removal_coefficient_archard(*, wear_coefficient: ArrayLike, hardness: ArrayLike) -> Array:
    r"""
    Removal coefficient from a wear coefficient quoted as :math:`V = K F s / H`.

    Parameters
    ----------
    wear_coefficient : array_like
        :math:`K` in the convention *without* the 3, ``> 0``. [-]
    hardness : array_like
        :math:`H`, ``> 0``. [Pa]

    Returns
    -------
    numpy.ndarray
        :math:`k = K/H`. [m2/N]

    Raises
    ------
    ValueError
        If an input is not positive, or is NaN or infinite.

    Notes
    -----
    Published constants come in two conventions that differ by 3: ask which one before using a table
    (`removal_coefficient_archard_third` is the other).

    References
    ----------
    archard-1953; rabinowicz-1995 (from memory).

    Examples
    --------
    >>> float(removal_coefficient_archard(wear_coefficient=0.01, hardness=1.265e9).round(15))
    7.905e-12
    """
    return positive("wear_coefficient", wear_coefficient) / positive("hardness", hardness)


def removal_coefficient_archard_third(*, wear_coefficient: ArrayLike, hardness: ArrayLike) -> Array:
    r"""
    Removal coefficient from a wear coefficient quoted as :math:`V = K F s / (3 H)`.

    Parameters
    ----------
    wear_coefficient : array_like
        :math:`K` in the convention *with* the 3, ``> 0``. [-]
    hardness : array_like
        :math:`H`, ``> 0``. [Pa]

    Returns
    -------
    numpy.ndarray
        :math:`k = K/(3H)`. [m2/N]

    Raises
    ------
    ValueError
        If an input is not positive, or is NaN or infinite.

    References
    ----------
    archard-1953; rabinowicz-1995 (from memory).

    Examples
    --------
    >>> float(removal_coefficient_archard_third(wear_coefficient=0.03, hardness=1.265e9).round(15))
    7.905e-12
    """
    return positive("wear_coefficient", wear_coefficient) / (3.0 * positive("hardness", hardness))


def cone_wear_coefficient(attack_angle: ArrayLike) -> Array:
    r"""
    Wear coefficient of a cone whose front half carries the load (convention :math:`V = K F s/H`).

    Parameters
    ----------
    attack_angle : array_like
        :math:`\theta`, flank angle from the surface, between 0 and :math:`\pi/2`. [rad]

    Returns
    -------
    numpy.ndarray
        :math:`K = (2/\pi)\tan\theta`. [-]

    Raises
    ------
    ValueError
        If the angle is outside its range or NaN.

    Notes
    -----
    Load on the half circle in front, :math:`F = H \pi a^2/2`; section of the groove :math:`a^2\tan\theta`. If the whole
    circle carried it, the value would be half as large (`cone_wear_coefficient_whole`): texts differ, so both stand here.

    References
    ----------
    rabinowicz-1995; hutchings-1992 (from memory).

    Examples
    --------
    >>> float(cone_wear_coefficient(np.radians(10.0)).round(4))
    0.1123
    """
    angle = _angle(attack_angle)
    return np.asarray((2.0 / np.pi) * np.tan(angle))


def cone_wear_coefficient_whole(attack_angle: ArrayLike) -> Array:
    r"""
    Wear coefficient of a cone whose whole circle carries the load (convention :math:`V = K F s/H`).

    Parameters
    ----------
    attack_angle : array_like
        :math:`\theta`, flank angle from the surface, between 0 and :math:`\pi/2`. [rad]

    Returns
    -------
    numpy.ndarray
        :math:`K = \tan\theta/\pi`. [-]

    Raises
    ------
    ValueError
        If the angle is outside its range or NaN.

    References
    ----------
    rabinowicz-1995; hutchings-1992 (from memory).

    Examples
    --------
    >>> float(cone_wear_coefficient_whole(np.radians(10.0)).round(4))
    0.0561
    """
    angle = _angle(attack_angle)
    return np.asarray(np.tan(angle) / np.pi)


def _angle(value: ArrayLike) -> Array:
    array = np.asarray(value, dtype=np.float64)
    if not np.all((array > 0.0) & (array < np.pi / 2.0)):
        raise ValueError("an attack angle lies between 0 and a right angle")
    return array
