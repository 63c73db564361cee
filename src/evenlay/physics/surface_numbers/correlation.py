"""How far heights stay alike: the areal autocorrelation, Sal and Str."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.physics.surface_numbers.filters import fast_length
from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]

DECAY: Final = 0.2
"""Value of the autocorrelation at which heights count as different. [-]"""

MOST_POINTS: Final = 1 << 24
"""Points of a map that are correlated at most; of a larger one the middle is taken."""


@dataclass(frozen=True)
class Correlation:
    """
    Autocorrelation of a map over half its size in each direction.

    Parameters
    ----------
    value : numpy.ndarray
        Shape ``(2 my + 1, 2 mx + 1)``, 1 in the middle; each lag over the points that overlap there. [-]
    spacing_x, spacing_y : float
        Lag from column to column and from row to row. [m]
    """

    value: Floats
    spacing_x: float
    spacing_y: float


def autocorrelation(height: ArrayLike, *, spacing_x: float, spacing_y: float) -> Correlation:
    r"""
    Areal autocorrelation of a levelled map.

    Parameters
    ----------
    height : array_like
        Shape ``(ny, nx)``, at least three points each way; NaN where nothing was measured. The mean is taken off. [m]
    spacing_x, spacing_y : float
        Distance between columns and between rows, ``> 0``. [m]

    Returns
    -------
    Correlation
        Of maps above 16 million points, the middle.

    Raises
    ------
    ValueError
        If all heights are equal, the map is smaller than that, or a spacing is not positive and finite.

    Notes
    -----
    :math:`f(\boldsymbol\tau) = \overline{z(\mathbf x)\,z(\mathbf x + \boldsymbol\tau)}\,/\,\overline{z^2}`, the mean taken over the pairs
    that are there, so that the edge of the map does not pull it down.

    References
    ----------
    iso-25178-2, autocorrelation function.

    Examples
    --------
    >>> stripes = np.tile([1.0, -1.0], (6, 4))
    >>> autocorrelation(stripes, spacing_x=1.0, spacing_y=1.0).value[3].round(9).tolist()
    [1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0]
    """
    z = _middle(np.asarray(height, dtype=np.float64))
    steps = float(positive("spacing_x", spacing_x)), float(positive("spacing_y", spacing_y))
    if z.ndim != 2 or min(z.shape) < 3:
        raise ValueError("an areal autocorrelation needs at least three rows and three columns")
    measured = np.isfinite(z)
    z = np.where(measured, z - np.mean(z[measured]), 0.0) if np.any(measured) else np.zeros_like(z)
    far = z.shape[0] // 2, z.shape[1] // 2
    sums = _lagged(z, far)
    middle = sums[far[0], far[1]]
    if not middle > 0.0:
        raise ValueError("all heights are equal: nothing to correlate")
    if np.all(measured):
        pairs = np.outer(*(size - np.abs(np.arange(-reach, reach + 1)) for size, reach in zip(z.shape, far, strict=True))).astype(float)
    else:
        pairs = np.round(_lagged(measured.astype(np.float64), far))
    there = pairs > 0.0
    value = np.where(there, sums / np.where(there, pairs, 1.0), 0.0)
    return Correlation(np.asarray(value / value[far[0], far[1]]), *steps)


def _middle(z: Floats) -> Floats:
    """Middle of a map, with the shape of the whole, of no more points than are correlated."""
    if z.size <= MOST_POINTS:
        return z
    share = np.sqrt(MOST_POINTS / z.size)
    part = [slice((size - round(size * share)) // 2, (size - round(size * share)) // 2 + round(size * share)) for size in z.shape]
    return z[part[0], part[1]]


def _lagged(z: Floats, far: tuple[int, int]) -> Floats:
    """Sums of products at all lags up to ``far``, zero lag in the middle."""
    size = [fast_length(n + reach) for n, reach in zip(z.shape, far, strict=True)]
    power = np.abs(np.fft.rfft2(z, size)) ** 2
    sums = np.fft.irfft2(power, size)
    rows, columns = np.arange(-far[0], far[0] + 1), np.arange(-far[1], far[1] + 1)
    return np.asarray(sums[np.ix_(rows % size[0], columns % size[1])])


@dataclass(frozen=True)
class Decay:
    """
    Distances over which heights stop being alike.

    Parameters
    ----------
    shortest : float
        Sal: to the decay value in the direction of the fastest decay. [m]
    shortest_direction : float
        Direction of ``shortest``, counter-clockwise from +x, 0 to pi. [rad]
    longest : float
        In the direction of the slowest decay; a lower bound where ``bounded`` is False. [m]
    longest_direction : float
        Direction of ``longest``, counter-clockwise from +x, 0 to pi. [rad]
    bounded : bool
        Whether the map is long enough for ``longest``.
    """

    shortest: float
    shortest_direction: float
    longest: float
    longest_direction: float
    bounded: bool

    @property
    def aspect(self) -> float:
        """Str: ``shortest / longest``; an upper bound where ``bounded`` is False. [-]"""
        return self.shortest / self.longest


def decay_lengths(correlation: Correlation, *, value: float = DECAY) -> Decay:
    r"""
    Sal, and the slowest decay for Str.

    Parameters
    ----------
    correlation : Correlation
        Of a filtered, levelled map.
    value : float
        Decay value, between 0 and 1; the standard's default is 0.2. [-]

    Returns
    -------
    Decay
        Directions are searched every degree, then ten times finer around the best, until a step moves the end of the ray by less than
        a tenth of a point.

    Raises
    ------
    ValueError
        If the decay value is not between 0 and 1, or the autocorrelation reaches it in no direction.

    Notes
    -----
    Along a ray from the middle the first place is taken at which the autocorrelation, straight between its points, falls to the value.

    References
    ----------
    iso-25178-2, Sal and Str; iso-25178-3, default of 0.2.

    Examples
    --------
    >>> x = np.arange(-60, 61) / 10.0
    >>> bell = Correlation(np.exp(-(x**2) - (x[:, None] / 3.0) ** 2), 0.1, 0.1)
    >>> found = decay_lengths(bell)
    >>> round(found.shortest, 2), round(found.aspect, 2), found.bounded
    (1.27, 0.33, True)
    """
    if not 0.0 < value < 1.0:
        raise ValueError("the decay value must lie between 0 and 1")
    step = np.pi / 180.0
    angles = np.asarray(np.arange(180) * step, dtype=np.float64)
    lengths, ended = _reach(correlation, angles, value)
    if not np.any(ended):
        raise ValueError("the map is too small: its autocorrelation does not fall to the decay value in any direction")
    fine = 0.1 * min(correlation.spacing_x, correlation.spacing_y)
    shortest, nearest, _ = _refined(correlation, angles, np.where(ended, lengths, np.inf), value, step, fine, sign=1.0)
    longest, direction, bounded = _refined(correlation, angles, lengths, value, step, fine, sign=-1.0)
    return Decay(shortest, float(nearest % np.pi), longest, float(direction % np.pi), bool(np.all(ended)) and bounded)


def _refined(
    correlation: Correlation, angles: Floats, lengths: Floats, value: float, step: float, fine: float, sign: float
) -> tuple[float, float, bool]:
    """Shortest (sign 1) or longest (sign -1) ray near the best of the given ones: length, direction, whether it ended."""
    best = int(np.argmin(sign * lengths))
    length, direction, ended = float(lengths[best]), float(angles[best]), True
    while step * length > fine:
        near = np.asarray(direction + step * np.linspace(-1.0, 1.0, 21), dtype=np.float64)
        tried, ends = _reach(correlation, near, value)
        best = int(np.argmin(sign * np.where(ends, tried, np.inf) if sign > 0 else sign * tried))
        if sign * tried[best] <= sign * length:
            length, direction, ended = float(tried[best]), float(near[best]), bool(ends[best])
        step /= 10.0
    return length, direction, ended


def _reach(correlation: Correlation, angles: Floats, value: float) -> tuple[Floats, NDArray[np.bool_]]:
    """Length of each ray to the decay value, and whether it gets there before the edge of the lags."""
    field, dx, dy = correlation.value, correlation.spacing_x, correlation.spacing_y
    my, mx = field.shape[0] // 2, field.shape[1] // 2
    lengths, ended = np.empty(angles.size), np.zeros(angles.size, dtype=np.bool_)
    for index, angle in enumerate(angles):
        along_x, along_y = np.cos(angle), np.sin(angle)
        edge = min(mx * dx / max(abs(along_x), 1e-12), my * dy / max(abs(along_y), 1e-12))
        pace = 0.5 / (abs(along_x) / dx + abs(along_y) / dy)
        lengths[index] = edge
        before, start = 1.0, 0.0
        while start < edge:
            distance = np.minimum(start + pace * np.arange(1, 257), edge)
            along = _between(field, my + distance * along_y / dy, mx + distance * along_x / dx)
            low = np.flatnonzero(along <= value)
            if low.size:
                first = int(low[0])
                previous = float(along[first - 1]) if first else before
                back = float(distance[first - 1]) if first else start
                share = (previous - value) / (previous - float(along[first]))
                lengths[index], ended[index] = back + share * (float(distance[first]) - back), True
                break
            before, start = float(along[-1]), float(distance[-1])
    return lengths, ended


def _between(field: Floats, row: Floats, column: Floats) -> Floats:
    """Values between grid points, straight in both directions."""
    i = np.clip(row.astype(np.int64), 0, field.shape[0] - 2)
    j = np.clip(column.astype(np.int64), 0, field.shape[1] - 2)
    u, v = row - i, column - j
    near = field[i, j] * (1 - v) + field[i, j + 1] * v
    far = field[i + 1, j] * (1 - v) + field[i + 1, j + 1] * v
    return np.asarray(near * (1 - u) + far * u)
