"""What a picture of a measured surface needs: map, one row with its mean line, spectra and the spacings found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.surface_numbers import Surface, SurfaceNumbers, rows_across
from evenlay.physics.surface_numbers.filters import gaussian_mean, levelled
from evenlay.physics.surface_numbers.pitches import FINEST
from evenlay.physics.surface_numbers.spectrum import Spectrum

Floats = NDArray[np.float64]

MOST_ACROSS: Final = 1200
"""Columns and rows of a map that are drawn, evenly chosen. [-]"""

MOST_POINTS: Final = 6000
"""Points of a curve that are drawn. [-]"""


@dataclass(frozen=True, eq=False)
class Curve:
    """A curve to draw: positions and values, shape ``(n,)``; and where it is marked, with words."""

    x: Floats
    y: Floats
    marks: tuple[tuple[float, float, str], ...] = ()


@dataclass(frozen=True, eq=False)
class SurfaceView:
    """
    Arrays of a picture.

    Parameters
    ----------
    title : str
        File or source.
    map : numpy.ndarray or None
        Levelled heights, thinned; None for a trace. [m]
    size : tuple of float
        Length along x and along y. [m]
    row, mean_line : Curve
        One row across the grain, levelled, and its long waves by the cut-off used. [m]
    across, along : Curve or None
        Spectrum over pitch [m], as rms height of the waves between a pitch and 1.1 times it [m], with spacings marked.
    words : str
        What the row is.
    unnamed : str
        Why no spacing is marked; empty where one is.
    """

    title: str
    map: Floats | None
    size: tuple[float, float]
    row: Curve
    mean_line: Curve
    across: Curve | None
    along: Curve | None
    words: str
    unnamed: str


def surface_view(surface: Surface, found: SurfaceNumbers) -> SurfaceView:
    """
    What is drawn of a surface and what was read off it.

    Parameters
    ----------
    surface : Surface
    found : SurfaceNumbers

    Returns
    -------
    SurfaceView
    """
    rows = rows_across(surface)
    whole = np.argsort(np.count_nonzero(np.isnan(rows.height), axis=1), kind="stable")
    lacking = np.count_nonzero(np.isnan(rows.height[whole[0]]))
    middle = rows.height.shape[0] // 2
    chosen = middle if np.count_nonzero(np.isnan(rows.height[middle])) == lacking else int(whole[0])
    line = levelled(rows.height[chosen])
    mean = gaussian_mean(line, spacing=rows.spacing, cutoff=found.setting.cutoff)
    x = np.arange(line.size) * rows.spacing
    thin = slice(None, None, max(1, -(-line.size // MOST_POINTS)))
    drawn = None
    if not surface.is_trace:
        steps = [max(1, -(-points // MOST_ACROSS)) for points in surface.height.shape]
        drawn = levelled(surface.height[:: steps[0], :: steps[1]])
    return SurfaceView(
        title=surface.source,
        map=drawn,
        size=(surface.length_x, surface.length_y),
        row=Curve(x[thin], line[thin]),
        mean_line=Curve(x[thin], mean[thin]),
        across=_spectrum(found.spectrum_across, found, "across"),
        along=_spectrum(found.spectrum_along, found, "along"),
        words="the trace" if surface.is_trace else f"row {chosen + 1} of {rows.height.shape[0]} {rows.direction}",
        unnamed=_unnamed(found),
    )


def _unnamed(found: SurfaceNumbers) -> str:
    if found.pitches_across or found.pitches_along:
        return ""
    short = found.no_pitches_across or found.no_pitches_along
    return "too short to name spacings" if short else f"no spacing of {FINEST * 1e3:g} mm or more stands out"


def _spectrum(spectrum: Spectrum | None, found: SurfaceNumbers, direction: str) -> Curve | None:
    """Rms height in steps of a tenth of pitch: a lone sine shows its own rms, noise what it holds."""
    if spectrum is None:
        return None
    ratio = 1.1
    edges = (
        float(spectrum.frequency[0])
        * 0.999
        * ratio ** np.arange(np.log(spectrum.frequency[-1] / spectrum.frequency[0]) / np.log(ratio) + 2)
    )
    place = np.searchsorted(edges, spectrum.frequency) - 1
    power = np.bincount(place, weights=spectrum.density * spectrum.step, minlength=edges.size)
    counted = np.bincount(place, minlength=edges.size) > 0
    pitch = 1.0 / (edges * np.sqrt(ratio))
    level = np.sqrt(power)
    pitches = found.pitches_along if direction == "along" else found.pitches_across
    marks = tuple(
        (each.pitch, float(np.interp(np.log(each.pitch), np.log(pitch[counted][::-1]), level[counted][::-1])), f"{each.pitch * 1e3:.3g} mm")
        for each in pitches[:6]
    )
    return Curve(pitch[counted][::-1], level[counted][::-1], marks)
