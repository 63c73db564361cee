"""Spacing of every mark that a set-up can print, their coincidences, and the clear bands of feed and belt speed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import positive

Array = NDArray[np.float64]
Band = tuple[float, float]


def joint_pitch(*, feed: ArrayLike, belt_length: ArrayLike, belt_speed: ArrayLike) -> Array:
    r"""
    Spacing of the marks of the belt joint; also the length after which the same grains return.

    Parameters
    ----------
    feed : array_like
        :math:`f`, ``> 0``. [m/s]
    belt_length : array_like
        :math:`L`, once round, ``> 0``. [m]
    belt_speed : array_like
        :math:`v`, ``> 0``. [m/s]

    Returns
    -------
    numpy.ndarray
        :math:`\Lambda = f L/v`, along the grain. [m]

    Raises
    ------
    ValueError
        If an input is not positive, or is NaN or infinite.

    References
    ----------
    Derived: feed over frequency.

    Examples
    --------
    A 1.5 m belt at 18 m/s and 120 mm/s, in millimetres:

    >>> float((1000 * joint_pitch(feed=0.12, belt_length=1.5, belt_speed=18.0)).round(6))
    10.0
    """
    return np.asarray(positive("feed", feed) * positive("belt_length", belt_length) / positive("belt_speed", belt_speed))


def wheel_pitch(*, feed: ArrayLike, diameter: ArrayLike, belt_speed: ArrayLike, harmonic: int = 1) -> Array:
    r"""
    Spacing of the marks of a wheel that runs out, or of its higher harmonics (lobes, slots, serrations).

    Parameters
    ----------
    feed : array_like
        :math:`f`, ``> 0``. [m/s]
    diameter : array_like
        :math:`D`, ``> 0``. [m]
    belt_speed : array_like
        :math:`v`, ``> 0``. [m/s]
    harmonic : int, optional
        How often per turn, ``>= 1``. [-]

    Returns
    -------
    numpy.ndarray
        :math:`f \pi D/(h v)`, along the grain. [m]

    Raises
    ------
    ValueError
        If an input is not positive, or is NaN or infinite.

    References
    ----------
    Derived: feed over frequency.

    Examples
    --------
    >>> float((1000 * wheel_pitch(feed=0.12, diameter=0.15, belt_speed=18.0)).round(2))
    3.14
    """
    if harmonic < 1:
        raise ValueError("harmonics count from 1")
    return joint_pitch(feed=feed, belt_length=np.pi * positive("diameter", diameter) / harmonic, belt_speed=belt_speed)


def chatter_pitch(*, feed: ArrayLike, frequency: ArrayLike) -> Array:
    r"""
    Spacing of the marks of a vibration of fixed frequency.

    Parameters
    ----------
    feed : array_like
        :math:`f`, ``> 0``. [m/s]
    frequency : array_like
        :math:`f_0`, ``> 0``. [Hz]

    Returns
    -------
    numpy.ndarray
        :math:`f/f_0`, along the grain. [m]

    Raises
    ------
    ValueError
        If an input is not positive, or is NaN or infinite.

    Notes
    -----
    Forced marks follow the speed of rotation; self-excited ones keep their frequency.

    References
    ----------
    Derived: feed over frequency.

    Examples
    --------
    >>> float((1000 * chatter_pitch(feed=0.12, frequency=40.0)).round(6))
    3.0
    """
    return np.asarray(positive("feed", feed) / positive("frequency", frequency))


def bandwidth_length(*, feed: ArrayLike, bandwidth: ArrayLike) -> Array:
    r"""
    Length on the part below which the force device no longer follows: shorter waves pass into the force.

    Parameters
    ----------
    feed : array_like
        :math:`f`, ``> 0``. [m/s]
    bandwidth : array_like
        Of the force device, ``> 0``. [Hz]

    Returns
    -------
    numpy.ndarray
        Feed over bandwidth, along the grain. [m]

    Raises
    ------
    ValueError
        If an input is not positive, or is NaN or infinite.

    References
    ----------
    Derived: feed over frequency.

    Examples
    --------
    >>> float((1000 * bandwidth_length(feed=0.12, bandwidth=10.0)).round(6))
    12.0
    """
    return chatter_pitch(feed=feed, frequency=bandwidth)


@dataclass(frozen=True)
class Coincidence:
    """
    Two marks whose spacings stand in a ratio of small whole numbers.

    ``first``, ``second``: names; ``ratio``: (a, b) with ``a * second = b * first`` nearly; ``off``: how far from it, as a
    share of the ratio [-].
    """

    first: str
    second: str
    ratio: tuple[int, int]
    off: float


def coincidences(pitches: Sequence[tuple[str, float]], *, largest: int = 4, tolerance: float = 0.02) -> tuple[Coincidence, ...]:
    """
    Pairs of marks that add up because their spacings stand in a ratio of small whole numbers.

    Parameters
    ----------
    pitches : sequence of (str, float)
        Name and spacing, ``> 0``. [m]
    largest : int, optional
        Largest whole number in a ratio, ``>= 1``. [-]
    tolerance : float, optional
        How far the ratio may be off, as a share, ``>= 0``. [-]

    Returns
    -------
    tuple of Coincidence
        At most one for each pair, the nearest ratio, in the order of the pairs.

    Raises
    ------
    ValueError
        If a spacing is not positive, or the limits are out of range.

    References
    ----------
    Common practice, no source: whole-number ratios add up, awkward ones wash out.

    Examples
    --------
    >>> coincidences([("joint", 0.0100), ("wheel", 0.0050), ("chatter", 0.0073)])
    (Coincidence(first='joint', second='wheel', ratio=(2, 1), off=0.0),)
    """
    if largest < 1 or not 0.0 <= tolerance < np.inf:
        raise ValueError("the largest whole number is 1 or more, the tolerance zero or more")
    ratios = [(a, b) for a in range(1, largest + 1) for b in range(1, largest + 1) if gcd(a, b) == 1]
    found = []
    for index, (first, one) in enumerate(pitches):
        for second, two in pitches[index + 1 :]:
            quotient = float(positive("spacing", one) / positive("spacing", two))
            off, ratio = min((abs(quotient * b / a - 1.0), (a, b)) for a, b in ratios)
            if off <= tolerance:
                found.append(Coincidence(first, second, ratio, off))
    return tuple(found)


def between_passes(*, frequency: ArrayLike, interval: ArrayLike) -> Array:
    """
    How far the marks of one pass lie from lining up with those of the next.

    Parameters
    ----------
    frequency : array_like
        Rate of the mark, ``> 0``. [Hz]
    interval : array_like
        Time from a place in one pass to the same place in the next, ``> 0``. [s]

    Returns
    -------
    numpy.ndarray
        0: marks of neighbouring passes line up and add; 0.5: they fall half way between. [spacings]

    Raises
    ------
    ValueError
        If an input is not positive, or is NaN or infinite.

    Notes
    -----
    Only as good as the rate is steady: after many turns a small error of speed makes the number meaningless, so it is
    of use for rates locked to the motion.

    References
    ----------
    Derived: turns between the passes, less whole ones.

    Examples
    --------
    >>> float(between_passes(frequency=12.0, interval=4.0)), float(between_passes(frequency=12.0, interval=4.125))
    (0.0, 0.5)
    """
    turns = positive("frequency", frequency) * positive("interval", interval)
    return np.abs(turns - np.round(turns))


@dataclass(frozen=True)
class ClearBands:
    """
    Where no mark falls in the band that the eye sees.

    ``feeds``: bands of feed at the belt speed asked for [m/s]; ``speeds``: bands of belt speed at the feed asked for
    [m/s]; both rising, empty when there is none. ``share``: share of the whole field of feed and belt speed, on an even
    grid, that is clear [-].
    """

    feeds: tuple[Band, ...]
    speeds: tuple[Band, ...]
    share: float


def clear_bands(
    *,
    lengths: Sequence[float],
    frequencies: Sequence[float],
    visible: Band,
    feed: float,
    speed: float,
    feed_range: Band,
    speed_range: Band,
) -> ClearBands:
    r"""
    Bands of feed and of belt speed in which every spacing along the grain is too short or too long to be seen.

    Parameters
    ----------
    lengths : sequence of float
        Of what returns with the belt: belt length for the joint, :math:`\pi D/h` for the wheel, ``> 0``. [m]
    frequencies : sequence of float
        Of what keeps its own rate, ``> 0``. [Hz]
    visible : (float, float)
        Shortest and longest spacing that is seen, ``0 < shortest < longest``. [m]
    feed, speed : float
        Set values, ``> 0``. [m/s]
    feed_range, speed_range : (float, float)
        What can be set, ``0 < low <= high``. [m/s]

    Returns
    -------
    ClearBands
        Whole ranges where there is no mark at all.

    Raises
    ------
    ValueError
        If an input is out of range or NaN.

    Notes
    -----
    Derived. A length :math:`\ell` is seen while :math:`p_1 \le f\ell/v \le p_2`, that is for feeds from
    :math:`p_1 v/\ell` to :math:`p_2 v/\ell`, and for belt speeds from :math:`f\ell/p_2` to :math:`f\ell/p_1`; a rate
    :math:`f_0` for feeds from :math:`p_1 f_0` to :math:`p_2 f_0`, whatever the belt speed. What is left is clear.

    Examples
    --------
    Joint of a 1.5 m belt and a 150 mm wheel, eye at 0.6 m (2 to 5 mm):

    >>> bands = clear_bands(lengths=[1.5, 0.471], frequencies=[], visible=(0.002, 0.005), feed=0.12, speed=18.0,
    ...                     feed_range=(0.02, 0.3), speed_range=(10.0, 30.0))
    >>> [(round(low, 3), round(high, 3)) for low, high in bands.feeds]
    [(0.02, 0.024), (0.06, 0.076), (0.191, 0.3)]
    >>> [(round(low, 1), round(high, 1)) for low, high in bands.speeds]
    [(10.0, 11.3), (28.3, 30.0)]
    """
    turning = [float(x) for x in positive("lengths", list(lengths))]
    steady = [float(x) for x in positive("frequencies", list(frequencies))]
    short, long = visible
    for name, (low, high) in (("visible band", visible), ("feed range", feed_range), ("speed range", speed_range)):
        if not 0.0 < low <= high < np.inf:
            raise ValueError(f"the {name} runs from a positive number up")
    if not (0.0 < feed < np.inf and 0.0 < speed < np.inf):
        raise ValueError("feed and belt speed must be positive and finite")
    own = [(short * rate, long * rate) for rate in steady]
    feeds = gaps(feed_range, [*((short * speed / length, long * speed / length) for length in turning), *own])
    shut = any(low <= feed <= high for low, high in own)
    speeds = () if shut else gaps(speed_range, [(feed * length / long, feed * length / short) for length in turning])
    return ClearBands(feeds, speeds, _clear_share(turning, own, visible, feed_range, speed_range))


def gaps(within: Band, taken: Iterable[Band]) -> tuple[Band, ...]:
    """
    What is left of a range when some bands are taken out of it.

    Parameters
    ----------
    within : (float, float)
        The range. [any]
    taken : iterable of (float, float)
        Bands, in any order, overlapping or not. [as ``within``]

    Returns
    -------
    tuple of (float, float)
        Open bands that are left, rising. [as ``within``]

    Examples
    --------
    >>> gaps((0.0, 10.0), [(2.0, 4.0), (3.0, 5.0), (9.0, 12.0)])
    ((0.0, 2.0), (5.0, 9.0))
    """
    at, end = within
    left = []
    for low, high in sorted(taken):
        if low > at:
            left.append((at, min(low, end)))
        at = max(at, high)
        if at >= end:
            break
    if at < end:
        left.append((at, end))
    return tuple(band for band in left if band[0] < band[1])


def _clear_share(turning: list[float], own: list[Band], visible: Band, feed_range: Band, speed_range: Band) -> float:
    """Share of an even grid of feeds and speeds in which no mark is seen."""
    feeds = np.linspace(*feed_range, 101)[:, None]
    speeds = np.linspace(*speed_range, 101)[None, :]
    clear = np.ones((101, 101), dtype=bool)
    for length in turning:
        spacing = feeds * length / speeds
        clear &= (spacing < visible[0]) | (spacing > visible[1])
    for low, high in own:
        clear &= (feeds < low) | (feeds > high)
    return float(np.mean(clear))
