"""Belt speed: rim of a wheel, and the ranges that sources and plates allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import not_negative, positive

Array = NDArray[np.float64]


def rim_speed(*, diameter: ArrayLike, rotation: ArrayLike) -> Array:
    r"""
    Speed of the rim of a wheel, and of the belt on it.

    Parameters
    ----------
    diameter : array_like
        :math:`D`, ``> 0``. [m]
    rotation : array_like
        :math:`n`, ``>= 0``. [1/s]

    Returns
    -------
    numpy.ndarray
        :math:`v = \pi D n`. [m/s]

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    Examples
    --------
    115 mm at 13 286 rpm is the 80 m/s of a plate:

    >>> float(rim_speed(diameter=0.115, rotation=13286 / 60).round(2))
    80.0
    """
    return np.asarray(np.pi * positive("diameter", diameter) * not_negative("rotation", rotation))


def rotation_at(*, diameter: ArrayLike, speed: ArrayLike) -> Array:
    r"""
    Rotation that gives a rim speed.

    Parameters
    ----------
    diameter : array_like
        :math:`D`, ``> 0``. [m]
    speed : array_like
        :math:`v`, ``>= 0``. [m/s]

    Returns
    -------
    numpy.ndarray
        :math:`n = v/(\pi D)`. [1/s]

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    Examples
    --------
    >>> float((60 * rotation_at(diameter=0.15, speed=18.0)).round(0))  # rpm
    2292.0
    """
    return np.asarray(not_negative("speed", speed) / (np.pi * positive("diameter", diameter)))


@dataclass(frozen=True)
class SpeedRange:
    """
    A range of belt speed from one source.

    ``low`` and ``high`` in [m/s], 0 and infinite where the source sets none; ``name`` says what for, ``source`` where from.
    """

    name: str
    low: float
    high: float
    source: str


@dataclass(frozen=True)
class SpeedBounds:
    """
    What all ranges together leave: ``low`` to ``high`` [m/s] and the range that sets each end.

    ``low > high`` where the sources contradict each other: then no speed suits all of them.
    """

    low: float
    high: float
    low_by: SpeedRange
    high_by: SpeedRange


def speed_bounds(ranges: Sequence[SpeedRange]) -> SpeedBounds:
    """
    Narrowest band that all ranges leave, and which of them set its ends.

    Parameters
    ----------
    ranges : sequence of SpeedRange
        One at least.

    Returns
    -------
    SpeedBounds

    Raises
    ------
    ValueError
        If there is no range, or one is not a range.

    Examples
    --------
    >>> bounds = speed_bounds([SpeedRange("material", 22.9, 27.9, "handbook"), SpeedRange("wheel plate", 0.0, 25.0, "plate")])
    >>> bounds.low, bounds.high, bounds.high_by.name
    (22.9, 25.0, 'wheel plate')
    """
    if not ranges or not all(0.0 <= one.low <= one.high for one in ranges):
        raise ValueError("bounds need one range at least, each from zero or more up")
    low_by, high_by = max(ranges, key=lambda one: one.low), min(ranges, key=lambda one: one.high)
    return SpeedBounds(low_by.low, high_by.high, low_by, high_by)


def ranges_left(*, speed: float, ranges: Sequence[SpeedRange]) -> tuple[SpeedRange, ...]:
    """
    Ranges that a belt speed lies outside of.

    Parameters
    ----------
    speed : float
        ``>= 0``. [m/s]
    ranges : sequence of SpeedRange
        Any number.

    Returns
    -------
    tuple of SpeedRange
        In their order; all of them where the speed is NaN.

    Examples
    --------
    >>> [one.source for one in ranges_left(speed=30.0, ranges=[SpeedRange("stainless", 22.9, 27.9, "handbook"),
    ...                                                        SpeedRange("stainless", 33.0, 35.6, "trade chart")])]
    ['handbook', 'trade chart']
    """
    return tuple(one for one in ranges if not one.low <= speed <= one.high)
