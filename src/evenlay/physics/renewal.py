"""How fast ploughing grains renew the texture, and what that makes of the lines in it: fitted from the simulation, for the closed form."""

from __future__ import annotations

from math import inf, pi, radians, tan
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]

CELL_WIDTH: Final = 8.0e-6
"""Width across over which slopes between 16 and 80 um are alike: fitted to the texture lines of the set-ups kept. [m]"""


def groove_coefficient(*, attack_angle: float, hardness: float) -> float:
    r"""
    Cross-section of the groove that a conical grain presses into metal, per newton.

    Parameters
    ----------
    attack_angle : float
        Of the flank from the face, between 0 and 90. [degrees]
    hardness : float
        Mean pressure under the grain, ``> 0``. [Pa]

    Returns
    -------
    float
        :math:`k_g = 2\tan\alpha/(\pi H)`. [m2/N]

    Raises
    ------
    ValueError
        If an input is out of range, NaN or infinite.

    Notes
    -----
    Only the front half of the cone carries: :math:`F = H\pi a^2/2`; the groove is a triangle of half-width a and depth
    :math:`a\tan\alpha`. What the weight loses is less: the rest is ploughed to the sides.

    References
    ----------
    rabinowicz-1995 (from memory).

    Examples
    --------
    >>> round(groove_coefficient(attack_angle=15.0, hardness=1.265e9) * 1e10, 2)
    1.35
    """
    if not (0.0 < attack_angle < 90.0 and 0.0 < hardness < inf):
        raise ValueError("attack_angle must lie between 0 and 90 degrees, hardness be > 0 and finite")
    return 2.0 * tan(radians(attack_angle)) / (pi * hardness)


def takeover_depth(*, texture_memory: ArrayLike, removal_coefficient: ArrayLike, groove_coefficient: ArrayLike) -> Floats:
    r"""
    Stock removed with which a later pass takes over the texture that light sees.

    Parameters
    ----------
    texture_memory : array_like
        Depth of metal *moved* after which 1/e of the slopes between 16 and 80 um are still the old ones, ``> 0``. [m]
    removal_coefficient : array_like
        k: metal taken off per newton and metre, ``> 0``. [m2/N]
    groove_coefficient : array_like
        :math:`k_g`: metal moved, ``> 0``; where it is less than k, nothing is ploughed aside. [m2/N]

    Returns
    -------
    numpy.ndarray
        :math:`d_r = m\,\min(k/k_g, 1)`. [m]

    Notes
    -----
    Not the share of points that the pass was the last to touch, which is larger: a skim marks a point and leaves its slope.

    References
    ----------
    grain-simulation.

    Examples
    --------
    >>> float((takeover_depth(texture_memory=1.1e-6, removal_coefficient=1e-11, groove_coefficient=2.2e-10) * 1e6).round(3))
    0.05
    """
    share = positive("removal_coefficient", removal_coefficient) / positive("groove_coefficient", groove_coefficient)
    return np.asarray(positive("texture_memory", texture_memory) * np.minimum(share, 1.0))


def texture_line_gain(*, texture_memory: ArrayLike, moved_per_arc: ArrayLike, active_density: ArrayLike, belt_length: ArrayLike) -> Floats:
    r"""
    Power of the texture lines of a renewed texture over that of the belt's own density :math:`2/(n_aL)`.

    Parameters
    ----------
    texture_memory : array_like
        Depth of metal moved that renews the texture, ``> 0``. [m]
    moved_per_arc : array_like
        Depth of metal moved per length of belt that comes past, :math:`k_g p`, ``> 0``. [-]
    active_density : array_like
        n_a, ``> 0``. [1/m2]
    belt_length : array_like
        L, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        :math:`C^2 = \min(\ell a_r, \ell L)\,n_a/2` with :math:`a_r = m/(k_gp)`. [-]

    Notes
    -----
    The arc :math:`a_r` of the belt replaces the texture once. Rows along the grain that share this arc are copies of each other, so a turn
    of the belt gives the eye :math:`L/a_r` looks, each of which has cells of texture of width :math:`\ell` across. Their mean over the
    turn is the line: a density of :math:`\ell a_r/L`, in which the number of grains no longer stands. It ends at a texture that repeats
    completely. Of the 19 set-ups that are kept
    (median grains of 58 to 201 um, 0.03 to 0.3 MPa, E* of 1.3 to 40 MPa, k of 1e-11 and 3e-11 m2/N; docs/validation-lines) 17 gave 0.85 to
    1.25 of it over pitches of 0.5 to 10 mm, and two 1.5: 0.3 MPa, and a cover of 40 MPa.

    References
    ----------
    derived; grain-simulation for the width of a cell.

    Examples
    --------
    >>> float(texture_line_gain(texture_memory=1.1e-6, moved_per_arc=2.3e-5, active_density=1.9e6, belt_length=0.5).round(2))
    0.36
    """
    arc = positive("texture_memory", texture_memory) / positive("moved_per_arc", moved_per_arc)
    looks = np.minimum(arc, positive("belt_length", belt_length))
    return np.asarray(0.5 * CELL_WIDTH * looks * positive("active_density", active_density))
