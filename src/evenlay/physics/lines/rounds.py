"""Rounds of one belt: who owns the texture, and how offsets filter the belt's lines."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

COHERENCE: Final = 0.28
"""gamma: share of the ideal filter that the texture of shifted rounds keeps; 0.23 to 0.33 in four ladders. [-]"""
FADING: Final = 0.6
"""Memory of the lines in an earlier texture over that of the texture itself. [-]"""


def round_weights(*, removal: ArrayLike, takeover: ArrayLike) -> Floats:
    r"""
    Share of the final texture that each round owns.

    Parameters
    ----------
    removal : array_like
        Stock removed by each round, in the order of cutting, shape ``(n, N)`` or ``(N,)``, ``>= 0``. [m]
    takeover : array_like
        Takeover depth :math:`d_r`, shape ``(n,)`` or scalar, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`w_j = (1 - e^{-d_j/d_r})\,e^{-\sum_{i>j} d_i/d_r}`, shape ``(n, N)``; the sum falls short of 1 by
        what is left of the incoming finish. [-]

    References
    ----------
    derived; d_r from line-trial-simulation.

    Examples
    --------
    >>> round_weights(removal=[3e-6, 3e-6], takeover=0.6e-6).round(4)
    array([[0.0067, 0.9933]])
    """
    depth = np.atleast_2d(np.asarray(removal, dtype=np.float64))
    scale = np.atleast_1d(np.asarray(takeover, dtype=np.float64))[:, None]
    if not (np.all((depth >= 0.0) & (depth < np.inf)) and np.all((scale > 0.0) & (scale < np.inf))):
        raise ValueError("removal must be >= 0, takeover > 0, both finite")
    wear = depth / scale
    return np.asarray(-np.expm1(-wear) * np.exp(-_later(wear)))


def texture_amplitudes(*, removal: ArrayLike, takeover: ArrayLike) -> Floats:
    r"""
    Swing of the slope roughness that each round leaves in the end, per swing of a round alone.

    Parameters
    ----------
    removal : array_like
        Stock removed by each round, in the order of cutting, shape ``(n, N)`` or ``(N,)``, ``>= 0``. [m]
    takeover : array_like
        Takeover depth :math:`d_r`, shape ``(n,)`` or scalar, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`a_j = (1 - e^{-d_j/d_r})\,e^{-\sum_{i>j} d_i/0.6d_r}`, shape ``(n, N)``. [-]

    Notes
    -----
    Lines in an older texture fade faster than the texture: where both are mixed, slopes add and not their powers, and the product of the
    two is a third texture that repeats nothing. So the amplitudes of several light rounds sum to less than one.

    References
    ----------
    grain-simulation: a heavy round and a light one, four depths.

    Examples
    --------
    >>> texture_amplitudes(removal=[3e-6, 0.05e-6], takeover=0.05e-6).round(3)
    array([[0.189, 0.632]])
    """
    gained = round_weights(removal=removal, takeover=takeover)
    scale = np.atleast_1d(np.asarray(takeover, dtype=np.float64))[:, None]
    later = _later(np.atleast_2d(np.asarray(removal, dtype=np.float64)) / scale)
    return np.asarray(gained * np.exp(-later * (1.0 / FADING - 1.0)))


def relief_amplitudes(*, removal: ArrayLike, fill_depth: ArrayLike) -> Floats:
    r"""
    Depth of relief that each round leaves in the end, per relative swing of its removal.

    Parameters
    ----------
    removal : array_like
        Stock removed by each round, in the order of cutting, shape ``(n, N)`` or ``(N,)``, ``>= 0``. [m]
    fill_depth : array_like
        :math:`d_K`, shape ``(n,)`` or scalar, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`a_j = d_K(1 - e^{-d_j/d_K})\,e^{-\sum_{i>j} d_i/d_K}`, shape ``(n, N)``. [m]

    Notes
    -----
    For one round :math:`a = D\,(1 - e^{-D/d_K})/(D/d_K)`: the removal, less what the same round has filled again.

    References
    ----------
    derived.

    Examples
    --------
    >>> (relief_amplitudes(removal=[3e-6, 3e-6], fill_depth=20e-6) * 1e6).round(2)
    array([[2.4 , 2.79]])
    """
    scale = np.atleast_1d(np.asarray(fill_depth, dtype=np.float64))
    return np.asarray(round_weights(removal=removal, takeover=scale) * scale[:, None])


def _later(depth: Floats) -> Floats:
    """Sum of all later entries of the last axis."""
    total = np.cumsum(depth[..., ::-1], axis=-1)[..., ::-1]
    return np.asarray(total - depth)


def filtered_power(
    amplitudes: ArrayLike, *, offsets: ArrayLike, frequency: ArrayLike, offset_error: ArrayLike = 0.0, bandwidth: ArrayLike = 0.0
) -> Floats:
    r"""
    Power of lines laid down by shifted rounds: the ideal filter.

    Parameters
    ----------
    amplitudes : array_like
        Tap of each round, shape ``(..., n, N)`` or ``(N,)``.
    offsets : array_like
        Position across the grain of each round's belt, shape ``(N,)``. [m]
    frequency : array_like
        Shape ``(m,)``, ``>= 0``. [cycles/m]
    offset_error : array_like
        Standard deviation of each round's position, scalar or ``(n,)``, ``>= 0``. [m]
    bandwidth : array_like
        Width of the band of frequency over which the power is averaged, scalar or ``(m,)``. [cycles/m]

    Returns
    -------
    numpy.ndarray
        :math:`\left|\sum_j a_j e^{-2\pi i f y_j}\right|^2`, averaged over the band and the errors, shape
        ``(..., n, m)``.

    Notes
    -----
    Pairs of rounds a distance :math:`\Delta` apart add
    :math:`2a_ia_j\cos(2\pi f\Delta)\,\mathrm{sinc}(\Delta\,\delta f)\,e^{-(2\pi f e)^2}`.

    References
    ----------
    derived.

    Examples
    --------
    Two equal rounds half a period apart cancel:

    >>> filtered_power([0.5, 0.5], offsets=[0.0, 0.001], frequency=[0.0, 500.0]).round(6)
    array([[1., 0.]])
    """
    tap = np.atleast_2d(np.asarray(amplitudes, dtype=np.float64))
    place = np.asarray(offsets, dtype=np.float64)
    f = np.atleast_1d(np.asarray(frequency, dtype=np.float64))
    error = np.atleast_1d(np.asarray(offset_error, dtype=np.float64))[:, None]
    finite = all(np.all(np.isfinite(part)) for part in (tap, place, f, error))
    if not (finite and place.shape == (tap.shape[-1],) and np.all(f >= 0.0) and np.all(error >= 0.0)):
        raise ValueError("amplitudes, offsets, frequency and offset_error must be finite, with one offset per round")
    first, second = np.triu_indices(place.size, k=1)
    own = np.sum(tap * tap, axis=-1)[..., None]
    gap = (place[first] - place[second])[:, None]
    pair = 2.0 * np.cos(2.0 * np.pi * f * gap) * np.sinc(gap * np.asarray(bandwidth, dtype=np.float64))
    mixed = np.asarray(np.einsum("...p,pm->...m", tap[..., first] * tap[..., second], pair))
    if np.any(error > 0.0):
        mixed = mixed * np.exp(-((2.0 * np.pi * f * error) ** 2))
    return np.asarray(np.maximum(own + mixed, 0.0))


def mixed_power(*, ideal: Floats, own: Floats) -> Floats:
    r"""
    Power of texture lines laid down by shifted rounds: what the simulation keeps of the ideal filter.

    Parameters
    ----------
    ideal : numpy.ndarray
        Power of `filtered_power`, shape ``(n, m)``.
    own : numpy.ndarray
        :math:`\sum_j a_j^2`, the power with no coherence between rounds, shape ``(n,)``.

    Returns
    -------
    numpy.ndarray
        :math:`\gamma P + (1-\gamma)\sum a_j^2`, :math:`\gamma` 0.28, shape ``(n, m)``. Relief keeps the ideal filter and does not go
        through here.

    Notes
    -----
    A heavy round and a light one 2 mm beside it kept, over a heavy one alone, 0.43, 0.18, 0.25 and 0.51 at the zeros of the filter and
    0.57, 0.40, 0.40 and 0.56 at its maxima, for 0.3, 0.6, 1.0 and 1.8 um of metal moved by the light one. An earlier trial without
    ploughing
    had 0.42 and 0.83 of two nearly equal rounds, where this law says 0.25 and 0.43: that much is not settled.

    References
    ----------
    grain-simulation.

    Examples
    --------
    >>> mixed_power(ideal=np.array([[0.0, 1.0]]), own=np.array([0.5])).round(2)
    array([[0.36, 0.64]])
    """
    alone = np.asarray(own, dtype=np.float64)[..., None]
    return np.asarray(COHERENCE * ideal + (1.0 - COHERENCE) * alone)


def bessel_zero(x: ArrayLike) -> Floats:
    r"""
    Bessel function of order 0, within 1e-7.

    Parameters
    ----------
    x : array_like
        Any finite number. [-]

    Returns
    -------
    numpy.ndarray
        :math:`J_0(x)`. [-]

    References
    ----------
    abramowitz-stegun-1964, 9.4.1 and 9.4.3 (from memory; compared with a library in the tests).

    Examples
    --------
    >>> bessel_zero([0.0, 2.404826]).round(6) + 0.0
    array([1., 0.])
    """
    size = np.abs(np.asarray(x, dtype=np.float64))
    if not np.all(np.isfinite(size)):
        raise ValueError("x must be finite")
    small = np.minimum(size / 3.0, 1.0) ** 2
    near = np.polynomial.polynomial.polyval(small, (1.0, -2.2499997, 1.2656208, -0.3163866, 0.0444479, -0.0039444, 0.00021))
    far = np.maximum(size, 3.0)
    u = 3.0 / far
    height = (0.79788456, -0.00000077, -0.0055274, -0.00009512, 0.00137237, -0.00072805, 0.00014476)
    turn = (-0.78539816, -0.04166397, -0.00003954, 0.00262573, -0.00054125, -0.00029333, 0.00013558)
    wave = np.polynomial.polynomial.polyval(u, height) * np.cos(far + np.polynomial.polynomial.polyval(u, turn)) / np.sqrt(far)
    return np.asarray(np.where(size <= 3.0, near, wave))


def dither_power(*, frequency: ArrayLike, amplitude: ArrayLike) -> Floats:
    r"""
    Share of the power of unbroken lines that a slow sideways swing of the belt leaves.

    Parameters
    ----------
    frequency : array_like
        Across the grain, shape ``(m,)``. [cycles/m]
    amplitude : array_like
        Amplitude a of the swing, scalar or ``(n,)``, ``>= 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`J_0^2(2\pi f a)`, shape ``(n, m)``; valid while `dither_is_slow`. [-]

    References
    ----------
    derived.

    Examples
    --------
    >>> dither_power(frequency=[400.0], amplitude=0.001).round(3)
    array([[0.003]])
    """
    swing = np.atleast_1d(np.asarray(amplitude, dtype=np.float64))[:, None]
    return np.asarray(bessel_zero(2.0 * np.pi * np.asarray(frequency, dtype=np.float64) * swing) ** 2)


def dither_is_slow(*, amplitude: ArrayLike, length: ArrayLike, patch_length: ArrayLike, groove_width: ArrayLike) -> NDArray[np.bool_]:
    """
    Whether a swing is slow enough for `dither_power`.

    Parameters
    ----------
    amplitude : array_like
        Amplitude of the swing. [m]
    length : array_like
        Length along the grain of one whole swing, ``> 0``. [m]
    patch_length : array_like
        Contact length along the grain. [m]
    groove_width : array_like
        Width of one grain's groove. [m]

    Returns
    -------
    numpy.ndarray
        True where the steepest sideways move over one patch length is less than a groove width; above it no more than about half of
        the promised loss has been seen.

    References
    ----------
    derived; line-trial-simulation for the loss above it.

    Examples
    --------
    >>> bool(dither_is_slow(amplitude=0.001, length=5.0, patch_length=0.02, groove_width=50e-6))
    True
    """
    span = np.asarray(length, dtype=np.float64)
    if not np.all(span > 0.0):
        raise ValueError("length must be > 0")
    move = 2.0 * np.pi * np.asarray(amplitude, dtype=np.float64) * np.asarray(patch_length, dtype=np.float64) / span
    return np.asarray(move < np.asarray(groove_width, dtype=np.float64))
