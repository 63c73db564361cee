"""The picture of a height map under light: luminance in picture elements, and the light that shows its lines most."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np

from evenlay.physics.viewing.facets import LONGEST, STEEPEST, FacetFinish, FacetGroups, Heights, Lighting, facet_groups, facet_luminance
from evenlay.physics.viewing.ranges import Floats
from evenlay.physics.viewing.repeating import Repeat, shown_lines

REACH: Final = 3.6
TILTS: Final = 18
"""Largest tilt searched for the worst light over the spread of slopes, and steps to it on either side. [-]"""


@dataclass(frozen=True)
class SurfacePicture:
    """
    A height map as the eye meets it.

    Parameters
    ----------
    luminance : numpy.ndarray
        Mean over each picture element, over the peak of the lobe at the reference, floor included, shape ``(rows, columns)``. [-]
    pixel_across, pixel_along : float
        Size of a picture element. [m]
    """

    luminance: Floats
    pixel_across: float
    pixel_along: float

    @property
    def contrast(self) -> Floats:
        """Luminance over its mean, less 1. [-]"""
        return np.asarray(self.luminance / np.mean(self.luminance) - 1.0)


def surface_picture(
    height: Heights, *, spacing: float, row_spacing: float, pixel: float, light: Lighting, material: FacetFinish
) -> SurfacePicture:
    """
    Picture of a height map under a light.

    Parameters
    ----------
    height : numpy.ndarray
        Heights, shape ``(rows, samples)``, rows across the grain, levelled (the normal is that of height 0), no missing point. [m]
    spacing : float
        Between samples, at most 8 um. [m]
    row_spacing : float
        Between rows, ``> 0``. [m]
    pixel : float
        Wanted size of a picture element, ``>= `` the spacing of samples; along the grain never below the spacing of rows. [m]
    light : Lighting
        Lamp and eye.
    material : FacetFinish
        Slopes along, facet spread, floor.

    Returns
    -------
    SurfacePicture
        Whole picture elements only: a rest at the far ends is left out.

    Raises
    ------
    ValueError
        If the map is smaller than a picture element, points are missing, or the spacing is too wide for the slopes that scatter light.

    Notes
    -----
    Light is worked out for groups of facets 80 um wide, or for a picture element where that is less, and added up over the picture
    element: luminance adds, slopes do not.

    References
    ----------
    ward-1992 (from memory) for the lobe; derived.

    Examples
    --------
    >>> y = np.arange(2000) * 4e-6
    >>> row = 0.09 * 2**0.5 * 40e-6 / (2 * np.pi) * np.sin(2 * np.pi * y / 40e-6)
    >>> face = np.tile(row, (10, 1))
    >>> finish = FacetFinish(slope_along=0.06, facet_spread=0.03, floor=0.05)
    >>> light = Lighting(tilt_across=0.2)
    >>> picture = surface_picture(face, spacing=4e-6, row_spacing=4e-4, pixel=2e-4, light=light, material=finish)
    >>> picture.luminance.shape, round(1e6 * picture.pixel_across), round(1e6 * picture.pixel_along)
    ((10, 40), 200, 400)
    """
    if not spacing <= pixel < inf:
        raise ValueError("pixel must be at least the spacing of samples and finite")
    parts = max(round(pixel / LONGEST), 1)
    groups = facet_groups(height, spacing=spacing, row_spacing=row_spacing, width=max(pixel / parts, spacing))
    return _pictured(facet_luminance(groups, light=light, material=material), groups, parts, max(round(pixel / row_spacing), 1))


def _pictured(luminance: Floats, groups: FacetGroups, across: int, along: int) -> SurfacePicture:
    """Average groups into picture elements."""
    rows, columns = luminance.shape[0] // along, luminance.shape[1] // across
    if rows < 1 or columns < 1:
        raise ValueError("the map is smaller than one picture element")
    blocks = luminance[: rows * along, : columns * across].reshape(rows, along, columns, across)
    return SurfacePicture(
        luminance=np.asarray(np.mean(blocks, axis=(1, 3))),
        pixel_across=across * groups.width,
        pixel_along=along * groups.row_spacing,
    )


def worst_lighting(
    height: Heights, *, spacing: float, row_spacing: float, material: FacetFinish, distance: float, repeat: float
) -> Lighting:
    """
    Light at which the lines of a height map show most.

    Parameters
    ----------
    height : numpy.ndarray
        Heights, shape ``(rows, samples)``, rows across the grain, levelled (the normal is that of height 0), no missing point. [m]
    spacing : float
        Between samples, at most 8 um. [m]
    row_spacing : float
        Between rows, ``> 0``. [m]
    material : FacetFinish
        Slopes along, facet spread, floor; the floor must be ``> 0``, or the darkest light would win for want of anything else.
    distance : float
        Eye to face, ``> 0``. [m]
    repeat : float
        Length along the grain after which the belt comes round, ``> 0``; infinite when nothing repeats. [m]

    Returns
    -------
    Lighting
        Tilt across the grain, of either sign. Where the map is shorter than two repeats, the light is sought at which the mean along
        the whole map shows most, unmasked.

    Raises
    ------
    ValueError
        If an input is out of range, or there is no floor.

    Notes
    -----
    Tilts in steps of a fifth of the spread of slopes, up to 3.6 of it on both sides.

    References
    ----------
    derived.
    """
    if not material.floor > 0.0:
        raise ValueError("the worst light needs a floor > 0")
    groups = facet_groups(height, spacing=spacing, row_spacing=row_spacing)
    spread = float(np.hypot(groups.slope_rms, material.facet_spread))
    lines = Repeat(pixel_across=groups.width, pixel_along=row_spacing, repeat=repeat, distance=distance)
    best, seen = Lighting(0.0), -inf
    for step in range(-TILTS, TILTS + 1):
        light = Lighting(float(np.clip(np.arctan(step * REACH / TILTS * spread), -STEEPEST, STEEPEST)))
        luminance = facet_luminance(groups, light=light, material=material)
        shown = shown_lines(np.asarray(luminance / np.mean(luminance) - 1.0), lines)
        if shown > seen:
            best, seen = light, shown
    return best
