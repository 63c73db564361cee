"""Drive of the belt: torque and power, servo against air motor, droop from one reading."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import not_negative, positive

Array = NDArray[np.float64]
Limits = NDArray[np.str_]

HOLDS: Final = "holds"
SPEED_LIMIT: Final = "speed"
POWER_LIMIT: Final = "power"
TORQUE_LIMIT: Final = "torque"


@dataclass(frozen=True)
class DriveSpeed:
    """
    What a drive delivers under load.

    ``rotation``: delivered, shape ``(n,)`` [1/s]. ``limit``: what holds it back, one of ``holds``, ``speed``, ``power``,
    ``torque`` (stalled), shape ``(n,)``.
    """

    rotation: Array
    limit: Limits


def torque(*, force: ArrayLike, friction: ArrayLike, diameter: ArrayLike, flattening: ArrayLike = 0.0) -> Array:
    r"""
    Torque that cutting asks of the wheel's shaft.

    Parameters
    ----------
    force : array_like
        :math:`F`, ``>= 0``. [N]
    friction : array_like
        :math:`\mu`, ``>= 0``. [-]
    diameter : array_like
        :math:`D`, ``> 0``. [m]
    flattening : array_like, optional
        How much the patch lies nearer to the shaft than the rim, ``0 <= flattening < D/2``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`\mu F (D/2 - \delta)`. [N m]

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    Notes
    -----
    A longer patch of the same wheel lies nearer to the shaft (:math:`\delta \approx c^2/4D`), so patch length enters
    by a per cent or so. Bearing and belt-bending losses are not in it.

    Examples
    --------
    >>> float(torque(force=35.0, friction=0.4, diameter=0.15).round(3))
    1.05
    """
    arm = positive("diameter", diameter) / 2.0 - not_negative("flattening", flattening)
    if not np.all(arm > 0.0):
        raise ValueError("the patch cannot lie behind the shaft")
    return np.asarray(not_negative("friction", friction) * not_negative("force", force) * arm)


def power(*, force: ArrayLike, friction: ArrayLike, speed: ArrayLike) -> Array:
    r"""
    Power that cutting takes.

    Parameters
    ----------
    force : array_like
        :math:`F`, ``>= 0``. [N]
    friction : array_like
        :math:`\mu`, ``>= 0``. [-]
    speed : array_like
        Belt speed :math:`v`, ``>= 0``. [m/s]

    Returns
    -------
    numpy.ndarray
        :math:`\mu F v`. [W]

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    Examples
    --------
    >>> float(power(force=40.0, friction=0.4, speed=20.0))
    320.0
    """
    return np.asarray(not_negative("friction", friction) * not_negative("force", force) * not_negative("speed", speed))


def shaft_power(*, torque: ArrayLike, rotation: ArrayLike) -> Array:
    r"""
    Power on a shaft: in newton metres and turns per minute, :math:`\pi M n/30` watts (not kilowatts).

    Parameters
    ----------
    torque : array_like
        :math:`M`, ``>= 0``. [N m]
    rotation : array_like
        :math:`n`, ``>= 0``. [1/s]

    Returns
    -------
    numpy.ndarray
        :math:`2\pi M n`. [W]

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    Examples
    --------
    >>> float(shaft_power(torque=1.0, rotation=3000 / 60).round(1))
    314.2
    """
    return np.asarray(2.0 * np.pi * not_negative("torque", torque) * not_negative("rotation", rotation))


def servo_speed(
    *,
    rotation: ArrayLike,
    torque: ArrayLike,
    rotation_limit: ArrayLike = np.inf,
    torque_limit: ArrayLike = np.inf,
    power_limit: ArrayLike = np.inf,
) -> DriveSpeed:
    r"""
    Rotation that a governed drive delivers: what was asked, up to its limits.

    Parameters
    ----------
    rotation : array_like
        Asked, ``>= 0``. [1/s]
    torque : array_like
        Load on the shaft, ``>= 0``. [N m]
    rotation_limit, torque_limit, power_limit : array_like, optional
        Of the drive, continuous, ``> 0``; infinite where there is none. [1/s], [N m], [W]

    Returns
    -------
    DriveSpeed
        Zero where the load is above the torque limit.

    Raises
    ------
    ValueError
        If an input is out of range or NaN.

    Notes
    -----
    Constant speed up to the torque limit, then stalled; along the power limit :math:`n = P/(2\pi M)`.

    Examples
    --------
    >>> servo_speed(rotation=[38.0, 38.0], torque=[1.0, 1.0], power_limit=[500.0, 200.0])
    DriveSpeed(rotation=array([38.        , 31.83098862]), limit=array(['holds', 'power'], dtype='<U6'))
    """
    asked, load = np.broadcast_arrays(not_negative("rotation", rotation), not_negative("torque", torque))
    fastest, strongest, most = (np.asarray(x, dtype=np.float64) for x in (rotation_limit, torque_limit, power_limit))
    if not (np.all(fastest > 0.0) and np.all(strongest > 0.0) and np.all(most > 0.0)):
        raise ValueError("limits of a drive must be positive")
    # A load of zero meets no power limit; the tiny torque stands for it without a division by zero.
    by_power = most / (2.0 * np.pi * np.maximum(load, 1e-300))
    stalled = load > strongest
    delivered = np.where(stalled, 0.0, np.minimum(asked, np.minimum(fastest, by_power)))
    limit = np.select(
        [stalled, delivered >= asked, by_power < fastest],
        [np.full(delivered.shape, TORQUE_LIMIT), np.full(delivered.shape, HOLDS), np.full(delivered.shape, POWER_LIMIT)],
        SPEED_LIMIT,
    )
    return DriveSpeed(delivered, limit)


def air_motor_speed(*, free_rotation: ArrayLike, stall_torque: ArrayLike, torque: ArrayLike) -> DriveSpeed:
    r"""
    Rotation of an ungoverned air motor under load.

    Parameters
    ----------
    free_rotation : array_like
        :math:`n_0`, without load, at the pressure in use, ``> 0``. [1/s]
    stall_torque : array_like
        :math:`M_0`, ``> 0``. [N m]
    torque : array_like
        Load :math:`M` on the shaft, ``>= 0``. [N m]

    Returns
    -------
    DriveSpeed
        :math:`n = n_0 (1 - M/M_0)`, zero (``torque``) where the load stalls it.

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    Notes
    -----
    Torque falls in a straight line with speed at constant air pressure. Belt speed, removal and every spacing along the
    grain move with the force and, through the torque arm, a little with the patch.

    References
    ----------
    air-motor-sizing.

    Examples
    --------
    >>> air_motor_speed(free_rotation=60.0, stall_torque=4.0, torque=[0.0, 2.0, 5.0])
    DriveSpeed(rotation=array([60., 30.,  0.]), limit=array(['holds', 'holds', 'torque'], dtype='<U6'))
    """
    share = not_negative("torque", torque) / positive("stall_torque", stall_torque)
    free, share = np.broadcast_arrays(positive("free_rotation", free_rotation), share)
    return DriveSpeed(free * np.maximum(1.0 - share, 0.0), np.where(share < 1.0, HOLDS, TORQUE_LIMIT))


def stall_torque_from_reading(*, free_rotation: ArrayLike, loaded_rotation: ArrayLike, loaded_torque: ArrayLike) -> Array:
    r"""
    Stall torque of an air motor from one tachometer reading under a known load: its droop is then measured.

    Parameters
    ----------
    free_rotation : array_like
        :math:`n_0`, ``> 0``. [1/s]
    loaded_rotation : array_like
        :math:`n_1`, ``0 <= n_1 < n_0``. [1/s]
    loaded_torque : array_like
        :math:`M_1`, ``> 0``. [N m]

    Returns
    -------
    numpy.ndarray
        :math:`M_0 = M_1/(1 - n_1/n_0)`. [N m]

    Raises
    ------
    ValueError
        If an input is out of range or NaN; also if the motor runs no slower under load.

    Notes
    -----
    The smaller the droop read, the less the reading says: an error :math:`\delta n` of the tachometer is a share
    :math:`\delta n/(n_0 - n_1)` of the stall torque.

    References
    ----------
    air-motor-sizing (straight line).

    Examples
    --------
    >>> float(stall_torque_from_reading(free_rotation=60.0, loaded_rotation=45.0, loaded_torque=1.0))
    4.0
    """
    free, loaded = positive("free_rotation", free_rotation), not_negative("loaded_rotation", loaded_rotation)
    if not np.all(loaded < free):
        raise ValueError("a loaded air motor runs slower than a free one; read both at the same air pressure")
    return np.asarray(positive("loaded_torque", loaded_torque) / (1.0 - loaded / free))


def air_motor_peak_power(*, free_rotation: ArrayLike, stall_torque: ArrayLike) -> Array:
    r"""
    Most power that an air motor gives: at half its free speed and half its stall torque.

    Parameters
    ----------
    free_rotation : array_like
        :math:`n_0`, ``> 0``. [1/s]
    stall_torque : array_like
        :math:`M_0`, ``> 0``. [N m]

    Returns
    -------
    numpy.ndarray
        :math:`2\pi n_0 M_0/4`. [W]

    Raises
    ------
    ValueError
        If an input is not positive, or is NaN or infinite.

    References
    ----------
    air-motor-sizing.

    Examples
    --------
    >>> float(air_motor_peak_power(free_rotation=60.0, stall_torque=4.0).round(0))
    377.0
    """
    return shaft_power(torque=positive("stall_torque", stall_torque) / 2.0, rotation=positive("free_rotation", free_rotation) / 2.0)
