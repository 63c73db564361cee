"""Stock removed: one pass across the grain, and any lay of passes on a face."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import not_negative, positive

Array = NDArray[np.float64]


def sliding_speed(*, belt_speed: ArrayLike, feed: ArrayLike, against: ArrayLike = 0.0) -> Array:
    r"""
    Speed of the belt over the surface while the tool moves.

    Parameters
    ----------
    belt_speed : array_like
        :math:`v`, ``>= 0``. [m/s]
    feed : array_like
        :math:`f`, tool over part, ``> 0``. [m/s]
    against : array_like, optional
        +1 where feed adds to the sliding, -1 where it takes from it, 0 where the direction is not told or changes from
        pass to pass. [-]

    Returns
    -------
    numpy.ndarray
        :math:`v \pm f`. [m/s]

    Raises
    ------
    ValueError
        If a speed is out of range, ``against`` is outside -1 to 1, or one is NaN.

    References
    ----------
    Derived (kinematics). Feed is below 1 % of belt speed in satin work, so the sign hardly matters.

    Examples
    --------
    >>> float(sliding_speed(belt_speed=18.0, feed=0.12, against=-1))
    17.88
    """
    v, f, sign = not_negative("belt_speed", belt_speed), positive("feed", feed), np.asarray(against, dtype=np.float64)
    if not np.all(np.abs(sign) <= 1.0):
        raise ValueError("against must lie between -1 and 1")
    return np.asarray(np.abs(v + sign * f))


def pass_removal(
    *, removal_coefficient: ArrayLike, belt_speed: ArrayLike, feed: ArrayLike, load_per_width: ArrayLike, against: ArrayLike = 0.0
) -> Array:
    r"""
    Stock removed by one pass, across the grain.

    Parameters
    ----------
    removal_coefficient : array_like
        :math:`k`, shape ``(n,)`` or scalar, ``> 0``. [m2/N]
    belt_speed : array_like
        :math:`v`, shape ``(n,)`` or scalar, ``>= 0``. [m/s]
    feed : array_like
        :math:`f`, shape ``(n,)`` or scalar, ``> 0``. [m/s]
    load_per_width : array_like
        :math:`q(y)`, shape ``(n, ny)`` or ``(ny,)``, ``>= 0``. [N/m]
    against : array_like, optional
        See `sliding_speed`. [-]

    Returns
    -------
    numpy.ndarray
        :math:`d(y) = k\,\frac{v \pm f}{f}\,q(y)`, the shape of ``load_per_width``. [m]

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    Notes
    -----
    Preston's law :math:`\dot d = k p v` integrated over the patch while it passes at speed :math:`f`; the patch length
    cancels. Belt speed, feed and load are assumed steady over one patch length.

    References
    ----------
    preston-1927 (from memory); hammann-1998 as quoted by ren-2006 (same proportions for belts).

    Examples
    --------
    40 N on 30 mm at 20 m/s and 0.2 m/s, in micrometres:

    >>> depth = pass_removal(removal_coefficient=7.905e-12, belt_speed=20.0, feed=0.2, load_per_width=[40 / 0.03])
    >>> (depth * 1e6).round(3)
    array([1.054])
    """
    load = not_negative("load_per_width", load_per_width)
    speed = sliding_speed(belt_speed=belt_speed, feed=feed, against=against)
    factor = positive("removal_coefficient", removal_coefficient) * speed / np.asarray(feed, dtype=np.float64)
    return np.asarray((factor[:, None] if factor.ndim else factor) * load)


def mean_pass_removal(
    *, removal_coefficient: ArrayLike, belt_speed: ArrayLike, force: ArrayLike, feed: ArrayLike, width: ArrayLike
) -> Array:
    r"""
    Stock removed by one pass, averaged over its half-depth width.

    Parameters
    ----------
    removal_coefficient : array_like
        :math:`k`, ``> 0``. [m2/N]
    belt_speed : array_like
        :math:`v`, ``>= 0``. [m/s]
    force : array_like
        :math:`F`, ``>= 0``. [N]
    feed : array_like
        :math:`f`, ``> 0``. [m/s]
    width : array_like
        :math:`w`, half-depth width of the footprint (not the width of the belt), ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`k v F/(f w)`. [m]

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    References
    ----------
    preston-1927 (from memory).

    Examples
    --------
    >>> d = mean_pass_removal(removal_coefficient=1e-11, belt_speed=18.0, force=35.0, feed=0.12, width=0.05)
    >>> float((d * 1e6).round(3))
    1.05
    """
    top = positive("removal_coefficient", removal_coefficient) * not_negative("belt_speed", belt_speed) * not_negative("force", force)
    return np.asarray(top / (positive("feed", feed) * positive("width", width)))


def removed_volume(*, removal_coefficient: ArrayLike, force: ArrayLike, sliding_length: ArrayLike) -> Array:
    r"""
    Volume removed over a length of belt that slid past.

    Parameters
    ----------
    removal_coefficient : array_like
        :math:`k`, ``> 0``. [m2/N]
    force : array_like
        :math:`F`, ``>= 0``. [N]
    sliding_length : array_like
        :math:`v t`, ``>= 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`k F v t`. [m3]

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    References
    ----------
    archard-1953 (from memory).

    Examples
    --------
    40 N for one second at 20 m/s, in cubic millimetres:

    >>> float((removed_volume(removal_coefficient=7.905e-12, force=40.0, sliding_length=20.0) * 1e9).round(2))
    6.32
    """
    load = not_negative("force", force) * not_negative("sliding_length", sliding_length)
    return np.asarray(positive("removal_coefficient", removal_coefficient) * load)


def feed_dip_removal(dip: ArrayLike) -> Array:
    r"""
    Local over-removal where the feed dips while the force stays on.

    Parameters
    ----------
    dip : array_like
        Share of the feed that is missing, ``0 <= dip < 1``. [-]

    Returns
    -------
    numpy.ndarray
        :math:`1/(1 - \text{dip}) - 1`, added removal as a share of the usual one. [-]

    Raises
    ------
    ValueError
        If the dip is outside its range or NaN.

    References
    ----------
    Derived from `pass_removal`: depth goes as one over feed.

    Examples
    --------
    >>> float(feed_dip_removal(0.3).round(2))
    0.43
    """
    share = np.asarray(dip, dtype=np.float64)
    if not np.all((share >= 0.0) & (share < 1.0)):
        raise ValueError("a feed dip is a share from 0 to below 1")
    return np.asarray(share / (1.0 - share))


def profile_at(*, y: Array, shape: Array, at: Array) -> Array:
    r"""
    Value of a profile across the pass at any place, zero outside its grid.

    Parameters
    ----------
    y : numpy.ndarray
        Evenly spaced grid of the profile, shape ``(ny,)``, rising. [m]
    shape : numpy.ndarray
        The profile, shape ``(n, ny)``. [any]
    at : numpy.ndarray
        Places, shape ``(m,)`` (the same for every draw) or ``(n, m)``. [m]

    Returns
    -------
    numpy.ndarray
        Linear interpolation, shape ``(n, m)``. [as ``shape``]

    Raises
    ------
    ValueError
        If the grid is not evenly spaced or does not match the profile.

    Examples
    --------
    >>> profile_at(y=np.array([0.0, 1.0, 2.0]), shape=np.array([[0.0, 1.0, 0.0]]), at=np.array([0.5, 1.5, 3.0]))
    array([[0.5, 0.5, 0. ]])
    """
    step = grid_step(y, shape)
    place = (np.asarray(at, dtype=np.float64) - y[0]) / step
    last = y.size - 1
    inside = (place >= 0.0) & (place <= last)
    index = np.clip(place, 0.0, last - 1.0).astype(np.intp)
    part = place - index
    if place.ndim == 1:
        columns = np.ascontiguousarray(shape.T)
        low, high = columns[index], columns[index + 1]
        return np.asarray(np.where(inside[:, None], low + (high - low) * part[:, None], 0.0).T)
    flat = np.ascontiguousarray(shape).ravel()
    index = index + (np.arange(shape.shape[0], dtype=np.intp) * y.size)[:, None]
    low = flat[index]
    return np.asarray(np.where(inside, low + (flat[index + 1] - low) * part, 0.0))


def grid_step(y: Array, shape: Array) -> float:
    """
    Spacing of a profile's grid, after checking that it is even and fits the profile.

    Parameters
    ----------
    y : numpy.ndarray
        Grid, shape ``(ny,)``, rising. [m]
    shape : numpy.ndarray
        Profile, shape ``(n, ny)``. [any]

    Returns
    -------
    float
        Spacing. [m]

    Raises
    ------
    ValueError
        If the grid has fewer than two points, is not rising and even, or does not match the profile.

    Examples
    --------
    >>> grid_step(np.array([0.0, 0.5, 1.0]), np.zeros((1, 3)))
    0.5
    """
    if y.ndim != 1 or y.size < 2 or shape.ndim != 2 or shape.shape[1] != y.size:
        raise ValueError("a profile needs a grid (ny,) of two points or more and values (n, ny)")
    step = float(y[-1] - y[0]) / (y.size - 1)
    if not 0.0 < step < np.inf or not np.all(np.abs(np.diff(y) - step) <= 1e-6 * step):
        raise ValueError("the grid of a profile must rise evenly")
    return step


def lay_removal(*, face: Array, centres: Array, y: Array, depth: Array, weights: ArrayLike = 1.0) -> Array:
    r"""
    Stock removed on a face by a lay of passes, drawn pass by pass.

    Parameters
    ----------
    face : numpy.ndarray
        Places across the grain, shape ``(nf,)``, any spacing. [m]
    centres : numpy.ndarray
        Where the passes run, shape ``(P,)``, or ``(n, P)`` with path error in it. [m]
    y : numpy.ndarray
        Grid of one pass's profile about its centre, shape ``(ny,)``, even. [m]
    depth : numpy.ndarray
        Stock removed by one pass, shape ``(n, ny)``. [m]
    weights : array_like, optional
        Share of ``depth`` that each pass removes, shape ``(P,)`` or ``(n, P)``, ``>= 0``. [-]

    Returns
    -------
    numpy.ndarray
        Shape ``(n, nf)``. [m]

    Raises
    ------
    ValueError
        If shapes do not match, a weight is negative, or a grid is not even.

    Notes
    -----
    The plain second way beside `evenlay.physics.ripple.ripple`: it keeps the ends of the face.

    Examples
    --------
    >>> y = np.linspace(-1.0, 1.0, 5)
    >>> lay_removal(face=np.array([0.0, 1.0]), centres=np.array([0.0, 1.0]), y=y, depth=np.array([[0.0, 1.0, 1.0, 1.0, 0.0]]))
    array([[1., 1.]])
    """
    count = depth.shape[0]
    where = np.asarray(centres, dtype=np.float64)
    share = np.broadcast_to(not_negative("weights", weights), where.shape if np.ndim(weights) < 2 else (count, where.shape[-1]))
    total = np.zeros((count, face.size))
    for index in range(where.shape[-1]):
        centre = where[..., index]
        near = (face >= np.min(centre) + y[0]) & (face <= np.max(centre) + y[-1])
        at = face[near] - (centre[:, None] if centre.ndim else centre)
        total[:, near] += np.asarray(share[..., index])[..., None] * profile_at(y=y, shape=depth, at=at)
    return total
