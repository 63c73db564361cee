"""How a swing of the pressure arrives on the face: smoothing by the patch, with the memory of texture and relief."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def patch_response(*, patch_length: ArrayLike, pitch: ArrayLike, removal: ArrayLike, memory_depth: ArrayLike) -> Array:
    r"""
    Share of a swing in pressure that stays on the face after the whole patch has passed.

    Parameters
    ----------
    patch_length : array_like
        Contact length :math:`c` along the grain, ``> 0``. [m]
    pitch : array_like
        Spacing :math:`\Lambda` of the swing on the face, along the grain, ``> 0``. [m]
    removal : array_like
        Stock removed in one pass :math:`d`, ``> 0``. [m]
    memory_depth : array_like
        Removal that renews what is looked at (:math:`d_r` for texture; infinite for relief). ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        Amplitude out over amplitude in, 0 to 1, inputs broadcast. [-]

    Notes
    -----
    A point of the face meets every part of the patch in turn. What was done a distance :math:`x` before the trailing
    edge is wiped by the removal that still follows, so it weighs :math:`e^{-x/x_0}` with
    :math:`x_0 = c\,d_r/d`, cut off at :math:`c`. The response is the modulus of the normalised Fourier integral,

    .. math:: \left|\frac{1 - e^{-c/x_0 - i q c}}{(1 - e^{-c/x_0})(1 + i q x_0)}\right|,\quad q = 2\pi/\Lambda,

    whose limit for a long memory is :math:`|\operatorname{sinc}(c/\Lambda)|` (relief). Derived; a test integrates it.
    A texture forgets most of the patch when a pass removes more than its memory, so short spacings survive on it that
    the plain patch average would wash out.

    Examples
    --------
    >>> float(patch_response(patch_length=0.02, pitch=0.04, removal=1e-6, memory_depth=np.inf).round(4))
    0.6366
    """
    length, wave, depth, memory = (np.asarray(x, dtype=np.float64) for x in (patch_length, pitch, removal, memory_depth))
    if not (np.all(length > 0) and np.all(wave > 0) and np.all(depth > 0) and np.all(memory > 0)):
        raise ValueError("patch length, pitch, removal and memory depth must all be positive")
    turns = 2.0 * np.pi * length / wave
    wipe = depth / memory
    # Below this the exponential form loses figures to cancellation; the plain average is then right to 1e-6.
    plain = wipe < 1e-6
    safe = np.where(plain, 1.0, wipe)
    kept = np.abs((1.0 - np.exp(-safe - 1j * turns)) / ((1.0 - np.exp(-safe)) * (1.0 + 1j * turns / safe)))
    return np.where(plain, np.abs(np.sinc(length / wave)), kept)


def pulse_harmonic(*, harmonic: int, duty: ArrayLike) -> Array:
    r"""
    Amplitude of one harmonic of a train of rectangular pulses of height 1.

    Parameters
    ----------
    harmonic : int
        :math:`m \ge 1`. [-]
    duty : array_like
        Share of the period during which the pulse lasts, 0 to 1. [-]

    Returns
    -------
    numpy.ndarray
        :math:`2\,\delta\,|\operatorname{sinc}(m\delta)|`. [-]

    Examples
    --------
    >>> float(pulse_harmonic(harmonic=1, duty=0.5).round(4))
    0.6366
    """
    share = np.asarray(duty, dtype=np.float64)
    if not np.all((share >= 0.0) & (share <= 1.0)):
        raise ValueError("the duty of a pulse train lies between 0 and 1")
    return np.asarray(2.0 * share * np.abs(np.sinc(harmonic * share)))
