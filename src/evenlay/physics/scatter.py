"""Ripple of the stock removed when passes lie a little off: exact by convolution, peak to valley by drawing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.physics.removal import grid_step, profile_at
from evenlay.physics.ripple import checked_rounds, harmonic_amplitudes, mean_depth

Array = NDArray[np.float64]

STEPS: Final = 6
"""Width of a drawn face. [step-overs]"""

NODES: Final = 24
"""Points per step-over of a drawn face."""

PASSES: Final = 256
"""Passes with a score of their own, by their place."""

CUT: Final = 3.0
"""Drawn errors are held within this many standard deviations."""


@dataclass(frozen=True)
class ScatteredRipple:
    """
    Unevenness when every pass lies a little off; shares of the mean, shape ``(n,)`` [-].

    ``rms`` is the root of the expected mean square, made up of ``systematic`` (what the average over many faces keeps)
    and ``random`` (what differs from face to face).
    """

    rms: Array
    systematic: Array
    random: Array


def ripple_with_error(
    *, y: Array, shape: Array, step_over: float, lateral_sd: ArrayLike, offsets: ArrayLike = 0.0, weights: ArrayLike = 1.0
) -> ScatteredRipple:
    r"""
    Ripple of the stock removed when every pass lies a little off to the side.

    Parameters
    ----------
    y, shape, step_over, offsets, weights
        As in `evenlay.physics.ripple.ripple`.
    lateral_sd : array_like
        Standard deviation of where a pass really lies, path error and belt wander together, shape ``(n,)`` or scalar,
        ``>= 0``; independent from pass to pass, normal, steady over one pass. [m]

    Returns
    -------
    ScatteredRipple
        Exact, shape ``(n,)``. [-]

    Raises
    ------
    ValueError
        As ``ripple``; also if the standard deviation is negative or NaN.

    Notes
    -----
    With :math:`g` the normal density of the error, a pass removes :math:`d * g` on average and its variance is
    :math:`d^2 * g - (d * g)^2` (Campbell's theorem for independent displacements). Averaged over the face,

    .. math:: \sigma^2 = \sum_{m \ne 0} |a_m|^2 e^{-4\pi^2\sigma_e^2 m^2/s^2}
              + \frac{\sum_j w_j^2}{s\,\bar d^2}\int |D(f)|^2\left(1 - e^{-4\pi^2\sigma_e^2 f^2}\right)df .

    The power that blurring takes from the steady ripple comes back, and more, as stripes in random places: a path error
    never makes a face more even.

    References
    ----------
    papoulis-2002, ch. 10 (Campbell; from memory). The use for passes is derived.

    Examples
    --------
    >>> from evenlay.physics.ripple import even_offsets
    >>> y = np.linspace(-0.030, 0.030, 121)
    >>> trapezoid = np.clip((0.0275 - abs(y)) / 0.005, 0, 1)[None]
    >>> evenly = even_offsets(step_over=0.035, rounds=7)
    >>> off = ripple_with_error(y=y, shape=trapezoid, step_over=0.035, offsets=evenly, lateral_sd=0.001)
    >>> off.rms.round(3), off.systematic.round(6)
    (array([0.026]), array([0.]))
    """
    shift, share = checked_rounds(step_over, offsets, weights)
    scatter = _scatter(lateral_sd, shape.shape[0])
    mean = mean_depth(y, shape, step_over, share)
    orders = max(8, int(step_over / grid_step(y, shape)))
    waves = harmonic_amplitudes(y=y, shape=shape, step_over=step_over, offsets=shift, weights=share, orders=orders)
    frequency = np.arange(1, orders + 1) / step_over
    blur = np.exp(-4.0 * np.pi**2 * scatter[:, None] ** 2 * frequency[None, :] ** 2)
    systematic = np.sum(0.5 * waves**2 * blur, axis=1)
    random = np.sum(share**2) * _scattered_power(y, shape, scatter) / (step_over * mean**2)
    return ScatteredRipple(np.sqrt(systematic + random), np.sqrt(systematic), np.sqrt(random))


def drawn_peak_to_valley(
    *,
    y: Array,
    shape: Array,
    step_over: float,
    lateral_sd: ArrayLike,
    offsets: ArrayLike = 0.0,
    weights: ArrayLike = 1.0,
    faces: int = 8,
) -> Array:
    r"""
    Peak to valley of the stock removed over six step-overs, averaged over drawn faces.

    Parameters
    ----------
    y, shape, step_over, offsets, weights
        As in `evenlay.physics.ripple.ripple`.
    lateral_sd : array_like
        As in `ripple_with_error`. [m]
    faces : int, optional
        Drawn faces, ``>= 1``; every second one mirrors the errors of the one before. [-]

    Returns
    -------
    numpy.ndarray
        Share of the mean, shape ``(n,)``. Scatters by a tenth with eight faces. [-]

    Raises
    ------
    ValueError
        As `ripple_with_error`; also if there is no face.

    Notes
    -----
    One fixed table of normal scores (cut at three standard deviations) serves every draw and every candidate, so
    differences between candidates are not those between dice. A wider face has more stripes and a larger swing.

    Examples
    --------
    >>> from evenlay.physics.ripple import even_offsets
    >>> y = np.linspace(-0.030, 0.030, 121)
    >>> trapezoid = np.clip((0.0275 - abs(y)) / 0.005, 0, 1)[None]
    >>> evenly = even_offsets(step_over=0.035, rounds=3)
    >>> swing = drawn_peak_to_valley(y=y, shape=trapezoid, step_over=0.035, offsets=evenly, lateral_sd=0.001)
    >>> bool(0.2 < swing[0] < 0.27)
    True
    """
    shift, share = checked_rounds(step_over, offsets, weights)
    scatter = _scatter(lateral_sd, shape.shape[0])
    if faces < 1:
        raise ValueError("the average needs one drawn face at least")
    scores = np.random.Generator(np.random.PCG64(0)).standard_normal(((faces + 1) // 2, shift.size, PASSES))
    scores = np.clip(np.stack([scores, -scores], axis=1).reshape(-1, shift.size, PASSES), -CUT, CUT)
    face = np.arange(STEPS * NODES) * (step_over / NODES)
    reach = CUT * float(np.max(scatter))
    swing = np.zeros(shape.shape[0])
    for errors in scores[:faces]:
        total = np.zeros((shape.shape[0], face.size))
        for offset, part, row in zip(shift, share, errors, strict=True):
            first = int(np.ceil((-offset - y[-1] - reach) / step_over))
            last = int(np.floor((face[-1] - offset - y[0] + reach) / step_over))
            for turn in range(first, last + 1):
                centre = offset + turn * step_over + scatter * row[turn % PASSES]
                near = slice(*np.searchsorted(face, (np.min(centre) + y[0], np.max(centre) + y[-1])))
                total[:, near] += part * profile_at(y=y, shape=shape, at=face[near] - centre[:, None])
        swing += np.ptp(total, axis=1)
    return swing / (faces * mean_depth(y, shape, step_over, share))


def _scatter(lateral_sd: ArrayLike, count: int) -> Array:
    scatter = np.broadcast_to(np.asarray(lateral_sd, dtype=np.float64), (count,))
    if not np.all((scatter >= 0.0) & (scatter < np.inf)):
        raise ValueError("the lateral error must not be negative, and must be finite")
    return scatter


def _scattered_power(y: Array, shape: Array, scatter: Array) -> Array:
    """Integral over frequency of the profile's power that the error scatters, shape ``(n,)``."""
    step = grid_step(y, shape)
    # The window holds the profile's autocorrelation and the spread of the error, or the sum over frequencies would alias.
    size = 1 << int(np.ceil(np.log2(4.0 * y.size + 12.0 * float(np.max(scatter)) / step)))
    frequency = np.fft.rfftfreq(size, step)
    # The power sum over the grid's own band holds the whole sum of squares of the samples; sinc**2 makes it that of the straight pieces.
    power = np.abs(np.fft.rfft(shape, size, axis=1)) ** 2 * step**2
    straight = np.sinc(frequency * step) ** 4
    both = np.where((frequency > 0.0) & (frequency < 0.5 / step), 2.0, 1.0)
    gone = -np.expm1(-4.0 * np.pi**2 * scatter[:, None] ** 2 * frequency[None, :] ** 2)
    return np.asarray(np.sum(power * straight * both * gone, axis=1) / (size * step))
