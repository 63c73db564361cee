"""Facets of a height map: how the light of its own slopes comes back, in groups of neighbouring samples."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.viewing.ranges import Floats

Heights = NDArray[np.float32] | NDArray[np.float64]

SHORTEST: Final = 16e-6
LONGEST: Final = 80e-6
"""Ends of the optical band: shorter waves belong to the facet spread, longer ones tilt a group as a whole. [m]"""
COARSEST: Final = 0.5 * SHORTEST
"""Widest spacing of samples that still shows the shortest optical wave. [m]"""
FEWEST: Final = 8
"""Samples in a row, at least. [-]"""
STEEPEST: Final = 1.2
"""Largest tilt of the half vector. [rad]"""
FLATTEST: Final = 1e-6
"""Least spread of slopes of a lobe: a perfect mirror has no picture here. [-]"""


@dataclass(frozen=True)
class Lighting:
    """
    Where lamp and eye stand: the half vector between them, against the normal of the face.

    Parameters
    ----------
    tilt_across, tilt_along : float
        Angle of the half vector from the normal, across and along the grain, up to 1.2; across, positive where the flanks that rise along
        a row face it. [rad]
    """

    tilt_across: float
    tilt_along: float = 0.0

    def __post_init__(self) -> None:
        """Refuse grazing light and NaN."""
        for name in ("tilt_across", "tilt_along"):
            if not abs(getattr(self, name)) <= STEEPEST:
                raise ValueError(f"{name} must lie within 1.2 rad of the normal")


@dataclass(frozen=True)
class FacetFinish:
    """
    What the rows of a height map are too coarse to show of its facets.

    Parameters
    ----------
    slope_along : float
        Slope rms along the grain, ``>= 0``. [-]
    facet_spread : float
        Spread of the slopes finer than the optical band, ``>= 0``. [-]
    floor : float
        Light that does not come from the lobe, added, as a share of the lobe's peak, ``>= 0``. [-]
    reference_slope : float, optional
        Slope rms across that sets the peak, ``> 0``; the map's own when not given. [-]
    """

    slope_along: float
    facet_spread: float
    floor: float
    reference_slope: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no finish can be."""
        for name in ("slope_along", "facet_spread", "floor"):
            if not 0.0 <= getattr(self, name) < inf:
                raise ValueError(f"{name} must be >= 0 and finite")
        if self.reference_slope is not None and not 0.0 < self.reference_slope < inf:
            raise ValueError("reference_slope must be > 0 and finite")


@dataclass(frozen=True)
class FacetGroups:
    """
    Slopes across the grain, in groups of neighbouring samples.

    Parameters
    ----------
    tilt : numpy.ndarray
        Mean slope of each group, shape ``(rows, groups)``. [-]
    variance : numpy.ndarray
        Mean square of the slopes about it, same shape. [-]
    width : float
        Of a group. [m]
    row_spacing : float
        [m]
    """

    tilt: Floats
    variance: Floats
    width: float
    row_spacing: float

    @property
    def slope_rms(self) -> float:
        """Root mean square of all slopes about their mean. [-]"""
        return float(np.sqrt(np.mean(self.variance) + np.var(self.tilt)))


def facet_slopes(row: Heights, spacing: float) -> Floats:
    r"""
    Slopes of one row as light meets them.

    Parameters
    ----------
    row : numpy.ndarray
        Heights, shape ``(samples,)``. [m]
    spacing : float
        Between samples, ``> 0``. [m]

    Returns
    -------
    numpy.ndarray
        Slope of the heights without waves shorter than the optical band, shape ``(samples,)``. [-]

    Notes
    -----
    Gaussian filter :math:`2^{-(f\lambda)^2}` with :math:`\lambda` 16 um on the derivative; the row goes on beyond its ends as its own
    image turned about the end point, so that neither height nor slope jumps there.

    References
    ----------
    iso-16610-21.
    """
    line = np.asarray(row, dtype=np.float64)
    count = line.size
    more = min(ceil(2.0 * LONGEST / spacing), count - 1)
    ends = (2.0 * line[0] - line[more:0:-1], line, 2.0 * line[-1] - line[-2 : -more - 2 : -1])
    longer = np.concatenate(ends)
    # Taken off the line through its ends, the row starts and stops at 0: no step to ring where it meets itself.
    steady = (longer[-1] - longer[0]) / (longer.size - 1)
    level = longer - longer[0] - steady * np.arange(longer.size)
    size = _easy(longer.size)
    frequency = np.fft.rfftfreq(size, spacing)
    turn = 2j * np.pi * frequency * 2.0 ** -((frequency * SHORTEST) ** 2)
    slope = np.fft.irfft(np.fft.rfft(level, size) * turn, size)
    return np.asarray(slope[more : more + count] + steady / spacing)


def _easy(count: int) -> int:
    """Length not much above ``count`` that has only factors 2, 3 and 5."""
    best = 1 << (count - 1).bit_length()
    five = 1
    while five < best:
        three = five
        while three < best:
            two = three << max((-(-count // three) - 1).bit_length(), 0)
            best = min(best, two)
            three *= 3
        five *= 5
    return best


def facet_groups(height: Heights, *, spacing: float, row_spacing: float, width: float = LONGEST) -> FacetGroups:
    r"""
    Mean and spread of the slopes in groups of samples.

    Parameters
    ----------
    height : numpy.ndarray
        Heights, shape ``(rows, samples)``, rows across the grain, no missing point. [m]
    spacing : float
        Between samples, at most 8 um. [m]
    row_spacing : float
        Between rows, ``> 0``. [m]
    width : float
        Wanted width of a group, ``> 0``; the longest optical wave unless asked. [m]

    Returns
    -------
    FacetGroups
        A last incomplete group is dropped.

    Raises
    ------
    ValueError
        If points are missing, the spacing is too wide for the optical band, or a row is shorter than a group.

    Notes
    -----
    A group as wide as the longest optical wave splits the slopes about as the band does: its mean is the tilt of the relief, its spread
    the roughness. A few independent slopes make a group, so its spread is itself a chance; summed, that lifts the far flank of the lobe
    by about a tenth. Rows are taken one by one, so memory stays near that of the map.

    References
    ----------
    derived.
    """
    if not (height.ndim == 2 and height.shape[0] >= 1 and height.shape[1] >= FEWEST):
        raise ValueError(f"height must have rows of at least {FEWEST} samples")
    if not 0.0 < spacing <= COARSEST:
        raise ValueError(f"spacing must be > 0 and at most {COARSEST * 1e6:g} um: wider samples do not show the slopes that scatter light")
    if not 0.0 < row_spacing < inf:
        raise ValueError("row_spacing must be > 0 and finite")
    if not spacing <= width < inf:
        raise ValueError("width of a group must be at least one sample and finite")
    points = max(round(width / spacing), 1)
    groups = height.shape[1] // points
    if groups < 1:
        raise ValueError(f"rows are shorter than one group of {points} samples")
    tilt = np.empty((height.shape[0], groups))
    variance = np.empty_like(tilt)
    for row in range(height.shape[0]):
        if not np.all(np.isfinite(height[row])):
            raise ValueError(f"row {row} has missing points; fill them first")
        slopes = facet_slopes(height[row], spacing)[: groups * points].reshape(groups, points)
        tilt[row] = np.mean(slopes, axis=1)
        variance[row] = np.var(slopes, axis=1)
    return FacetGroups(tilt=tilt, variance=variance, width=points * spacing, row_spacing=row_spacing)


def facet_luminance(groups: FacetGroups, *, light: Lighting, material: FacetFinish) -> Floats:
    r"""
    Luminance of each group of facets.

    Parameters
    ----------
    groups : FacetGroups
        Slopes.
    light : Lighting
        Lamp and eye.
    material : FacetFinish
        Slopes along, facet spread, floor.

    Returns
    -------
    numpy.ndarray
        Luminance over the peak of the lobe at the reference, floor included, shape of the groups. [-]

    Raises
    ------
    ValueError
        If slopes and facet spread are all 0: a mirror has no picture in this model.

    Notes
    -----
    :math:`L = \frac{s_0}{s}\exp\!\left[-\frac{(\tan\theta_y - m)^2}{2s^2} - \frac{\tan^2\theta_x}{2s_x^2}\right] + \phi` with
    :math:`s^2 = \sigma^2 + \tau^2` of the group, m its mean slope, :math:`s_x^2 = \sigma_x^2 + \tau^2`, :math:`s_0` the spread at the
    reference. Heights add, so slopes do: m is taken off the slope of the half vector, not its angle. Shadowing, Fresnel's law and the
    factor :math:`\cos^{-4}` of the half vector are the same all over a picture and fall out of contrast. A facet spread as large as
    :math:`s_x` would count twice along; it is small.

    References
    ----------
    ward-1992 (from memory) for the lobe; derived.
    """
    tau = material.facet_spread**2
    spread = groups.variance + tau
    reference = (material.reference_slope or groups.slope_rms) ** 2 + tau
    if not (np.all(spread > FLATTEST**2) and reference > FLATTEST**2):
        raise ValueError("a map without slopes needs a facet_spread > 0")
    along = material.slope_along**2 + tau
    reach = float(np.tan(light.tilt_along))
    if reach != 0.0 and not along > FLATTEST**2:
        raise ValueError("light tilted along the grain needs slope_along or facet_spread > 0")
    damped = float(np.exp(-0.5 * reach * reach / along)) if reach != 0.0 else 1.0
    off = float(np.tan(light.tilt_across)) - groups.tilt
    lobe = np.sqrt(reference / spread) * np.exp(-0.5 * off * off / spread)
    return np.asarray(damped * lobe + material.floor)
