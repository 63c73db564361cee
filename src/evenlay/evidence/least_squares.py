"""Least squares in a fixed order of sums: the same bytes on any number of threads."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STEPS: Final = 200
"""Most steps of a non-linear fit."""


@dataclass(frozen=True)
class Fit:
    """
    Parameters fitted by least squares.

    ``parameters`` (p,), ``covariance`` (p, p) for residuals of unit scatter times ``scatter`` squared, ``residuals`` (m,),
    ``scatter``: standard deviation of the residuals with ``freedom`` = m - p degrees of freedom, ``converged``: whether the
    last step was below the tolerance.
    """

    parameters: Array
    covariance: Array
    residuals: Array
    scatter: float
    freedom: int
    converged: bool


def cholesky(matrix: Array) -> Array:
    """
    Lower triangular factor of a symmetric positive definite matrix.

    Parameters
    ----------
    matrix : numpy.ndarray
        Shape (p, p), symmetric, positive definite. [-]

    Returns
    -------
    numpy.ndarray
        Lower triangular ``L`` with ``L L^T = matrix``. [-]

    Raises
    ------
    ValueError
        If the matrix is not positive definite, or holds a NaN.

    Notes
    -----
    Column by column with plain sums: no threaded library routine, so the result does not depend on the machine's threads.

    Examples
    --------
    >>> cholesky(np.array([[4.0, 2.0], [2.0, 5.0]])).tolist()
    [[2.0, 0.0], [1.0, 2.0]]
    """
    size = matrix.shape[0]
    factor = np.zeros_like(matrix)
    for column in range(size):
        rest = matrix[column:, column] - np.sum(factor[column:, :column] * factor[column, :column], axis=1)
        if not rest[0] > 0.0:
            raise ValueError("the matrix is not positive definite: some unknowns cannot be told apart")
        factor[column:, column] = rest / math.sqrt(rest[0])
    return factor


def solve_lower(factor: Array, right: Array) -> Array:
    """Solve ``L x = right`` for a lower triangular L; ``right`` has shape (p,) or (p, k)."""
    out = np.array(right, dtype=np.float64)
    for row in range(factor.shape[0]):
        done = np.sum(factor[row, :row, None] * out[:row].reshape(row, -1), axis=0).reshape(out[row].shape) if row else 0.0
        out[row] = (out[row] - done) / factor[row, row]
    return out


def solve_upper(factor: Array, right: Array) -> Array:
    """Solve ``L^T x = right`` for a lower triangular L; ``right`` has shape (p,) or (p, k)."""
    return solve_lower(factor[::-1, ::-1].T, right[::-1])[::-1]


def solve_symmetric(matrix: Array, right: Array) -> Array:
    """
    Solve a symmetric positive definite system.

    Examples
    --------
    >>> solve_symmetric(np.array([[4.0, 2.0], [2.0, 5.0]]), np.array([8.0, 8.0])).tolist()
    [1.5, 1.0]
    """
    factor = cholesky(matrix)
    return solve_upper(factor, solve_lower(factor, right))


def inverse_symmetric(matrix: Array) -> Array:
    """Return the inverse of a symmetric positive definite matrix."""
    return solve_symmetric(matrix, np.eye(matrix.shape[0]))


def linear_fit(design: Array, observed: Array, *, weights: Array | None = None) -> Fit:
    """
    Ordinary or weighted linear least squares.

    Parameters
    ----------
    design : numpy.ndarray
        Shape (m, p), m > p. [any]
    observed : numpy.ndarray
        Shape (m,). [any]
    weights : numpy.ndarray, optional
        Shape (m,), ``>= 0``; equal when left out. [-]

    Returns
    -------
    Fit
        Parameters with covariance; residuals unweighted.

    Raises
    ------
    ValueError
        If there are not more points than parameters, or columns cannot be told apart.

    Notes
    -----
    Modified Gram-Schmidt with one re-orthogonalisation: as accurate as an orthogonal factorisation (the normal equations lose
    half of the figures), in plain sums.

    References
    ----------
    golub-van-loan-1996, section 5.2.8; nist-strd (checked against).
    """
    points, count = design.shape
    if not points > count:
        raise ValueError(f"{points} points cannot fix {count} parameters and their scatter")
    root = np.ones(points) if weights is None else np.sqrt(weights)
    basis, triangle = _orthogonal(design * root[:, None])
    projection = np.sum(basis * (observed * root)[:, None], axis=0)
    parameters = solve_upper(triangle.T, projection)
    residuals = observed - np.sum(design * parameters, axis=1)
    squares = float(np.sum((residuals * root) ** 2))
    scatter = math.sqrt(squares / (points - count))
    inverse = solve_upper(triangle.T, np.eye(count))
    covariance = np.sum(inverse[:, None, :] * inverse[None, :, :], axis=2) * scatter**2
    return Fit(parameters, covariance, residuals, scatter, points - count, True)


def _orthogonal(matrix: Array) -> tuple[Array, Array]:
    basis = np.array(matrix, dtype=np.float64)
    count = basis.shape[1]
    triangle = np.zeros((count, count))
    for column in range(count):
        start = math.sqrt(float(np.sum(basis[:, column] ** 2)))
        for _ in range(2):
            for earlier in range(column):
                part = float(np.sum(basis[:, earlier] * basis[:, column]))
                triangle[earlier, column] += part
                basis[:, column] -= part * basis[:, earlier]
        norm = math.sqrt(float(np.sum(basis[:, column] ** 2)))
        if not norm > 1e-14 * start:
            raise ValueError("two columns say the same: their parameters cannot be told apart")
        triangle[column, column] = norm
        basis[:, column] /= norm
    return basis, triangle


def nonlinear_fit(
    model: Callable[[Array], Array],
    observed: Array,
    start: Array,
    *,
    lowest: Array | None = None,
    highest: Array | None = None,
    steps: int = STEPS,
    tolerance: float = 1e-10,
) -> Fit:
    """
    Non-linear least squares by damped Gauss-Newton steps.

    Parameters
    ----------
    model : callable
        Parameters (p,) to predictions (m,). [any]
    observed : numpy.ndarray
        Shape (m,), m > p. [any]
    start : numpy.ndarray
        First guess, shape (p,); a zero is taken to be of size 1. [any]
    lowest, highest : numpy.ndarray, optional
        Bounds on the parameters; steps are cut back to them. [any]
    steps : int
        Most steps. [-]
    tolerance : float
        Last step over the parameters. [-]

    Returns
    -------
    Fit
        ``converged`` is False when the steps did not suffice; the covariance is that of the linearised problem.

    Raises
    ------
    ValueError
        If there are not more points than parameters.

    Notes
    -----
    Levenberg-Marquardt: :math:`(J^TJ + \\lambda\\,\\mathrm{diag}(J^TJ))\\,s = J^T r`, central differences for J.

    References
    ----------
    marquardt-1963; nist-strd (checked against).
    """
    if not observed.size > start.size:
        raise ValueError(f"{observed.size} points cannot fix {start.size} parameters and their scatter")
    low = np.full(start.size, -np.inf) if lowest is None else lowest
    high = np.full(start.size, np.inf) if highest is None else highest
    size = np.where(start == 0.0, 1.0, np.abs(start) * 1e-3)
    at = np.clip(start, low, high)
    residuals = observed - model(at)
    squares = float(np.sum(residuals**2))
    damping, converged = 1e-3, False
    for _ in range(steps):
        slopes = _slopes(model, at, size)
        gradient = np.sum(slopes * residuals[:, None], axis=0)
        normal = np.sum(slopes[:, :, None] * slopes[:, None, :], axis=0)
        scale = np.maximum(np.diag(normal), 1e-300)
        step, better = np.zeros_like(at), False
        while damping < 1e10:
            trial = np.clip(at + solve_symmetric(normal + np.diag(scale * damping + 1e-300), gradient), low, high)
            tried = observed - model(trial)
            now = float(np.sum(tried**2))
            if now <= squares:
                step, better = trial - at, now < squares
                at, residuals, squares = trial, tried, now
                damping = max(damping / 9.0, 1e-12)
                break
            damping *= 10.0
        if not better or bool(np.all(np.abs(step) <= tolerance * (np.abs(at) + 1e-300))):
            converged = True
            break
    slopes = _slopes(model, at, size)
    normal = np.sum(slopes[:, :, None] * slopes[:, None, :], axis=0)
    freedom = observed.size - start.size
    scatter = math.sqrt(squares / freedom)
    root = np.sqrt(np.maximum(np.diag(normal), 1e-60))
    scaled = normal / root[:, None] / root[None, :] + 1e-12 * np.eye(start.size)
    covariance = inverse_symmetric(scaled) / root[:, None] / root[None, :] * scatter**2
    return Fit(at, covariance, residuals, scatter, freedom, converged)


def _slopes(model: Callable[[Array], Array], at: Array, size: Array) -> Array:
    columns = []
    for index in range(at.size):
        step = 6e-6 * max(abs(at[index]), size[index])
        up, down = at.copy(), at.copy()
        up[index] += step
        down[index] -= step
        columns.append((model(up) - model(down)) / (up[index] - down[index]))
    return np.stack(columns, axis=1)


@lru_cache(maxsize=64)
def student_score(freedom: float) -> float:
    """
    95 % point of Student's distribution, so that plus and minus it hold 90 %.

    Parameters
    ----------
    freedom : float
        Degrees of freedom, ``>= 1``; infinite gives the normal score. [-]

    Returns
    -------
    float
        Score, error below 1e-5. [-]

    Notes
    -----
    With :math:`t = \\sqrt\\nu\\tan\\theta` the distribution function is a plain integral of :math:`\\cos^{\\nu-1}\\theta`,
    summed here; a statistics package would cost more than a second to import.

    References
    ----------
    student-1908 (from memory; checked against another library in the tests).

    Examples
    --------
    >>> round(student_score(4.0), 3)
    2.132
    """
    if not freedom >= 1.0:
        raise ValueError(f"degrees of freedom must be at least 1, not {freedom}")
    if freedom > 1e4:
        return 1.6448536269514722
    theta = np.linspace(0.0, 0.5 * math.pi, 40001)
    density = np.cos(theta) ** (freedom - 1.0)
    share = np.concatenate([[0.0], np.cumsum(0.5 * (density[1:] + density[:-1]))])
    return float(math.sqrt(freedom) * math.tan(float(np.interp(0.9, share / share[-1], theta))))
