"""Everything that is read off one surface: profiles across the grain, the map, bands, spacings, slopes for the light."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.surface_numbers.areal_numbers import areal_numbers
from evenlay.physics.surface_numbers.numbers import Found, SurfaceNumbers, told
from evenlay.physics.surface_numbers.pitches import length_for_pitches, pitches
from evenlay.physics.surface_numbers.profile_numbers import SLOPE_SPACING, chosen_rows, consistent_setting, pieces, profile_numbers
from evenlay.physics.surface_numbers.settings import Edition, Setting, setting, setting_for
from evenlay.physics.surface_numbers.spectrum import (
    BANDS,
    OPTICAL_BAND,
    OPTICAL_WAVES,
    Spectrum,
    band_amplitudes,
    bridged,
    height_spectrum,
    optical_slope,
)
from evenlay.physics.surface_numbers.surface import Grain, Surface
from evenlay.quantities.remarks import Remark

Floats = NDArray[np.float64]

USUAL: Final = 0.8e-3
"""Cut-off where none is consistent: that of Ra from 0.1 to 2 um. [m]"""


@dataclass(frozen=True)
class Rows:
    """
    A surface as rows across its grain.

    Parameters
    ----------
    height : numpy.ndarray
        Shape ``(k, n)``: one row for each place along the grain. [m]
    spacing : float
        Between the points of a row. [m]
    row_spacing : float
        From row to row, along the grain; 0 for a trace. [m]
    direction : str
        What the rows run along, in words.
    """

    height: Floats
    spacing: float
    row_spacing: float
    direction: str


def rows_across(surface: Surface) -> Rows:
    r"""
    Rows across the grain; where its direction is not said, across the direction in which heights change less.

    Parameters
    ----------
    surface : Surface

    Returns
    -------
    Rows
        A trace as it is: it has one direction only.

    Notes
    -----
    Where the direction is not known, the mean square difference of heights at equal distance (the larger of the two spacings) is compared
    along x and along y.

    Examples
    --------
    >>> grooves = Surface(np.tile([0.0, 1e-6], (5, 4)), spacing_x=1e-5, spacing_y=1e-5)
    >>> rows_across(grooves).direction
    'across the grain, which runs along y by its look'
    """
    if surface.is_trace:
        said = {"x": "along the grain", "y": "across the grain", "": "along the trace, its grain not known"}[surface.along]
        return Rows(surface.height, surface.spacing_x, 0.0, said)
    along, found = surface.along, ""
    if not along:
        along, found = _smoother(surface), " by its look"
    words = f"across the grain, which runs along {along}{found}"
    if along == "y":
        return Rows(surface.height, surface.spacing_x, surface.spacing_y, words)
    return Rows(np.ascontiguousarray(surface.height.T), surface.spacing_y, surface.spacing_x, words)


def _smoother(surface: Surface) -> Grain:
    """Axis along which heights change less over equal distances."""
    far = max(surface.spacing_x, surface.spacing_y)
    lag_x = min(max(round(far / surface.spacing_x), 1), surface.height.shape[1] - 1)
    lag_y = min(max(round(far / surface.spacing_y), 1), surface.height.shape[0] - 1)
    over_x = (surface.height[:, lag_x:] - surface.height[:, :-lag_x]) ** 2
    over_y = (surface.height[lag_y:] - surface.height[:-lag_y]) ** 2
    means = [float(np.mean(each[np.isfinite(each)])) if np.any(np.isfinite(each)) else 0.0 for each in (over_x, over_y)]
    return "x" if means[0] < means[1] else "y"


def surface_numbers(
    surface: Surface,
    *,
    edition: Edition = "ISO 21920-3:2021",
    upper_limit: float | None = None,
    cutoff: float | None = None,
    periodic: bool = False,
) -> SurfaceNumbers:
    r"""
    All numbers of a surface, by the edition asked.

    Parameters
    ----------
    surface : Surface
        Drawn or measured, map or trace.
    edition : str
        ``"ISO 21920-3:2021"`` (in force) or ``"ISO 4288:1996"``.
    upper_limit : float, optional
        Largest Ra allowed: it sets the cut-off by ISO 21920-3, and by ISO 4288 too, if the reading is not to decide. ``> 0``. [m]
    cutoff : float, optional
        Cut-off where it is agreed; goes before everything else. [m]
    periodic : bool
        Whether the profile repeats, so that ISO 4288 goes by RSm.

    Returns
    -------
    SurfaceNumbers
        Numbers that the surface cannot support are there without a value and with the reason.

    Raises
    ------
    ValueError
        If the cut-off, limit or edition is not one of the standards', or every row misses more than a tenth of its points.

    References
    ----------
    iso-4287; iso-4288; iso-21920-2; iso-21920-3; iso-25178-2.

    Examples
    --------
    >>> from evenlay.physics.surface_numbers.surface import trace
    >>> x = np.arange(1200) * 1e-6
    >>> short = surface_numbers(trace(1e-6 * np.sin(2.0 * np.pi * x / 1e-4), spacing=1e-6, along="y"), cutoff=0.25e-3)
    >>> [(each.symbol, each.reason[:30]) for each in short.numbers if each.symbol in ("Ra", "Rsk")]
    [('Ra', ''), ('Rsk', '3 of 5 sections are there: the')]
    """
    across = rows_across(surface)
    rows = chosen_rows(across.height)
    remarks: list[Remark] = []
    used = _setting(rows, across.spacing, edition, upper_limit, cutoff, periodic, remarks)
    found = profile_numbers(rows, spacing=across.spacing, used=used)
    held = pieces(rows, spacing=across.spacing, used=used).shape[:2]
    values, reasons = dict(found.values), dict(found.reasons)
    if not surface.is_trace:
        areal = areal_numbers(surface.height, spacing_x=surface.spacing_x, spacing_y=surface.spacing_y, used=used)
        values |= areal.values
        reasons |= areal.reasons
    spectrum = _spectrum(across.height, across.spacing)
    mean = None if surface.is_trace else _spectrum(_persistent(across.height), across.spacing)
    along = None if surface.is_trace else _spectrum(across.height.T, across.row_spacing)
    trace_along = surface.is_trace and surface.along == "x"
    _optical(spectrum, "slope_along" if trace_along else "slope_across", values, reasons)
    if not surface.is_trace:
        _optical(along, "slope_along", values, reasons)
    _remarks(surface, across, held, used, remarks)
    none: tuple[None, ...] = (None,) * len(BANDS)
    lines = spectrum if mean is None else mean
    found_lines = () if lines is None else pitches(lines)
    return SurfaceNumbers(
        setting=used,
        direction=across.direction,
        profiles=int(held[0]),
        sections=int(held[1]) if held[0] else 0,
        numbers=told(Found(values, reasons), edition=edition),
        bands=none if spectrum is None or trace_along else band_amplitudes(spectrum),
        persistent_bands=none if mean is None else band_amplitudes(mean),
        pitches_across=() if trace_along else found_lines,
        pitches_along=found_lines if trace_along else (() if along is None else pitches(along)),
        no_pitches_across="" if trace_along else _unsearched(lines),
        no_pitches_along=_unsearched(lines) if trace_along else ("" if surface.is_trace else _unsearched(along)),
        spectrum_across=None if trace_along else spectrum,
        spectrum_along=spectrum if trace_along else along,
        remarks=tuple(remarks),
    )


def _setting(
    rows: Floats,
    spacing: float,
    edition: Edition,
    upper_limit: float | None,
    cutoff: float | None,
    periodic: bool,
    remarks: list[Remark],
) -> Setting:
    """Setting by what was agreed, by the limit, or by the reading itself."""
    if cutoff is not None:
        return setting(cutoff, edition=edition)
    if upper_limit is not None:
        return setting_for("Ra", upper_limit, edition=edition)
    used = consistent_setting(rows, spacing=spacing, edition=edition, periodic=periodic)
    if used is None:
        used = setting(USUAL, edition=edition)
        message = f"No cut-off of {edition} fits what it reads; {USUAL * 1e3:g} mm is taken. Give the cut-off, or a longer trace."
        remarks.append(Remark("cutoff-not-found", "caution", message, edition))
    elif edition == "ISO 21920-3:2021":
        message = (
            f"{edition} takes the cut-off from the tolerance limit. None was given: {used.cutoff * 1e3:g} mm is the one whose class "
            "holds what was read. Give the limit for Ra where there is one."
        )
        remarks.append(Remark("cutoff-by-reading", "note", message, edition))
    return used


def _spectrum(rows: Floats, spacing: float) -> Spectrum | None:
    """Spectrum of the rows, or None where they are too short or too full of holes."""
    try:
        return height_spectrum(rows, spacing=spacing)
    except ValueError:
        return None


def _unsearched(spectrum: Spectrum | None) -> str:
    """Why no spacing can be looked for in a spectrum; empty where it can."""
    if spectrum is None:
        return "too few points in a row for a spectrum"
    needed = length_for_pitches(spacing=spectrum.spacing)
    if spectrum.length >= needed * (1.0 - 1e-9):
        return ""
    return f"{spectrum.length * 1e3:.3g} mm are too short: {needed * 1e3:.3g} mm at least"


def _persistent(rows: Floats) -> Floats:
    """Mean of the levelled rows: what goes on along the whole map."""
    whole = bridged(rows)
    place = np.linspace(-1.0, 1.0, whole.shape[1])
    tilt = np.sum(whole * place, axis=1) / np.sum(place * place)
    return np.asarray(np.mean(whole - np.mean(whole, axis=1)[:, None] - tilt[:, None] * place, axis=0))


def _optical(spectrum: Spectrum | None, symbol: str, values: dict[str, Floats], reasons: dict[str, str]) -> None:
    if spectrum is None:
        reasons[symbol] = "too few points in a row for a spectrum"
    elif spectrum.spacing > SLOPE_SPACING * (1.0 + 1e-9):
        reasons[symbol] = f"points {spectrum.spacing * 1e6:.3g} µm apart are too far for a slope: {SLOPE_SPACING * 1e6:g} µm at most"
    elif spectrum.length < OPTICAL_WAVES * OPTICAL_BAND[1] * (1.0 - 1e-9):
        need = OPTICAL_WAVES * OPTICAL_BAND[1]
        reasons[symbol] = (
            f"{spectrum.length * 1e3:.3g} mm are too short for waves up to {OPTICAL_BAND[1] * 1e6:g} µm: {need * 1e3:g} mm at least"
        )
    else:
        values[symbol] = np.array([optical_slope(spectrum)])


def _remarks(surface: Surface, across: Rows, shape: tuple[int, ...], used: Setting, remarks: list[Remark]) -> None:
    source = used.edition
    if shape[0] and shape[1] < used.sections:
        message = (
            f"{shape[1]} of {used.sections} sections of {used.section_length * 1e3:g} mm fit: Ra and Rz scatter more than the standard "
            f"means them to. Take {used.traversing_length * 1e3:g} mm or more."
        )
        remarks.append(Remark("trace-short", "caution", message, source))
    if across.spacing > used.spacing * (1.0 + 1e-9):
        message = (
            f"Points lie {across.spacing * 1e6:.3g} µm apart; {used.spacing * 1e6:g} µm belong to this cut-off. Slopes and peak "
            "heights come out lower; compare only with surfaces of the same spacing."
        )
        remarks.append(Remark("points-coarse", "note", message, "ISO 3274:1996"))
    if surface.missing:
        share = surface.missing / surface.height.size
        message = (
            f"{surface.missing} points ({share:.1%}) were not measured. Rows that miss more than a tenth are left out of profiles, "
            "smaller holes are bridged there with straight lines; areal numbers leave the points out."
        )
        remarks.append(Remark("points-missing", "note" if share < 0.05 else "caution", message, "common practice, no source"))
    if surface.is_trace and surface.along != "y":
        where = "along the grain" if surface.along == "x" else "in a direction that is not known"
        message = f"The trace runs {where}; roughness numbers mean across the grain. Measure across it."
        remarks.append(Remark("trace-not-across", "caution", message, source))
    if not surface.is_trace and not surface.along:
        remarks.append(Remark("grain-by-look", "note", f"Profiles run {across.direction}. Say the direction if that is wrong.", "derived"))
