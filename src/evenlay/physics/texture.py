"""Which grains of the belt work, and what a grain leaves: the seam between closed form and grain-by-grain simulation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]

ROOT_TWO: Final = float(np.sqrt(2.0))
ROOT_TWO_PI: Final = float(np.sqrt(2.0 * np.pi))
STEPS: Final = 40
"""Most Newton steps for the separation; five are usual. [-]"""
DEEPEST: Final = 1e12
LIGHTEST: Final = 1e-12
"""Range of pressure over stiffness times height spread that is solved. [-]"""


def scaled_error_complement(x: ArrayLike) -> Floats:
    r"""
    Scaled complementary error function.

    Parameters
    ----------
    x : array_like
        ``>= 0``. [-]

    Returns
    -------
    numpy.ndarray
        :math:`e^{x^2}\,\mathrm{erfc}(x)`, within 1.2e-7 of its value. [-]

    References
    ----------
    press-1992, section 6.2 (from memory; compared with a library in the tests).

    Examples
    --------
    >>> scaled_error_complement([0.0, 1.0]).round(6)
    array([1.      , 0.427584])
    """
    z = np.asarray(x, dtype=np.float64)
    if not np.all((z >= 0.0) & (z < np.inf)):
        raise ValueError("x must be >= 0 and finite")
    t = 1.0 / (1.0 + 0.5 * z)
    coefficients = (
        0.17087277,
        -0.82215223,
        1.48851587,
        -1.13520398,
        0.27886807,
        -0.18628806,
        0.09678418,
        0.37409196,
        1.00002368,
        -1.26551223,
    )
    series = np.zeros_like(t)
    for coefficient in coefficients:
        series = series * t + coefficient
    return np.asarray(t * np.exp(series))


def _overlap_means(separation: Floats) -> tuple[Floats, Floats, Floats]:
    r"""Share above, mean and mean square of :math:`(u - t)_+` for standard normal u."""
    size = np.abs(separation)
    density = np.exp(-0.5 * separation * separation) / ROOT_TWO_PI
    tail = 0.5 * scaled_error_complement(size / ROOT_TWO) * np.exp(-0.5 * size * size)
    above = np.where(separation >= 0.0, tail, 1.0 - tail)
    mean = density - separation * above
    square = (1.0 + separation * separation) * above - separation * density
    return above, mean, square


@dataclass(frozen=True)
class GrainEngagement:
    """
    How the grains of a belt share the pressure.

    Parameters
    ----------
    active_density : numpy.ndarray
        n_a: density of equal grains that would print the same lines. [1/m2]
    engaged_share : numpy.ndarray
        Share of all grains that touch. [-]
    separation : numpy.ndarray
        Height of the face above the mean tip, in standard deviations of the tips. [-]
    fill_depth : numpy.ndarray
        d_K: removal after which a hollow is filled to 1/e. [m]
    """

    active_density: Floats
    engaged_share: Floats
    separation: Floats
    fill_depth: Floats


def grain_engagement(
    *, pressure: ArrayLike, grain_density: ArrayLike, height_sd: ArrayLike, tip_radius: ArrayLike, contact_modulus: ArrayLike
) -> GrainEngagement:
    r"""
    Share the pressure among grains of Gaussian height on the wheel's compliance.

    Parameters
    ----------
    pressure : array_like
        Mean contact pressure p, ``> 0``. [Pa]
    grain_density : array_like
        Grains per area :math:`\rho`, ``> 0``. [1/m2]
    height_sd : array_like
        Standard deviation of the heights of the tips, ``> 0``. [m]
    tip_radius : array_like
        Radius r of the base on which a grain presses into the wheel, ``> 0``. [m]
    contact_modulus : array_like
        :math:`E^* = E/(1-\nu^2)` of the cover, ``> 0``. [Pa]

    Returns
    -------
    GrainEngagement
        Arrays of the common shape.

    Raises
    ------
    ValueError
        If a value is not positive and finite, or the pressure is out of all proportion to the stiffness.

    Notes
    -----
    Each grain is a spring :math:`k_b = 2E^*r` (flat punch): :math:`F = k_b(h - d)_+` with d from :math:`\rho\,E[F] = p`. Then
    :math:`n_a = \rho\,E[F]^2/E[F^2]`, the stiffness against filling a hollow is :math:`K = \rho k_b P(h>d)` and :math:`d_K = p/K`.
    The modulus is :math:`E^*`, not E: rubber of 5 MPa has 6.67 MPa.

    References
    ----------
    greenwood-williamson-1966 (from memory) for the counting; johnson-1985 for the punch; derived.

    Examples
    --------
    >>> grains = grain_engagement(
    ...     pressure=0.1e6, grain_density=15e6, height_sd=30e-6, tip_radius=60e-6, contact_modulus=5e6 / 0.75
    ... )
    >>> float((grains.active_density / 1e6).round(2)), float((grains.fill_depth * 1e6).round(1))
    (3.64, 21.2)
    """
    p = positive("pressure", pressure)
    rho = positive("grain_density", grain_density)
    spread = positive("height_sd", height_sd)
    spring = 2.0 * positive("contact_modulus", contact_modulus) * positive("tip_radius", tip_radius)
    load = np.asarray(p / (rho * spring * spread))
    if not np.all((load >= LIGHTEST) & (load <= DEEPEST)):
        raise ValueError("pressure is out of all proportion to the stiffness of the grains")
    separation = _separation(load)
    above, mean, square = _overlap_means(separation)
    active = rho * np.minimum(mean * mean / square, 1.0)
    return GrainEngagement(
        active_density=np.asarray(active),
        engaged_share=np.asarray(above * np.ones_like(active)),
        separation=np.asarray(separation * np.ones_like(active)),
        fill_depth=np.asarray(p / (rho * spring * above)),
    )


def _separation(load: Floats) -> Floats:
    """Solve mean overlap = load by Newton steps on the logarithm, which is concave: no step can run away."""
    asked = np.log(load)
    separation = np.where(load > 0.4, -load, np.sqrt(2.0 * np.log1p(1.0 / np.maximum(load, LIGHTEST))))
    separation = np.minimum(separation, 7.5)
    for _ in range(STEPS):
        above, mean, _ = _overlap_means(separation)
        step = (np.log(mean) - asked) * mean / above
        separation = separation + step
        if np.all(np.abs(step) <= 1e-9 * (1.0 + np.abs(separation))):
            break
    return np.asarray(separation)
