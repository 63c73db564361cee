"""How the load lies across one pass: its profile, half-depth width and full ramps."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

POINTS: Final = 161
"""Points of a profile. [-]"""

REACH: Final = 0.8
"""Half the length of a profile, in belt widths: room for the outer half of a ramp of up to 0.6 belt widths. [-]"""

LONGEST_RAMP: Final = 0.6
"""Longest full ramp that a profile holds, in belt widths. [-]"""


@dataclass(frozen=True)
class LoadProfile:
    """
    Load per width across one pass, over its force.

    Attributes
    ----------
    y : ndarray (ny,)
        Place across the pass, 0 in the middle of the belt. [m]
    shape : ndarray (n, ny)
        :math:`q/F`: ``sum(shape) * dy = 1`` for each draw. [1/m]
    half_depth_width : ndarray (n,)
        Width between the half-height points. [m]
    ramp_left, ramp_right : ndarray (n,)
        Full ramps, 0 to 100 %. [m]
    """

    y: Array
    shape: Array
    half_depth_width: Array
    ramp_left: Array
    ramp_right: Array

    @property
    def dy(self) -> float:
        """Distance between points [m]."""
        return float(self.y[1] - self.y[0])

    @property
    def ramp(self) -> Array:
        """Mean of the two full ramps, (n,) [m]."""
        return 0.5 * (self.ramp_left + self.ramp_right)

    @property
    def asymmetry(self) -> Array:
        """(right - left) / (right + left) of the full ramps, (n,) [-]."""
        return (self.ramp_right - self.ramp_left) / (self.ramp_right + self.ramp_left)

    @property
    def centre(self) -> Array:
        """Centre of the load, (n,); not 0 for a tilted wheel [m]."""
        centre: Array = np.sum(self.shape * self.y, axis=-1) * self.dy
        return centre


def profile_grid(width: float) -> Array:
    """
    The places of a profile: they depend on the belt width alone.

    Parameters
    ----------
    width : float
        Belt width, ``> 0``. [m]

    Returns
    -------
    ndarray (161,)
        From -0.8 to 0.8 belt widths; the belt's edges lie on points. [m]
    """
    if not 0.0 < width < inf:
        raise ValueError(f"belt width must be > 0 and finite, not {width}")
    places = np.arange(POINTS, dtype=np.float64) - POINTS // 2
    return places * (2.0 * REACH * width / (POINTS - 1))


def _crossing(y: Array, shape: Array, level: Array) -> Array:
    """Outermost place, coming from the left, where the profile first reaches ``level`` (n,); between points by a straight line."""
    above = shape >= level[:, None]
    first = np.argmax(above, axis=-1)
    right = np.maximum(first, 1)
    row = np.arange(shape.shape[0])
    low, high = shape[row, right - 1], shape[row, right]
    share = np.where(high > low, (level - low) / np.where(high > low, high - low, 1.0), 1.0)
    return np.where(first == 0, y[0], y[right - 1] + np.clip(share, 0.0, 1.0) * (y[right] - y[right - 1]))


def profile_widths(y: Array, shape: Array) -> tuple[Array, Array, Array]:
    """
    Half-depth width and full ramps read off a profile: the one definition, for loads and for removed depth alike.

    Parameters
    ----------
    y : ndarray (ny,)
        Evenly spaced, rising. [m]
    shape : ndarray (n, ny)
        ``>= 0``, any scale; some of it > 0.

    Returns
    -------
    half_depth_width, ramp_left, ramp_right : ndarray (n,)
        Width between the outermost half-height points; and each ramp as the distance between its 10 % and 90 % points over 0.8, which
        is the full 0-100 % length of a straight ramp. Heights are counted from 0 to the highest point. [m]

    Raises
    ------
    ValueError
        If a profile is nowhere above zero, negative, or not finite.

    Examples
    --------
    >>> import numpy as np
    >>> y = np.linspace(-0.04, 0.04, 161)
    >>> shape = trapezoid_profile(half_depth_width=0.050, ramp_left=0.005, ramp_right=0.005, y=y)
    >>> width, left, right = profile_widths(y, shape[None, :])
    >>> print(round(1e3 * float(width[0]), 2), round(1e3 * float(left[0]), 2))
    50.0 5.0
    """
    top = np.max(shape, axis=-1)
    if not (np.all(top > 0.0) and np.all(shape >= 0.0) and np.all(top < inf)):
        raise ValueError("a profile must be finite, nowhere negative and somewhere above zero")
    back, turned = -y[::-1], shape[:, ::-1]
    left = [_crossing(y, shape, share * top) for share in (0.1, 0.5, 0.9)]
    right = [_crossing(back, turned, share * top) for share in (0.1, 0.5, 0.9)]
    return -right[1] - left[1], (left[2] - left[0]) / 0.8, (right[2] - right[0]) / 0.8


def trapezoid_profile(*, half_depth_width: float, ramp_left: float, ramp_right: float, y: Array) -> Array:
    """
    Trapezoid with straight ramps, centred between its half-height points.

    Parameters
    ----------
    half_depth_width : float
        ``> 0``, at least the mean ramp. [m]
    ramp_left, ramp_right : float
        Full ramps, ``>= 0``. [m]
    y : ndarray (ny,)
        Places. [m]

    Returns
    -------
    ndarray (ny,)
        Height: 1 on the plateau. A ramp of 0 is a step, counted half at its place. [-]

    Raises
    ------
    ValueError
        If a size is negative or the ramps overlap, or any is NaN or infinite.
    """
    if not (0.0 < half_depth_width < inf and 0.0 <= ramp_left < inf and 0.0 <= ramp_right < inf):
        raise ValueError("a trapezoid needs a width > 0 and ramps >= 0, all finite")
    if 0.5 * (ramp_left + ramp_right) > half_depth_width * (1.0 + 1e-12):
        raise ValueError(f"ramps of {ramp_left} m and {ramp_right} m do not fit on a half-depth width of {half_depth_width} m")

    def side(distance: Array, ramp: float) -> Array:
        rising: Array = 0.5 * (np.sign(distance) + 1.0) if ramp == 0.0 else np.clip(distance / ramp + 0.5, 0.0, 1.0)
        return rising

    return np.minimum(side(y + 0.5 * half_depth_width, ramp_left), side(0.5 * half_depth_width - y, ramp_right))


def softened_profile(*, width: float, hard: Array, ramp: Array) -> LoadProfile:
    """
    Profile of a load that ends hard at the belt's edges, its edges spread over a straight ramp.

    Parameters
    ----------
    width : float
        Belt width, ``> 0``. [m]
    hard : ndarray (n, 101)
        Load per width at the points of `profile_grid` from edge to edge of the belt, any scale; no load outside. [N/m]
    ramp : ndarray (n,)
        Full ramp, ``0 < ramp <= 0.6 * width``. [m]

    Returns
    -------
    LoadProfile
        Normalised.

    Notes
    -----
    Running mean over ``ramp`` (a box), taken exactly on the running integral of the load: a hard edge becomes a straight full ramp of
    that length and the load is kept.
    """
    y = profile_grid(width)
    n, count = hard.shape
    dy = float(y[1] - y[0])
    cumulative = np.zeros((n, count))
    np.cumsum(0.5 * (hard[:, 1:] + hard[:, :-1]), axis=-1, out=cumulative[:, 1:])

    columns = np.arange(y.size)[None, :] - (y.size - count) // 2
    row = np.arange(n)[:, None]

    def integral(shift: Array) -> Array:
        whole = np.floor(shift / dy)
        part = (shift / dy - whole)[:, None]
        index = columns + whole.astype(np.int64)[:, None]
        low = cumulative[row, np.clip(index, 0, count - 1)]
        high = cumulative[row, np.clip(index + 1, 0, count - 1)]
        between: Array = low + part * (high - low)
        return between

    shape = np.maximum(integral(0.5 * ramp) - integral(-0.5 * ramp), 0.0)
    shape /= np.sum(shape, axis=-1, keepdims=True) * dy
    return LoadProfile(y, shape, *profile_widths(y, shape))
