"""A trapezoid through one noisy, uneven footprint."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.evidence.least_squares import Fit, nonlinear_fit

Array = NDArray[np.float64]

DENSEST: Final = 400
"""A denser profile is averaged into this many points."""

FLOOR: Final = 1e-3
"""No profile is believed to be quieter than this share of its height. [-]"""

CELLS: Final = 33
"""Edges times ramps that are tried for each side."""


@dataclass(frozen=True)
class Outline:
    """
    One print as a trapezoid, and what its doubts are read from.

    ``sizes``: half-depth width, left and right full ramp with their ``variances`` [m, m2]; ``centre`` [m]; ``height`` and ``baseline``
    [unit of the depth]; ``tilt`` of the plateau over the width and its error, ``noise`` and ``dip`` over the height [-]; ``unrest``:
    correlation of neighbouring residuals [-]; points ``outside`` and ``inside`` the ramps, left and right; ``spacing`` [m].
    """

    sizes: Array
    variances: Array
    centre: float
    height: float
    baseline: float
    tilt: float
    tilt_error: float
    noise: float
    unrest: float
    dip: float
    outside: tuple[int, int]
    inside: tuple[int, int]
    spacing: float


def trapezoid(y: Array, *, left: float, right: float, ramp_left: float, ramp_right: float) -> Array:
    """
    Trapezoid of unit height with straight full ramps.

    Parameters
    ----------
    y : numpy.ndarray
        Positions across the pass. [m]
    left, right : float
        Where it stands at half height. [m]
    ramp_left, ramp_right : float
        Full ramps, 0-100 %, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        Same shape as y. [-]

    Examples
    --------
    >>> trapezoid(np.array([-27.5, -25.0, 0.0, 25.0]), left=-25.0, right=25.0, ramp_left=5.0, ramp_right=5.0).tolist()
    [0.0, 0.5, 1.0, 0.5]
    """
    return np.asarray(np.clip(np.minimum((y - left) / ramp_left + 0.5, (right - y) / ramp_right + 0.5), 0.0, 1.0), dtype=np.float64)


def fit_trapezoid(y: Array, depth: Array) -> Outline:
    """
    Trapezoid through one print.

    Parameters
    ----------
    y : numpy.ndarray
        Positions in rising order, shape (m,). [m]
    depth : numpy.ndarray
        Shape (m,). [any unit]

    Returns
    -------
    Outline

    Raises
    ------
    ValueError
        If nothing stands out of the baseline.

    Notes
    -----
    See `evenlay.evidence.footprint.fit_profile`.
    """
    span, swing = float(y[-1] - y[0]), float(depth.max() - depth.min())
    if not swing > 0.0:
        raise ValueError("the depths are all the same: no footprint stands out")
    x, z = _binned((y - y[0]) / span, (depth - depth.min()) / swing)
    spacing = float(np.median(np.diff(x)))
    fits = [fit for start in _starts(x, z) if (fit := _try(x, z, start, spacing)) is not None]
    if not fits:
        raise ValueError("no footprint stands out of the baseline")
    best = min(fits, key=lambda fit: fit.scatter)
    base, height, tilt = best.parameters[:3].tolist()
    residuals = best.residuals
    unrest = float(np.sum(residuals[1:] * residuals[:-1]) / max(float(np.sum(residuals**2)), 1e-300)) if best.scatter > 1e-9 else 0.0
    inflation = (1.0 + min(max(unrest, 0.0), 0.8)) / (1.0 - min(max(unrest, 0.0), 0.8))
    variance = max(best.scatter, FLOOR * height) ** 2 * inflation
    sides = [_side(x, z, best.parameters, variance, spacing, right=right) for right in (False, True)]
    (left, ramp_left), (right, ramp_right) = sides[0][0].tolist(), sides[1][0].tolist()
    plateau = (x > left + 0.5 * ramp_left) & (x < right - 0.5 * ramp_right)
    return Outline(
        sizes=np.array([right - left, ramp_left, ramp_right]) * span,
        variances=np.array([sides[0][1][0] + sides[1][1][0], sides[0][1][1], sides[1][1][1]]) * span**2,
        centre=0.5 * (left + right) * span + float(y[0]),
        height=height * swing,
        baseline=base * swing + float(depth.min()),
        tilt=tilt / height,
        tilt_error=math.sqrt(float(best.covariance[2, 2]) * inflation) / height,
        noise=best.scatter / height,
        unrest=unrest,
        dip=_dip((z[plateau] - base) / height, best.scatter / height),
        outside=(int(np.sum(x < left - 0.5 * ramp_left)), int(np.sum(x > right + 0.5 * ramp_right))),
        inside=(int(np.sum(np.abs(x - left) < 0.5 * ramp_left)), int(np.sum(np.abs(x - right) < 0.5 * ramp_right))),
        spacing=spacing * span,
    )


def _binned(x: Array, z: Array) -> tuple[Array, Array]:
    """Average a dense profile into at most `DENSEST` points."""
    if x.size <= DENSEST:
        return x, z
    bins = np.minimum((x * DENSEST).astype(np.int64), DENSEST - 1)
    count = np.bincount(bins, minlength=DENSEST)
    full = count > 0
    sums = [np.bincount(bins, weights=each, minlength=DENSEST)[full] / count[full] for each in (x, z)]
    return np.asarray(sums[0], dtype=np.float64), np.asarray(sums[1], dtype=np.float64)


def _side(x: Array, z: Array, at: Array, variance: float, spacing: float, *, right: bool) -> tuple[Array, Array]:
    """
    Mean and variance of (edge, ramp) of one side over all edges and ramps, each with its own best plateau and baseline.

    The linearised error of a ramp is nonsense when hardly a point lies on it; summing over the plane is not.
    """
    other = trapezoid(x, left=at[3], right=4.0, ramp_left=at[5], ramp_right=1.0)
    if not right:
        other = trapezoid(x, left=-4.0, right=at[4], ramp_left=1.0, ramp_right=at[6])
    edge, ramp, width = (float(at[4]), float(at[6]), float(at[4] - at[3])) if right else (float(at[3]), float(at[5]), float(at[4] - at[3]))
    reach = max(ramp, 4.0 * spacing, 0.1 * width)
    edges, ramps = (edge - reach, edge + reach), (0.02 * spacing, max(1.2 * width, 4.0 * spacing))
    slant = (x - 0.5 * float(at[3] + at[4])) / width
    for _ in range(6):
        e, r = np.meshgrid(np.linspace(*edges, CELLS), np.linspace(*ramps, CELLS), indexing="ij")
        sign = -1.0 if right else 1.0
        shape = np.minimum(np.clip(sign * (x - e[..., None]) / r[..., None] + 0.5, 0.0, 1.0), other)
        squares = _projected(shape, shape * slant, z)
        weight = np.exp(-0.5 * (squares - squares.min()) / variance)
        rows, columns = np.flatnonzero(weight.max(axis=1) > 1e-5), np.flatnonzero(weight.max(axis=0) > 1e-5)
        if min(rows[-1] - rows[0], columns[-1] - columns[0]) > CELLS // 3:
            break
        edges, ramps = _closer(e[:, 0], rows), _closer(r[0], columns)
    weight = weight / np.sum(weight)
    mean = np.array([np.sum(weight * e), np.sum(weight * r)])
    # Half a cell of the grid is part of the doubt: a grid cannot say more.
    cell = np.array([e[1, 0] - e[0, 0], r[0, 1] - r[0, 0]]) ** 2 / 12.0
    return mean, np.array([np.sum(weight * (e - mean[0]) ** 2), np.sum(weight * (r - mean[1]) ** 2)]) + cell


def _closer(axis: Array, inside: NDArray[np.intp]) -> tuple[float, float]:
    return float(axis[max(int(inside[0]) - 1, 0)]), float(axis[min(int(inside[-1]) + 1, axis.size - 1)])


def _projected(shape: Array, slanted: Array, z: Array) -> Array:
    """Squares left after the best baseline, height and tilt, for every shape of a stack (..., m)."""
    first = shape - shape.mean(axis=-1, keepdims=True)
    second = slanted - slanted.mean(axis=-1, keepdims=True)
    target = z - z.mean()
    norm = np.maximum(np.sum(first * first, axis=-1), 1e-12)
    second = second - (np.sum(first * second, axis=-1) / norm)[..., None] * first
    height = np.sum(first * target, axis=-1)
    tilt = np.sum(second * target, axis=-1)
    left = float(np.sum(target * target)) - height**2 / norm - tilt**2 / np.maximum(np.sum(second * second, axis=-1), 1e-12)
    return np.asarray(left, dtype=np.float64)


def _smooth(z: Array, points: int) -> Array:
    padded = np.concatenate([np.full(points, z[0]), z, np.full(points, z[-1])])
    sums = np.concatenate([[0.0], np.cumsum(padded)])
    width = 2 * points + 1
    return np.asarray((sums[width:] - sums[:-width]) / width, dtype=np.float64)


def _dip(plateau: Array, noise: float) -> float:
    """How far a plateau falls between two higher parts, as a share of its height, less what noise alone would show."""
    half = plateau.size // 14
    if half < 1:
        return 0.0
    smooth = _smooth(plateau, half)
    before, after = np.maximum.accumulate(smooth), np.maximum.accumulate(smooth[::-1])[::-1]
    return float(np.max(np.minimum(before, after) - smooth)) - 3.0 * noise / math.sqrt(2 * half + 1)


def _starts(x: Array, z: Array) -> list[Array]:
    """First guesses: edges where a smoothed profile crosses half, with sharp to soft ramps."""
    smooth = _smooth(z, max(1, x.size // 40))
    base = float(np.quantile(smooth, 0.05))
    top = float(np.quantile(smooth, 0.9))
    above = np.flatnonzero(smooth > 0.5 * (base + top))
    if above.size == 0:
        return []
    left, right = float(x[above[0]]), float(x[above[-1]])
    width = max(right - left, 4.0 * float(np.median(np.diff(x))))
    return [np.array([base, top - base, 0.0, left, left + width, share * width, share * width]) for share in (0.03, 0.1, 0.25, 0.6)]


def _try(x: Array, z: Array, start: Array, spacing: float) -> Fit | None:
    low = np.array([-2.0, 1e-3, -3.0, -0.5, -0.5, 0.2 * spacing, 0.2 * spacing])
    high = np.array([2.0, 10.0, 3.0, 1.5, 1.5, 1.0, 1.0])

    def model(p: Array) -> Array:
        left, right = min(p[3], p[4]), max(p[3], p[4])
        width = max(right - left, spacing)
        shape = trapezoid(x, left=left, right=right, ramp_left=p[5], ramp_right=p[6])
        return np.asarray(p[0] + shape * (p[1] + p[2] * (x - 0.5 * (left + right)) / width), dtype=np.float64)

    fit = nonlinear_fit(model, z, start, lowest=low, highest=high, steps=30, tolerance=1e-5)
    good = fit.parameters[4] - fit.parameters[3] > spacing and fit.parameters[1] > fit.scatter
    return fit if good and np.all(np.isfinite(fit.covariance)) else None
