"""Masking by the finish's own random texture, inside the standard observer."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from evenlay.physics.viewing.ranges import Floats, within
from evenlay.physics.viewing.sensitivity import APERTURE, GRATING_GAIN, LINE_GAIN, contrast_sensitivity, degrees_per_metre

EFFICIENCY: Final = 0.35
"""Share of the information that an observer uses (eta); prior 0.17 to 0.6. [-]"""
DETECTABILITY: Final = 2.0
"""Square of the index of detectability at threshold (d'^2). [-]"""
APERTURE_LENGTH: Final = 2.0 * sqrt(pi) * APERTURE
"""Length along the grain over which the aperture averages (ell), 2.22 deg. [deg]"""
HARMONICS_PER_DEGREE: Final = 1.5
"""Harmonics summed per degree of repeat: the next would pass less than 1e-15. [1/deg]"""
LONGEST_SUMMED: Final = 60.0
"""Repeat above which the sum is scaled in proportion, which is its limit. [deg]"""


def noise_scale(*, efficiency: ArrayLike = EFFICIENCY, detectability: float = DETECTABILITY) -> Floats:
    r"""
    Scale between the eye's own noise and its sensitivity.

    Parameters
    ----------
    efficiency : array_like
        Effective sampling efficiency :math:`\eta`, ``0 < eta <= 1``. [-]
    detectability : float
        :math:`d'^2` at threshold, ``> 0``. [-]

    Returns
    -------
    numpy.ndarray
        :math:`B = (\eta/d'^2)\,\pi\sigma^2/(2\kappa_g^2)`, so that the eye's equivalent noise is :math:`B/CSF^2`. [deg^2]

    Notes
    -----
    A grating of amplitude A under the aperture has contrast energy :math:`A^2\pi\sigma^2/2`. At threshold a linear amplifier needs
    energy :math:`(d'^2/\eta)(N_{ext}+N_{eq})`, N two-sided and two-dimensional; with :math:`A = 1/(\kappa_g CSF)` at
    :math:`N_{ext} = 0` this gives :math:`N_{eq} = B/CSF^2`.

    References
    ----------
    pelli-1981, legge-kersten-burgess-1987 (from memory); derived.

    Examples
    --------
    >>> float(noise_scale().round(3))
    0.2
    """
    eta = within("efficiency", efficiency, low=0.0, high=1.0, open_low=True)
    square = within("detectability", detectability, low=0.0, open_low=True)
    return np.asarray(eta / square * pi * APERTURE**2 / (2.0 * GRATING_GAIN**2))


def masked_sensitivity(frequency: ArrayLike, noise: ArrayLike, *, scale: ArrayLike | None = None) -> Floats:
    r"""
    Filter of the standard observer in front of a noisy ground.

    Parameters
    ----------
    frequency : array_like
        Spatial frequency, ``>= 0``. [cycles/deg]
    noise : array_like
        :math:`N_{ext}`, two-sided two-dimensional density of luminance contrast at that frequency, ``>= 0``. [deg^2]
    scale : array_like, optional
        :math:`B` of `noise_scale`; 0.20 when not given. [deg^2]

    Returns
    -------
    numpy.ndarray
        :math:`H = CSF/\sqrt{1 + CSF^2 N_{ext}/B}`; the plain sensitivity exactly when the noise is 0. [-]

    References
    ----------
    pelli-1981, legge-kersten-burgess-1987 (from memory); watson-ahumada-2005; derived.

    Examples
    --------
    >>> masked_sensitivity([4.0, 4.0], [0.0, 1.0e-4]).round(1)
    array([214.2,  43.8])
    """
    density = within("noise", noise, low=0.0)
    gain = contrast_sensitivity(frequency)
    b = noise_scale() if scale is None else within("scale", scale, low=0.0, open_low=True)
    return np.asarray(gain / np.sqrt(1.0 + gain * gain * density / b))


def harmonic_orders(repeat: ArrayLike) -> Floats:
    """
    Orders of the harmonics of a repeat that the aperture can pass.

    Parameters
    ----------
    repeat : array_like
        Repeat length along the grain, as an angle, ``> 0``. [deg]

    Returns
    -------
    numpy.ndarray
        1, 2, ..., up to where less than 1e-15 of the power would pass at the longest repeat. [-]

    Examples
    --------
    >>> harmonic_orders(0.9)
    array([1., 2., 3.])
    """
    length = within("repeat", repeat, low=0.0, open_low=True)
    longest = min(float(np.max(length, initial=0.0)), LONGEST_SUMMED)
    return np.asarray(np.arange(1.0, np.ceil(HARMONICS_PER_DEGREE * longest) + 2.0))


def repeat_harmonics(repeat: ArrayLike, *, weights: ArrayLike = 1.0) -> Floats:
    r"""
    How much of a repeating texture survives the aperture as noise, against its unbroken lines.

    Parameters
    ----------
    repeat : array_like
        Repeat length along the grain :math:`\Lambda`, as an angle, ``> 0``. [deg]
    weights : array_like
        Power :math:`w_m` of each harmonic of `harmonic_orders` against the unbroken line, shape ``(..., m)``; 1 for a texture that is
        white along the grain. [-]

    Returns
    -------
    numpy.ndarray
        :math:`\Theta = 2\sum_{m\ge1} w_m\, e^{-(2\pi\sigma m/\Lambda)^2}`, shape of ``repeat``. [-]

    Notes
    -----
    A texture that repeats every :math:`\Lambda` has lines in frequency along the grain at :math:`m/\Lambda`; the aperture passes the
    power :math:`e^{-(2\pi\sigma m/\Lambda)^2}` of each. m = 0 is the unbroken line itself. For a long white repeat
    :math:`1 + \Theta \to \Lambda/\ell`.

    References
    ----------
    derived.

    Examples
    --------
    >>> repeat_harmonics([0.96, 3.82, 22.24]).round(3)
    array([0.   , 0.718, 9.001])
    """
    length = within("repeat", repeat, low=0.0, open_low=True)
    power = within("weights", weights, low=0.0)
    order = harmonic_orders(length)
    short = np.minimum(length, LONGEST_SUMMED)
    passed = np.exp(-((2.0 * pi * APERTURE * order / short[..., None]) ** 2))
    theta = 2.0 * np.sum(power * passed, axis=-1)
    return np.asarray((1.0 + theta) * (length / short) - 1.0)


@dataclass(frozen=True)
class MaskingNoise:
    """
    Random texture of a finish as the eye meets it, for one direction of the marks that are looked for.

    Parameters
    ----------
    frequency : numpy.ndarray
        Spatial frequency on the face, rising, shape ``(m,)``. [cycles/m]
    density : numpy.ndarray
        :math:`N_{ext}`, shape ``(n, m)``, ``>= 0``. [deg^2]
    scale : numpy.ndarray
        :math:`B` of `noise_scale`, shape ``()`` or ``(n,)``. [deg^2]
    """

    frequency: Floats
    density: Floats
    scale: Floats

    def at(self, frequency: Floats) -> Floats:
        """
        Density at other frequencies: straight in the logarithm of frequency, level beyond the ends.

        Parameters
        ----------
        frequency : numpy.ndarray
            Shape ``(k,)`` for all draws alike, or ``(n, k)``; ``>= 0``. [cycles/m]

        Returns
        -------
        numpy.ndarray
            Shape ``(n, k)``. [deg^2]
        """
        known = np.log(self.frequency)
        asked = np.log(np.clip(frequency, self.frequency[0], self.frequency[-1]))
        right = np.clip(np.searchsorted(known, asked), 1, known.size - 1)
        share = (asked - known[right - 1]) / (known[right] - known[right - 1])
        if frequency.ndim == 1:
            return np.asarray(self.density[:, right - 1] * (1.0 - share) + self.density[:, right] * share)
        rows = np.arange(self.density.shape[0])[:, None]
        return np.asarray(self.density[rows, right - 1] * (1.0 - share) + self.density[rows, right] * share)


def random_line_visibility(
    *, frequency: Floats, contrast_density: Floats, distance: ArrayLike, noise: MaskingNoise | None = None
) -> Floats:
    r"""
    Visibility of random lines that run unbroken along the grain.

    Parameters
    ----------
    frequency : numpy.ndarray
        Spatial frequency across the grain, rising, shape ``(m,)``; best evenly spaced in its logarithm. [cycles/m]
    contrast_density : numpy.ndarray
        One-sided spectral density S of luminance contrast, shape ``(n, m)``, ``>= 0``. [m]
    distance : array_like
        Eye to face, scalar or ``(n,)``, ``> 0``. [m]
    noise : MaskingNoise, optional
        Density on the same frequencies; none gives the plain observer.

    Returns
    -------
    numpy.ndarray
        Times just-visible, shape ``(n,)``. [-]

    Notes
    -----
    :math:`V^2 = \kappa_n^2 \int S\,CSF^2/(1 + CSF^2 N_{ext}/B)\,df` with :math:`\kappa_n = 1.084`. A density in metres
    becomes one in degrees by the degrees per metre, a frequency the other way: the integral has no unit.

    References
    ----------
    watson-ahumada-2005; pelli-1981; derived.
    """
    f = within("frequency", frequency, low=0.0, open_low=True)
    density = within("contrast_density", contrast_density, low=0.0)
    angle = degrees_per_metre(distance)[..., None]
    gain = contrast_sensitivity(f / angle)
    power = gain * gain
    if noise is not None:
        power = power / (1.0 + power * noise.density / np.asarray(noise.scale)[..., None])
    integrand = density * power * f
    step = np.diff(np.log(f))
    total = np.sum(0.5 * (integrand[..., 1:] + integrand[..., :-1]) * step, axis=-1)
    return np.asarray(LINE_GAIN * np.sqrt(total))


def texture_limited_visibility(*, band: ArrayLike, repeat: ArrayLike) -> Floats:
    r"""
    Short form of the visibility of belt lines where the texture, not the eye, limits.

    Parameters
    ----------
    band : array_like
        Band of frequencies in which texture exceeds the eye's own noise, ``> 0``. [cycles/deg]
    repeat : array_like
        Repeat length :math:`\Lambda`, more than 1.5 aperture lengths (3.3 deg). [deg]

    Returns
    -------
    numpy.ndarray
        :math:`\kappa_n\sqrt{2B\,\Delta f/(\Lambda - \ell)} = 0.69\sqrt{\Delta f/(\Lambda - \ell)}`. [-]

    Raises
    ------
    ValueError
        If the repeat is not long enough for the short form.

    References
    ----------
    derived.

    Examples
    --------
    >>> float(texture_limited_visibility(band=20.0, repeat=7.64).round(2))
    1.32
    """
    length = within("repeat", repeat, low=1.5 * APERTURE_LENGTH, open_low=True)
    width = within("band", band, low=0.0, open_low=True)
    return np.asarray(LINE_GAIN * np.sqrt(2.0 * noise_scale() * width / (length - APERTURE_LENGTH)))
