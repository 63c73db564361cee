"""Numbers of the heights alone, the same for profiles and maps, and slopes by the seven-point rule."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]

SLOPE_POINTS: Final = (-1.0 / 60.0, 9.0 / 60.0, -45.0 / 60.0, 0.0, 45.0 / 60.0, -9.0 / 60.0, 1.0 / 60.0)
"""Weights of the seven-point slope, from three points before to three after, over the spacing. [-]"""


def measured_heights(height: ArrayLike) -> Floats:
    """
    Heights that were measured.

    Parameters
    ----------
    height : array_like
        From the mean line or reference surface, any shape; NaN where nothing was measured. [m]

    Returns
    -------
    numpy.ndarray
        Shape ``(n,)``; no mean is taken off once more. [m]

    Raises
    ------
    ValueError
        If no height is measured or one is infinite.

    Examples
    --------
    >>> measured_heights([1.0, float("nan"), 3.0]).tolist()
    [1.0, 3.0]
    """
    z = np.asarray(height, dtype=np.float64)
    z = z[~np.isnan(z)]
    if z.size == 0 or not np.all(np.isfinite(z)):
        raise ValueError("heights must be finite, and at least one must be measured")
    return np.asarray(z)


def mean_deviation(height: ArrayLike) -> float:
    r"""
    Ra of a profile, Sa of a map: arithmetic mean height.

    Parameters
    ----------
    height : array_like
        From the mean line or reference surface, any shape; NaN where nothing was measured. [m]

    Returns
    -------
    float
        :math:`\overline{|z|}`. [m]

    References
    ----------
    iso-21920-2, Ra; iso-25178-2, Sa.

    Examples
    --------
    >>> mean_deviation([1.0, -1.0, 1.0, -1.0])
    1.0
    """
    return float(np.mean(np.abs(measured_heights(height))))


def rms_deviation(height: ArrayLike) -> float:
    r"""
    Rq of a profile, Sq of a map: root mean square height.

    Parameters
    ----------
    height : array_like
        From the mean line or reference surface, any shape; NaN where nothing was measured. [m]

    Returns
    -------
    float
        :math:`\sqrt{\overline{z^2}}`. [m]

    References
    ----------
    iso-21920-2, Rq; iso-25178-2, Sq.

    Examples
    --------
    >>> round(rms_deviation([2.0, -2.0, 0.0, 0.0]), 6)
    1.414214
    """
    return float(np.sqrt(np.mean(measured_heights(height) ** 2)))


def skewness(height: ArrayLike) -> float:
    r"""
    Rsk of a profile, Ssk of a map: negative where valleys are deeper than hills are high.

    Parameters
    ----------
    height : array_like
        From the mean line or reference surface, any shape; NaN where nothing was measured. [m]

    Returns
    -------
    float
        :math:`\overline{z^3}/\mathrm{Rq}^3`. [-]

    Raises
    ------
    ValueError
        If all heights are zero.

    References
    ----------
    iso-21920-2, Rsk; iso-25178-2, Ssk.

    Examples
    --------
    >>> round(skewness([0.25, 0.25, 0.25, -0.75]), 4)
    -1.1547
    """
    return _moment(height, 3)


def kurtosis(height: ArrayLike) -> float:
    r"""
    Rku of a profile, Sku of a map: 3 for Gaussian heights, more with rare deep scratches.

    Parameters
    ----------
    height : array_like
        From the mean line or reference surface, any shape; NaN where nothing was measured. [m]

    Returns
    -------
    float
        :math:`\overline{z^4}/\mathrm{Rq}^4`. [-]

    Raises
    ------
    ValueError
        If all heights are zero.

    References
    ----------
    iso-21920-2, Rku; iso-25178-2, Sku.

    Examples
    --------
    >>> kurtosis([1.0, -1.0, 1.0, -1.0])
    1.0
    """
    return _moment(height, 4)


def _moment(height: ArrayLike, order: int) -> float:
    z = measured_heights(height)
    square = float(np.mean(z * z))
    if not square > 0.0:
        raise ValueError("all heights are zero: their distribution has no shape")
    return float(np.mean((z / np.sqrt(square)) ** order))


def slopes(height: ArrayLike, *, spacing: float) -> Floats:
    r"""
    Slope at every point of a profile, or along every row of a map.

    Parameters
    ----------
    height : array_like
        Shape ``(..., n)``, n at least 7; NaN where nothing was measured. [m]
    spacing : float
        Distance between points of the last axis, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        Shape ``(..., n - 6)``: the three points at either end have none; NaN where one of the seven points is missing. [-]

    Raises
    ------
    ValueError
        If there are fewer than seven points or the spacing is not positive and finite.

    Notes
    -----
    :math:`z' = (z_{+3} - 9z_{+2} + 45z_{+1} - 45z_{-1} + 9z_{-2} - z_{-3})/60\Delta`. A sine of M points per wave keeps the share
    :math:`(45\sin\theta - 9\sin2\theta + \sin3\theta)/30\theta`, :math:`\theta = 2\pi/M`: 0.999 at 9 points.

    References
    ----------
    iso-4287, Rdq (local slope).

    Examples
    --------
    >>> slopes(np.arange(8.0), spacing=2.0).round(12).tolist()
    [0.5, 0.5]
    """
    z = np.asarray(height, dtype=np.float64)
    step = float(positive("spacing", spacing))
    if z.shape[-1] < len(SLOPE_POINTS):
        raise ValueError(f"a slope needs {len(SLOPE_POINTS)} points in a row, there are {z.shape[-1]}")
    inner = z.shape[-1] - 6
    total = np.zeros((*z.shape[:-1], inner))
    for first, weight in enumerate(SLOPE_POINTS):
        if weight != 0.0:
            total += weight * z[..., first : first + inner]
    centre = z[..., 3 : 3 + inner]
    return np.asarray(np.where(np.isnan(centre), np.nan, total / step))
