"""Light on drawn and measured surfaces: one light, one finish, one exposure for all that lie side by side."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.decisions.situation import Setup, Unknowns
from evenlay.job.answer_parts import Number
from evenlay.job.sample_record import SampleLines
from evenlay.physics.surface_numbers.reading import rows_across
from evenlay.physics.surface_numbers.spectrum import bridged
from evenlay.physics.surface_numbers.surface import Surface
from evenlay.physics.viewing.facets import COARSEST, LONGEST, FacetFinish, Lighting, facet_groups
from evenlay.physics.viewing.picture import surface_picture, worst_lighting
from evenlay.physics.viewing.repeating import repeating_visibility

Floats = NDArray[np.float64]
Heights = NDArray[np.float32] | NDArray[np.float64]

INCH: Final = 0.0254
FEWEST_ELEMENTS: Final = 16
"""Picture elements across a surface that is drawn, at least. [-]"""


@dataclass(frozen=True, eq=False)
class Mapped:
    """A height map, rows across the grain: spacing of samples and of rows [m]."""

    height: Heights
    samples: float
    rows: float


@dataclass(frozen=True, eq=False)
class Pictured:
    """
    A surface as it is drawn.

    ``luminance`` shape (across, along), square picture elements of ``pixel`` [m]: the grain runs from left to right.
    ``title`` stands over it where several lie side by side; ``caption`` under it.
    """

    title: str
    caption: str
    luminance: Floats
    pixel: float


def finish_of(unknowns: Unknowns, *, reference: Mapped) -> FacetFinish:
    """Finish of all surfaces of a sheet: what rows do not show, and one peak of the lobe for all."""
    return FacetFinish(
        slope_along=float(unknowns.slope_along[0]),
        facet_spread=float(unknowns.facet_spread[0]),
        floor=float(unknowns.luminance_floor[0]),
        reference_slope=facet_groups(reference.height, spacing=reference.samples, row_spacing=reference.rows).slope_rms,
    )


def light_for(tilt: float | None, setup: Setup, mapped: Mapped, finish: FacetFinish, repeat: float) -> tuple[Lighting, bool]:
    """
    Light as asked, as the job's lamp stands, or else as it shows the lines of a map most.

    Parameters
    ----------
    tilt : float or None
        As asked. [rad]
    setup : Setup
    mapped : Mapped
        For which it is searched.
    finish : FacetFinish
    repeat : float
        Length after which the belt comes round. [m]

    Returns
    -------
    tuple
        The light, and whether it was searched.
    """
    if tilt is None and not isnan(setup.lamp_tilt):
        tilt = setup.lamp_tilt
    if tilt is not None:
        return Lighting(tilt), False
    found = worst_lighting(
        mapped.height, spacing=mapped.samples, row_spacing=mapped.rows, material=finish, distance=setup.distance, repeat=repeat
    )
    return found, True


def lines_of(mapped: Mapped, *, light: Lighting, finish: FacetFinish, repeat: float, distance: float, closed: Number | None) -> SampleLines:
    """Visibility of what repeats in a map, with its control, beside the closed form's."""
    picture = surface_picture(mapped.height, spacing=mapped.samples, row_spacing=mapped.rows, pixel=LONGEST, light=light, material=finish)
    if picture.luminance.shape[1] < FEWEST_ELEMENTS:
        raise ValueError("the piece is too narrow for the eye model")
    seen = repeating_visibility(
        picture.contrast, pixel_across=picture.pixel_across, pixel_along=picture.pixel_along, repeat=repeat, distance=distance
    )
    told = seen.blocks > 0
    return SampleLines(
        simulated=seen.visibility,
        control=seen.control,
        found=seen.found,
        turns=seen.blocks,
        half_rows=None if isnan(seen.half_rows) else seen.half_rows,
        closed_form=closed,
        ratio=seen.visibility / closed.value if told and closed is not None and closed.value > 0.0 else None,
    )


def drawn_luminance(mapped: Mapped, *, light: Lighting, finish: FacetFinish, dpi: int) -> tuple[Floats, float]:
    """
    Luminance in the square picture elements of a print at true scale.

    Parameters
    ----------
    mapped : Mapped
    light : Lighting
    finish : FacetFinish
    dpi : int
        Dots per inch of the print.

    Returns
    -------
    tuple
        Shape (across, along), and the size of an element [m].

    Notes
    -----
    Light is worked out on the rows that were cut; between rows, which share nearly all of their grains, it runs straight.
    """
    pixel = INCH / dpi
    picture = surface_picture(
        mapped.height, spacing=mapped.samples, row_spacing=mapped.rows, pixel=max(pixel, mapped.samples), light=light, material=finish
    )
    rows, columns = picture.luminance.shape
    across = np.minimum(np.arange(round(columns * picture.pixel_across / pixel)) * pixel / picture.pixel_across, columns - 1).astype(int)
    wanted = (np.arange(round(rows * picture.pixel_along / pixel)) + 0.5) * pixel / picture.pixel_along - 0.5
    at = np.clip(wanted, 0.0, rows - 1.0)
    low = np.minimum(at.astype(int), max(rows - 2, 0))
    share = (at - low)[:, None]
    high = np.minimum(low + 1, rows - 1)
    kept = picture.luminance[:, across]
    return np.ascontiguousarray((kept[low] * (1.0 - share) + kept[high] * share).T), pixel


def measured_map(surface: Surface, *, dpi: int) -> tuple[Mapped | None, str]:
    """
    A measured surface as it can be drawn: rows across its grain, holes bridged, its tilt taken out.

    Parameters
    ----------
    surface : Surface
    dpi : int
        Of the print.

    Returns
    -------
    tuple
        The map, or None and the reason.
    """
    if surface.is_trace:
        return None, "it is a trace, which has no picture: its numbers alone are compared"
    across = rows_across(surface)
    if across.spacing > COARSEST * (1.0 + 1e-9):
        return None, (
            f"its points lie {across.spacing * 1e6:.3g} µm apart across the grain; the slopes that scatter light need "
            f"{COARSEST * 1e6:g} µm or finer: its numbers alone are compared"
        )
    height = bridged(across.height)
    size = (height.shape[1] * across.spacing, height.shape[0] * across.row_spacing)
    if height.shape[0] < 2 or min(size) < FEWEST_ELEMENTS * max(INCH / dpi, LONGEST):
        return None, "it is too small for a picture at this scale, or most of its points are missing: its numbers alone are compared"
    return Mapped(_levelled(height), across.spacing, across.row_spacing), ""


def _levelled(height: Floats) -> Floats:
    """Heights over their plane."""
    rows, columns = height.shape
    down, right = np.linspace(-1.0, 1.0, rows), np.linspace(-1.0, 1.0, columns)
    rest = height - np.mean(height)
    slope_down = np.sum(np.mean(rest, axis=1) * down) / np.sum(down * down)
    slope_right = np.sum(np.mean(rest, axis=0) * right) / np.sum(right * right)
    return np.asarray(rest - slope_down * down[:, None] - slope_right * right[None, :])
