"""Luminance of a ground face from the slopes of its texture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from evenlay.physics.viewing.ranges import Floats, within

SEARCHED: Final[Floats] = np.linspace(0.0, 3.6, 181, dtype=np.float64)
"""Tilts of the half vector over the spread of slopes that are searched for the worst. [-]"""


@dataclass(frozen=True)
class ContrastGains:
    """
    Luminance contrast per small change of the surface, at one viewing angle per draw.

    Parameters
    ----------
    sigma : numpy.ndarray
        g_sigma: contrast per relative change of the slope rms, signed. [-]
    theta : numpy.ndarray
        g_theta: contrast per radian of local tilt, for the tilt that brightens. [1/rad]
    tilt : numpy.ndarray
        Angle of the half vector from the normal, across the grain. [rad]
    """

    sigma: Floats
    theta: Floats
    tilt: Floats


def half_vector_tilt(*, lamp: ArrayLike, eye: ArrayLike) -> Floats:
    """
    Angle of the half vector from the face's normal, across the grain.

    Parameters
    ----------
    lamp, eye : array_like
        Directions of lamp and eye from the normal in the plane across the grain, on opposite sides both positive. [rad]

    Returns
    -------
    numpy.ndarray
        ``(lamp - eye) / 2``: 0 where the lamp is mirrored into the eye. [rad]

    References
    ----------
    derived.

    Examples
    --------
    >>> float(half_vector_tilt(lamp=0.7, eye=0.3).round(6))
    0.2
    """
    return np.asarray((np.asarray(lamp, dtype=np.float64) - np.asarray(eye, dtype=np.float64)) / 2.0)


def _spread(slope_rms: ArrayLike, facet_spread: ArrayLike) -> tuple[Floats, Floats]:
    """Squares of the slope rms and of the whole spread of facets."""
    sigma = within("slope_rms", slope_rms, low=0.0, open_low=True)
    tau = within("facet_spread", facet_spread, low=0.0)
    return np.asarray(sigma * sigma), np.asarray(sigma * sigma + tau * tau)


def contrast_gains(
    *,
    slope_rms: ArrayLike,
    facet_spread: ArrayLike,
    floor: ArrayLike,
    tilt: ArrayLike | None = None,
    roughness_change: ArrayLike = 1.0,
    tilt_change: ArrayLike = 0.0,
) -> ContrastGains:
    r"""
    Gains from a change of slope roughness and from a local tilt to luminance contrast.

    Parameters
    ----------
    slope_rms : array_like
        Slope rms across the grain :math:`\sigma`, on the fine optical band, ``> 0``. [-]
    facet_spread : array_like
        Spread :math:`\tau` of the facets themselves, ``>= 0``. [-]
    floor : array_like
        Luminance that does not come from the lobe, as a share of the lobe's peak; added, ``>= 0``. [-]
    tilt : array_like, optional
        Half-vector angle :math:`\theta` of the agreed viewing; when not given, the one at which the change shows most. [rad]
    roughness_change, tilt_change : array_like
        Sizes of the relative change of slope rms and of the local tilt [rad] for which the worst angle is wanted, ``>= 0``.

    Returns
    -------
    ContrastGains
        Arrays of the common shape.

    Raises
    ------
    ValueError
        If a value is out of range, or the worst angle is asked for with no floor.

    Notes
    -----
    The lobe is :math:`\ell = e^{-\tan^2\theta/2s_t^2}` of its peak with :math:`s_t^2 = \sigma^2 + \tau^2`, and its height
    falls as :math:`1/s_t`. With :math:`\phi` the floor:
    :math:`g_\sigma = (\tan^2\theta/s_t^2 - 1)(\sigma^2/s_t^2)\,\ell/(\ell + \phi)`,
    :math:`g_\theta = (\tan\theta/s_t^2)\,\ell/(\ell + \phi)`. Small changes only: near the null of
    :math:`g_\sigma` use `luminance_contrast`. The worst angle maximises
    :math:`(g_\sigma\,\delta\sigma/\sigma)^2 + (g_\theta\,\delta\theta)^2`
    over tilts up to 3.6 :math:`s_t`.

    References
    ----------
    ward-1992 (from memory) for the lobe; derived.

    Examples
    --------
    >>> gains = contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=0.05)
    >>> float(gains.sigma.round(2)), float(gains.theta.round(1)), float(np.degrees(gains.tilt).round(1))
    (2.27, 13.7, 12.6)
    """
    square, whole = _spread(slope_rms, facet_spread)
    share = within("floor", floor, low=0.0)
    if tilt is None:
        within("floor", floor, low=0.0, open_low=True)
        angle = _worst_tilt(
            square, whole, share, within("roughness_change", roughness_change, low=0.0), within("tilt_change", tilt_change, low=0.0)
        )
    else:
        angle = within("tilt", np.abs(np.asarray(tilt, dtype=np.float64)), low=0.0, high=1.5)
    sigma, theta = _gains(square, whole, share, np.tan(angle) / np.sqrt(whole))
    sigma, theta, angle = np.broadcast_arrays(sigma, theta, angle)
    return ContrastGains(sigma=np.asarray(sigma), theta=np.asarray(theta), tilt=np.asarray(angle))


def _gains(square: Floats, whole: Floats, floor: Floats, reach: Floats) -> tuple[Floats, Floats]:
    """Both gains at a tilt whose tangent is ``reach`` times the spread."""
    lobe = np.exp(-0.5 * reach * reach)
    seen = lobe / (lobe + floor)
    return np.asarray((reach * reach - 1.0) * (square / whole) * seen), np.asarray(reach / np.sqrt(whole) * seen)


def _worst_tilt(square: Floats, whole: Floats, floor: Floats, roughness: Floats, tilt: Floats) -> Floats:
    """Half-vector tilt at which a change of roughness and of tilt together show most. [rad]."""
    shaped = np.broadcast_arrays(square, whole, floor, roughness, tilt)
    s2, st2, phi, rough, slope = (part[..., None] for part in shaped)
    sigma, theta = _gains(s2, st2, phi, SEARCHED)
    best = np.argmax((sigma * rough) ** 2 + (theta * slope) ** 2, axis=-1)
    return np.asarray(np.arctan(SEARCHED[best] * np.sqrt(shaped[1])))


def luminance_contrast(
    *, slope_rms: ArrayLike, local_tilt: ArrayLike, lamp_tilt: ArrayLike, facet_spread: ArrayLike, floor: ArrayLike, reference: ArrayLike
) -> Floats:
    r"""
    Luminance contrast along a line on the face, from its real slopes.

    Parameters
    ----------
    slope_rms : array_like
        Slope rms across the grain along the line, shape ``(n, ny)``, ``> 0``. [-]
    local_tilt : array_like
        Tilt of the form or relief across the grain along the line, shape ``(n, ny)``. [rad]
    lamp_tilt : array_like
        Half-vector angle, both signs, shape ``(n,)``. [rad]
    facet_spread, floor, reference : array_like
        Facet spread, added floor as a share of the lobe's peak, and the slope rms that sets this peak; shape ``(n,)``. [-]

    Returns
    -------
    numpy.ndarray
        Luminance over its mean along the line, less 1, shape ``(n, ny)``. [-]

    Notes
    -----
    :math:`L = (s_0/s)\,e^{-\tan^2(\theta - \delta)/2s^2} + \phi` with :math:`s^2 = \sigma(y)^2 + \tau^2`,
    :math:`\delta` the local tilt and :math:`s_0` at the reference.

    References
    ----------
    ward-1992 (from memory) for the lobe; derived.

    Examples
    --------
    >>> light = {"lamp_tilt": [0.2182], "facet_spread": [0.03], "floor": [0.05], "reference": [0.09]}
    >>> luminance_contrast(slope_rms=[[0.09, 0.0909]], local_tilt=0.0, **light).round(4)
    array([[-0.0113,  0.0113]])
    """
    _, s2 = _spread(slope_rms, np.atleast_1d(np.asarray(facet_spread, dtype=np.float64))[..., None])
    _, peak = _spread(
        np.atleast_1d(np.asarray(reference, dtype=np.float64))[..., None],
        np.atleast_1d(np.asarray(facet_spread, dtype=np.float64))[..., None],
    )
    lamp = within("lamp_tilt", np.atleast_1d(np.asarray(lamp_tilt, dtype=np.float64))[..., None], low=-1.5, high=1.5)
    share = np.atleast_1d(within("floor", floor, low=0.0))[..., None]
    slope = np.tan(lamp - within("local_tilt", local_tilt, low=-1.5, high=1.5))
    luminance = np.sqrt(peak / s2) * np.exp(-0.5 * slope * slope / s2) + share
    return np.asarray(luminance / np.mean(luminance, axis=-1, keepdims=True) - 1.0)


def fresnel_reflectance(angle: ArrayLike, *, index: float) -> Floats:
    r"""
    Share of unpolarised light that a clear smooth surface reflects.

    Parameters
    ----------
    angle : array_like
        Angle of incidence from the normal, 0 to :math:`\pi/2`. [rad]
    index : float
        Refractive index, ``>= 1``. [-]

    Returns
    -------
    numpy.ndarray
        0 to 1. [-]

    References
    ----------
    born-wolf-1999, section 1.5 (from memory).

    Examples
    --------
    >>> fresnel_reflectance(np.radians([20.0, 60.0, 85.0]), index=1.567).round(6)
    array([0.049078, 0.100056, 0.619148])
    """
    incidence = within("angle", angle, low=0.0, high=np.pi / 2.0)
    n = float(within("index", index, low=1.0))
    cosine = np.cos(incidence)
    inside = np.sqrt(1.0 - (np.sin(incidence) / n) ** 2)
    across = (cosine - n * inside) / (cosine + n * inside)
    within_plane = (n * cosine - inside) / (n * cosine + inside)
    return np.asarray(0.5 * (across**2 + within_plane**2))
