"""Expander wheels (slit rubber held open by rotation): grip on the sleeve and the speed below which it slips."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.contact.kinds import Wheel

Array = NDArray[np.float64]

CAREFUL_SPEED: Final = 10.0
"""Rim speed asked of an expander until a slip test is entered (common practice gives 8 to 12 m/s, from memory). [m/s]"""


@dataclass(frozen=True)
class MinimumSpeed:
    """
    Lowest rim speed at which an expander may be trusted to hold its sleeve.

    Attributes
    ----------
    speed : ndarray (n,)
        The speed that governs; infinite where the sleeve can never be held. [m/s]
    formula : ndarray (n,)
        What the grip formula alone gives: too low on its own, never to be used without the others. [m/s]
    governed_by : str
        "plate", "grip formula", "slip test" or "no slip test entered", at the central values.
    """

    speed: Array
    formula: Array
    governed_by: str


def grip_pressure(wheel: Wheel, *, speed: Array | float) -> Array:
    r"""
    Pressure with which the rubber of an expander holds the sleeve.

    Parameters
    ----------
    wheel : Wheel
        Of kind "expander".
    speed : ndarray (n,)
        Rim speed :math:`v = \omega R`, ``>= 0``. [m/s]

    Returns
    -------
    ndarray (n,)
        ``>= 0``: nothing is held while the rubber still closes the clearance. [Pa]

    Notes
    -----
    :math:`\rho\,t\,r_m\omega^2 - m''R\omega^2 - p_0`: outward force of the free rubber, less what lifts the belt off, less the closing
    pressure.

    References
    ----------
    evenlay-grip-balance (derived).
    """
    turning = (np.asarray(speed, dtype=np.float64) / wheel.radius) ** 2
    outward = wheel.rubber_density * wheel.rubber_free_thickness * wheel.rubber_mean_radius
    held: Array = np.maximum((outward - wheel.belt_mass * wheel.radius) * turning - wheel.closing_pressure, 0.0)
    return held


def minimum_speed(
    wheel: Wheel, *, torque: Array | float, safety: float = 2.0, plate_minimum: float | None = None, slip_test: float | None = None
) -> MinimumSpeed:
    r"""
    Lowest rim speed of an expander: the larger of plate, grip formula and 10 m/s, until a slip test takes the place of the last two.

    Parameters
    ----------
    wheel : Wheel
        Of kind "expander".
    torque : ndarray (n,)
        Torque the sleeve must carry, ``>= 0``. [N m]
    safety : float
        Factor :math:`S` on the torque, ``>= 1``. [-]
    plate_minimum : float or None
        Lowest rim speed on the maker's plate. [m/s]
    slip_test : float or None
        Lowest rim speed at which the sleeve was seen to hold under the working torque. [m/s]

    Returns
    -------
    MinimumSpeed
        Over draws.

    Raises
    ------
    ValueError
        If the wheel is no expander, or an argument is outside its range, NaN or infinite.

    Notes
    -----
    :math:`T S \le \mu_g\, p_{grip}\, 2\pi R^2 W`. The formula alone gives 3 to 5 m/s where practice says 8 to 12 (from memory): it is
    never trusted alone.

    References
    ----------
    evenlay-grip-balance (derived); common practice, no source.
    """
    load = np.asarray(torque, dtype=np.float64)
    if wheel.kind != "expander":
        raise ValueError(f"only an expander has a minimum speed, not a {wheel.kind} wheel")
    given = [value for value in (plate_minimum, slip_test) if value is not None]
    if not (np.all(load >= 0.0) and np.all(load < inf) and 1.0 <= safety < inf and all(0.0 <= value < inf for value in given)):
        raise ValueError("torque and speeds must be >= 0, safety >= 1, all finite")
    needed = wheel.closing_pressure + load * safety / (wheel.grip_friction * 2.0 * np.pi * wheel.radius**2 * wheel.width)
    per_turning = wheel.rubber_density * wheel.rubber_free_thickness * wheel.rubber_mean_radius - wheel.belt_mass * wheel.radius
    holds = per_turning > 0.0
    formula = np.where(holds, wheel.radius * np.sqrt(needed / np.where(holds, per_turning, 1.0)), inf)
    bounds = {"plate": np.full_like(formula, plate_minimum or 0.0)}
    if slip_test is None:
        bounds |= {"grip formula": formula, "no slip test entered": np.full_like(formula, CAREFUL_SPEED)}
    else:
        bounds |= {"slip test": np.full_like(formula, slip_test)}
    stacked = np.stack(list(bounds.values()))
    return MinimumSpeed(np.max(stacked, axis=0), formula, list(bounds)[int(np.argmax(stacked[:, 0]))])
