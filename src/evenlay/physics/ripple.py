"""Ripple of the stock removed by evenly stepped passes, each exactly in its place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.physics.removal import grid_step, profile_at

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Ripple:
    """
    Unevenness of the stock removed, as shares of its mean; arrays over the draws.

    ``peak_to_valley`` and ``rms``: shape ``(n,)`` [-]. ``frequency``: shape ``(M,)``, whole multiples of one over the
    step-over [1/m]. ``harmonics``: amplitude of each, shape ``(n, M)`` [-]. ``mean``: stock removed per unit of the
    profile, shape ``(n,)`` [as the profile].
    """

    peak_to_valley: Array
    rms: Array
    frequency: Array
    harmonics: Array
    mean: Array


def bell_ripple(*, spread: ArrayLike, step_over: ArrayLike) -> Array:
    r"""
    Ripple of a bell-shaped footprint, peak to valley over the mean.

    Parameters
    ----------
    spread : array_like
        Standard deviation :math:`\sigma` of the bell, ``> 0``. [m]
    step_over : array_like
        :math:`s`, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`4\,e^{-2\pi^2(\sigma/s)^2}`: the first harmonic; good for :math:`\sigma > 0.3 s`. [-]

    Raises
    ------
    ValueError
        If an input is not positive or NaN.

    References
    ----------
    Derived: Fourier transform of a bell.

    Examples
    --------
    >>> float(bell_ripple(spread=0.02, step_over=0.035).round(5))
    0.00635
    """
    sigma, step = np.asarray(spread, dtype=np.float64), np.asarray(step_over, dtype=np.float64)
    if not (np.all(sigma > 0.0) and np.all(step > 0.0)):
        raise ValueError("spread and step-over must be positive")
    return np.asarray(4.0 * np.exp(-2.0 * (np.pi * sigma / step) ** 2))


def even_steps(*, width: float, rounds: int, shortest: float) -> tuple[float, ...]:
    r"""
    Step-overs at which a footprint of this half-depth width removes evenly.

    Parameters
    ----------
    width : float
        Half-depth width :math:`w`, ``> 0``. [m]
    rounds : int
        :math:`N \ge 1`, each shifted by :math:`s/N`. [-]
    shortest : float
        Shortest step-over of interest, ``> 0``. [m]

    Returns
    -------
    tuple of float
        :math:`s = N w/m`, m whole, from the longest down. [m]

    Raises
    ------
    ValueError
        If an input is out of range or NaN.

    Notes
    -----
    Derived: N rounds shifted by s/N are one lay of step s/N, and a box of width w convolved with any ramp is even when
    w is a whole number of steps. Holds without path error only.

    Examples
    --------
    >>> [round(1000 * s, 2) for s in even_steps(width=0.05, rounds=7, shortest=0.034)]
    [350.0, 175.0, 116.67, 87.5, 70.0, 58.33, 50.0, 43.75, 38.89, 35.0]
    """
    if not 0.0 < width < np.inf or not 0.0 < shortest < np.inf or rounds < 1:
        raise ValueError("width and shortest step must be positive, and there is one round at least")
    most = int(np.floor(rounds * width / shortest * (1.0 + 1e-12)))
    return tuple(rounds * width / m for m in range(1, most + 1))


def even_offsets(*, step_over: float, rounds: int) -> Array:
    """
    Offsets of rounds that are spread evenly over one step-over.

    Parameters
    ----------
    step_over : float
        ``> 0``. [m]
    rounds : int
        ``>= 1``. [-]

    Returns
    -------
    numpy.ndarray
        ``j s/N``, shape ``(N,)``. [m]

    Raises
    ------
    ValueError
        If an input is out of range or NaN.

    Examples
    --------
    >>> even_offsets(step_over=30.0, rounds=3)
    array([ 0., 10., 20.])
    """
    if not 0.0 < step_over < np.inf or rounds < 1:
        raise ValueError("the step-over must be positive, and there is one round at least")
    return step_over * np.arange(rounds, dtype=np.float64) / rounds


def transform(*, y: Array, shape: Array, frequency: Array) -> NDArray[np.complex128]:
    r"""
    Fourier transform of a profile that is straight between its grid points.

    Parameters
    ----------
    y : numpy.ndarray
        Even grid, shape ``(ny,)``. [m]
    shape : numpy.ndarray
        Profile, zero at both ends of its grid, shape ``(n, ny)``. [any]
    frequency : numpy.ndarray
        Shape ``(M,)``. [1/m]

    Returns
    -------
    numpy.ndarray
        :math:`\int d(y)\,e^{-2\pi i f y}\,dy`, shape ``(n, M)``. [as ``shape``, times m]

    Notes
    -----
    The sum over grid points times :math:`\operatorname{sinc}^2(f\,\Delta y)` is exact for straight pieces. Summed in a
    fixed order, without a matrix product: the same bytes on any number of threads.

    Examples
    --------
    >>> triangle = np.array([[0.0, 1.0, 0.0]])
    >>> transform(y=np.array([-1.0, 0.0, 1.0]), shape=triangle, frequency=np.array([0.0, 0.5])).real.round(4)
    array([[1.    , 0.4053]])
    """
    step = grid_step(y, shape)
    f = np.asarray(frequency, dtype=np.float64)
    angle = -2.0 * np.pi * y[:, None] * f[None, :]
    real = np.einsum("ij,jk->ik", shape, np.cos(angle), optimize=False)
    imaginary = np.einsum("ij,jk->ik", shape, np.sin(angle), optimize=False)
    return np.asarray(step * np.sinc(f * step) ** 2 * (real + 1j * imaginary))


def harmonic_amplitudes(
    *, y: Array, shape: Array, step_over: float, offsets: ArrayLike = 0.0, weights: ArrayLike = 1.0, orders: int = 24
) -> Array:
    r"""
    Amplitudes of the waves that make up the ripple, as shares of the mean: a fraction of the work of `ripple`.

    Parameters
    ----------
    y, shape, step_over, offsets, weights, orders
        As in `ripple`.

    Returns
    -------
    numpy.ndarray
        :math:`2|D(m/s)|\,|\sum_j w_j e^{-2\pi i m y_j/s}|/(s\,\bar d)` for m = 1 to ``orders``, shape ``(n, orders)``. [-]

    Raises
    ------
    ValueError
        As `ripple`.

    Examples
    --------
    Three even rounds keep every third wave only:

    >>> y = np.linspace(-0.030, 0.030, 121)
    >>> trapezoid = np.clip((0.0275 - abs(y)) / 0.005, 0, 1)[None]
    >>> thirds = even_offsets(step_over=0.035, rounds=3)
    >>> harmonic_amplitudes(y=y, shape=trapezoid, step_over=0.035, offsets=thirds, orders=4).round(3)
    array([[0.   , 0.   , 0.084, 0.   ]])
    """
    shift, share = checked_rounds(step_over, offsets, weights)
    frequency = np.arange(1, orders + 1) / step_over
    phase = np.sum(share[:, None] * np.exp(-2j * np.pi * frequency[None, :] * shift[:, None]), axis=0)
    mean = mean_depth(y, shape, step_over, share)
    return np.asarray(2.0 * np.abs(transform(y=y, shape=shape, frequency=frequency) * phase) / (step_over * mean[:, None]))


def ripple(*, y: Array, shape: Array, step_over: float, offsets: ArrayLike = 0.0, weights: ArrayLike = 1.0, orders: int = 24) -> Ripple:
    r"""
    Ripple of the stock removed far from the ends of the face, every pass exactly in its place.

    Parameters
    ----------
    y : numpy.ndarray
        Even grid of one pass's profile about its centre, shape ``(ny,)``. [m]
    shape : numpy.ndarray
        Stock removed or load per width of one pass, any scale, shape ``(n, ny)``, ``>= 0``. [any]
    step_over : float
        :math:`s`, ``> 0``. [m]
    offsets : array_like, optional
        Sideways shift of each round, shape ``(N,)``. [m]
    weights : array_like, optional
        What each round removes against the profile, shape ``(N,)`` or scalar, ``>= 0``. [-]
    orders : int, optional
        How many harmonics. [-]

    Returns
    -------
    Ripple
        Peak to valley and rms exact for a profile that is straight between grid points.

    Raises
    ------
    ValueError
        If the step-over is not positive, a weight is negative or all are zero, the profile is negative or empty, or an
        input is NaN.

    Notes
    -----
    The sum of all passes has period s and Fourier coefficients :math:`D(m/s)\sum_j w_j e^{-2\pi i m y_j/s}/s`
    (Poisson). Peak to valley is found among the profile's own grid points, folded on one step: there lie all corners of
    the sum. The rms is that of the folded sum, integrated piece by piece.

    References
    ----------
    bracewell-2000, ch. 10 (replicating symbol; from memory). The use for passes is derived.

    Examples
    --------
    A footprint 50 mm wide with 5 mm ramps, stepped by 35 mm, in one to four rounds:

    >>> y = np.linspace(-0.030, 0.030, 121)
    >>> trapezoid = np.clip((0.0275 - abs(y)) / 0.005, 0, 1)[None]
    >>> for rounds in (1, 2, 3, 4):
    ...     even = ripple(y=y, shape=trapezoid, step_over=0.035, offsets=even_offsets(step_over=0.035, rounds=rounds))
    ...     print(f"{100 * even.peak_to_valley[0]:.1f} %", end=" ")
    70.0 % 17.5 % 15.6 % 8.8 %
    """
    shift, share = checked_rounds(step_over, offsets, weights)
    mean = mean_depth(y, shape, step_over, share)
    places = np.sort(np.round(np.mod(y[None, :] + shift[:, None], step_over) / step_over, 12).ravel() % 1.0)
    places = np.concatenate([[0.0], places[np.flatnonzero(np.diff(places, prepend=0.0) > 1e-9)]]) * step_over
    folded = np.zeros((shape.shape[0], places.size))
    for offset, part in zip(shift, share, strict=True):
        first = np.ceil((y[0] - step_over + offset) / step_over) - 1.0
        for turn in np.arange(first, np.floor((y[-1] + offset) / step_over) + 1.0):
            folded += part * profile_at(y=y, shape=shape, at=places + turn * step_over - offset)
    swing = np.concatenate([folded, folded[:, :1]], axis=1) / mean[:, None] - 1.0
    gap = np.diff(np.append(places, step_over)) / step_over
    left, right = swing[:, :-1], swing[:, 1:]
    square = np.sum(gap * (left * left + left * right + right * right), axis=1) / 3.0
    frequency = np.arange(1, orders + 1) / step_over
    size = harmonic_amplitudes(y=y, shape=shape, step_over=step_over, offsets=shift, weights=share, orders=orders)
    return Ripple(np.ptp(swing, axis=1), np.sqrt(square), frequency, size, mean)


def checked_rounds(step_over: float, offsets: ArrayLike, weights: ArrayLike) -> tuple[Array, Array]:
    """Offsets and weights of the rounds as arrays ``(N,)``; a ValueError if one of them, or the step-over, is out of range."""
    shift = np.atleast_1d(np.asarray(offsets, dtype=np.float64))
    share = np.broadcast_to(np.asarray(weights, dtype=np.float64), shift.shape)
    if not 0.0 < step_over < np.inf:
        raise ValueError("the step-over must be positive and finite")
    if not np.all(np.isfinite(shift)):
        raise ValueError("offsets must be finite")
    if not (np.all((share >= 0.0) & (share < np.inf)) and np.sum(share) > 0.0):
        raise ValueError("weights of rounds must not be negative, and one at least must be positive")
    return shift, share


def mean_depth(y: Array, shape: Array, step_over: float, share: Array) -> Array:
    """Mean removal of all rounds, ``(n,)`` [as the profile]; a ValueError if the profile is negative or removes nothing."""
    mean = np.sum(share) * grid_step(y, shape) * np.sum(shape, axis=1) / step_over
    if not (np.all(shape >= 0.0) and np.all((mean > 0.0) & (mean < np.inf))):
        raise ValueError("a profile must not be negative, and must remove something")
    return np.asarray(mean)
