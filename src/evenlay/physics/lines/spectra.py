"""Spectra of the lines that a belt's own grains print."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.physics.texture import scaled_error_complement
from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]

WANDER_LENGTH: Final = 0.1
"""Length along the grain over which the sideways drift of a hand forgets itself (guess). [m]"""


def repeat_length(*, belt_length: ArrayLike, speed: ArrayLike, feed: ArrayLike) -> Floats:
    r"""
    Length along the grain after which the same grains come back.

    Parameters
    ----------
    belt_length : array_like
        Once round, L, ``> 0``. [m]
    speed : array_like
        Belt speed v, ``> 0``. [m/s]
    feed : array_like
        f, ``> 0``. [m/s]

    Returns
    -------
    numpy.ndarray
        :math:`\Lambda = fL/v`. [m]

    References
    ----------
    derived.

    Examples
    --------
    >>> float(repeat_length(belt_length=1.5, speed=18.0, feed=0.12).round(6))
    0.01
    """
    return np.asarray(positive("feed", feed) * positive("belt_length", belt_length) / positive("speed", speed))


def persistent_line_psd(*, active_density: ArrayLike, belt_length: ArrayLike) -> Floats:
    r"""
    One-sided spectral density of the relative swing across the grain that persists along it.

    Parameters
    ----------
    active_density : array_like
        :math:`n_a`, ``> 0``. [1/m2]
    belt_length : array_like
        L, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`2/(n_a L)`, level over frequency up to about one cycle per two groove widths. [m]

    Notes
    -----
    Grains are independent and each prints a needle at its y. Over one belt turn :math:`n_a L` grains pass per metre of width; a Poisson
    row of equal needles with that density has the two-sided relative density :math:`1/(n_aL)`.

    References
    ----------
    derived (campbell-theorem).

    Examples
    --------
    >>> float(persistent_line_psd(active_density=3.6e6, belt_length=0.5).round(9))
    1.111e-06
    """
    return np.asarray(2.0 / (positive("active_density", active_density) * positive("belt_length", belt_length)))


def row_line_psd(*, active_density: ArrayLike, belt_length: ArrayLike, arc: ArrayLike) -> Floats:
    r"""
    The same density for one row of the face, which meets only the belt arc of one contact.

    Parameters
    ----------
    active_density : array_like
        :math:`n_a`, ``> 0``. [1/m2]
    belt_length : array_like
        L, ``> 0``. [m]
    arc : array_like
        :math:`A = cv/f`, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`2/(n_a \min(L, A))`. [m]

    References
    ----------
    derived.

    Examples
    --------
    >>> float(row_line_psd(active_density=3.6e6, belt_length=2.0, arc=0.5).round(9))
    1.111e-06
    """
    met = np.minimum(positive("belt_length", belt_length), positive("arc", arc))
    return persistent_line_psd(active_density=active_density, belt_length=met)


def shared_arc(*, shift: ArrayLike, patch_length: ArrayLike) -> Floats:
    r"""
    Share of belt arc that two points of one pass, a shift apart along the grain, have in common.

    Parameters
    ----------
    shift : array_like
        Distance along the grain. [m]
    patch_length : array_like
        c, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`\mathrm{tri}(\Delta x/c)`, 0 to 1; the same arc returns every repeat length. [-]

    References
    ----------
    derived.

    Examples
    --------
    >>> float(shared_arc(shift=0.005, patch_length=0.02))
    0.75
    """
    return np.asarray(np.maximum(1.0 - np.abs(np.asarray(shift, dtype=np.float64)) / positive("patch_length", patch_length), 0.0))


def wander_coherence(*, frequency: ArrayLike, wander: ArrayLike, repeat: ArrayLike, aperture: float) -> tuple[Floats, Floats]:
    r"""
    What is left of unbroken lines when the tool wanders sideways.

    Parameters
    ----------
    frequency : array_like
        Across the grain, shape ``(m,)``. [cycles/m]
    wander : array_like
        Standard deviation of the sideways drift, which forgets itself over 0.1 m along the grain, shape ``(n,)``, ``>= 0``; a robot has
        0. [m]
    repeat : array_like
        Repeat length :math:`\Lambda`, shape ``(n,)``. [m]
    aperture : float
        Standard deviation of the eye's aperture on the face, ``> 0``. [m]

    Returns
    -------
    tuple of numpy.ndarray
        Coherence of two belt turns that follow each other, :math:`e^{-\Lambda/X}` or the second if that is less, and share of the power
        that stays in a mean over the aperture, :math:`\mathrm{erfcx}(\sigma/X)`; shapes ``(n, m)``; both 1 without wander. [-]

    Notes
    -----
    Two points x apart have drifted apart by the variance :math:`2w^2x/0.1\,\mathrm{m}` (short of 0.1 m; the scaling is a guess), so
    lines of frequency f lose their phase over :math:`X = 0.1\,\mathrm{m}/(2\pi f w)^2`. The aperture's own autocorrelation is
    :math:`e^{-x^2/4\sigma^2}`.

    References
    ----------
    derived.

    Examples
    --------
    >>> turns, seen = wander_coherence(frequency=[400.0], wander=0.002, repeat=0.02, aperture=0.00657)
    >>> turns.round(3), seen.round(3)
    (array([[0.006]]), array([[0.297]]))
    """
    drift = np.atleast_1d(np.asarray(wander, dtype=np.float64))[:, None]
    if not np.all((drift >= 0.0) & (drift < np.inf)):
        raise ValueError("wander must be >= 0 and finite")
    loss = (2.0 * np.pi * np.asarray(frequency, dtype=np.float64) * drift) ** 2 / WANDER_LENGTH
    turn = np.atleast_1d(positive("repeat", repeat))[:, None]
    kept = np.exp(-turn * loss)
    seen = np.where(loss > 0.0, scaled_error_complement(float(positive("aperture", aperture)) * loss), 1.0)
    return np.asarray(np.minimum(kept, seen)), np.asarray(seen)
