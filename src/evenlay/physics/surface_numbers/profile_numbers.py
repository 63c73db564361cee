"""The R numbers of rows across the grain: filtered, cut into evaluation lengths, each read by the edition asked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.surface_numbers.filters import gaussian_mean, levelled
from evenlay.physics.surface_numbers.heights import kurtosis, mean_deviation, rms_deviation, skewness, slopes
from evenlay.physics.surface_numbers.material import FEWEST, core, valley_suppressed
from evenlay.physics.surface_numbers.numbers import Found
from evenlay.physics.surface_numbers.profile import HEIGHT_DISCRIMINATION, extremes, mean_spacing
from evenlay.physics.surface_numbers.settings import CUTOFFS, TOPS, Edition, Setting, setting, setting_for
from evenlay.physics.surface_numbers.spectrum import OPTICAL_BAND, bridged

Floats = NDArray[np.float64]

MOST_ROWS: Final = 64
"""Rows that are read, evenly chosen."""

SLOPE_SPACING: Final = OPTICAL_BAND[0] / 2.0
"""Largest spacing at which a slope is told. [m]"""

FEWEST_ELEMENTS: Final = 5
"""Profile elements that a mean width needs (ours)."""

FEWEST_POINTS: Final = 7
"""Points that a section needs to be read at all (ours)."""

CORE_SYMBOLS: Final = ("Rk", "Rpk", "Rvk", "Rmrk1", "Rmrk2")


def chosen_rows(rows: Floats) -> Floats:
    """
    Rows that are read: at most 64, evenly chosen, each levelled and its few holes bridged.

    Parameters
    ----------
    rows : numpy.ndarray
        Shape ``(ny, n)``; NaN where nothing was measured. [m]

    Returns
    -------
    numpy.ndarray
        Shape ``(k, n)``. [m]

    Raises
    ------
    ValueError
        If every row misses more than a tenth of its points.

    Examples
    --------
    >>> chosen_rows(np.zeros((1000, 4))).shape
    (64, 4)
    """
    whole = bridged(rows)
    if whole.shape[0] > MOST_ROWS:
        whole = whole[np.round(np.linspace(0, whole.shape[0] - 1, MOST_ROWS)).astype(np.int64)]
    return np.stack([levelled(row) for row in whole])


def pieces(rows: Floats, *, spacing: float, used: Setting, two_step: bool = False) -> Floats:
    r"""
    Roughness of rows in evaluation lengths.

    Parameters
    ----------
    rows : numpy.ndarray
        Levelled, without missing points, shape ``(k, n)``. [m]
    spacing : float
        Distance between points, ``> 0``. [m]
    used : Setting
        Cut-off, lengths and short-wave limit.
    two_step : bool
        Whether the mean line is that of `valley_suppressed`.

    Returns
    -------
    numpy.ndarray
        Shape ``(m, sections, points)``: as many whole evaluation lengths as a row holds, or, where it holds none, one of fewer
        sections. Half a cut-off is left out at either end. Empty where not one section is left. [m]

    Notes
    -----
    The short-wave filter is used only where points lie no further apart than half its limit.

    Examples
    --------
    >>> usual = setting(0.8e-3)
    >>> pieces(np.zeros((2, 20001)), spacing=1e-6, used=usual).shape, pieces(np.zeros((2, 2001)), spacing=1e-6, used=usual).shape
    ((8, 5, 800), (2, 1, 800))
    """
    fine = gaussian_mean(rows, spacing=spacing, cutoff=used.short_wave) if spacing <= 0.5 * used.short_wave else rows
    if two_step:
        rough = valley_suppressed(fine, spacing=spacing, cutoff=used.cutoff)
    else:
        rough = fine - gaussian_mean(fine, spacing=spacing, cutoff=used.cutoff)
    run_in = int(np.ceil(0.5 * used.cutoff / spacing - 1e-9))
    each = round(used.section_length / spacing)
    whole = max(rows.shape[1] - 2 * run_in, 0) // each if each else 0
    if whole == 0:
        return np.empty((0, 1, max(each, 1)))
    in_piece = used.sections if whole >= used.sections else whole
    per_row = whole // in_piece
    kept = rough[:, run_in : run_in + per_row * in_piece * each]
    return kept.reshape(rows.shape[0] * per_row, in_piece, each)


def _averaged(piece: Floats, edition: Edition, number: Callable[[Floats], float]) -> float:
    """A number of a piece: the mean over its sections by ISO 4287, of the whole by ISO 21920-2."""
    if edition == "ISO 4288:1996":
        return float(np.mean([number(section) for section in piece]))
    return number(piece)


def profile_numbers(rows: Floats, *, spacing: float, used: Setting) -> Found:
    r"""
    R numbers of rows.

    Parameters
    ----------
    rows : numpy.ndarray
        As `chosen_rows` gives them, shape ``(k, n)``. [m]
    spacing : float
        Distance between points, ``> 0``. [m]
    used : Setting
        Edition, cut-off, lengths and short-wave limit.

    Returns
    -------
    Found
        Shape numbers (Rsk, Rku, the Rk family) and Rt only of whole evaluation lengths; Rdq only where points lie close enough.
        Of one piece Ra, Rq, Rz, Rp and Rv carry their sections' values instead of their mean.

    Notes
    -----
    By ISO 4287 Ra, Rq, Rsk, Rku, Rdq are means over the five sampling lengths; by ISO 21920-2 they are of the evaluation length. Rz, Rp
    and Rv are means over the sections in both, Rt is of the evaluation length in both. The Rk family takes the two-step filter of
    ISO 13565-1 with the older edition and the plain one with the newer, for which a robust filter may be asked instead: not built.

    References
    ----------
    iso-4287; iso-13565-1; iso-13565-2; iso-21920-2.

    Examples
    --------
    >>> x = np.arange(5001) * 1e-6
    >>> found = profile_numbers(1e-6 * np.sin(2.0 * np.pi * x / 1e-4)[None, :], spacing=1e-6, used=setting(0.8e-3))
    >>> [round(float(np.mean(found.values[each])) * 1e6, 3) for each in ("Ra", "Rq", "Rz", "RSm")]
    [0.636, 0.707, 1.999, 100.0]
    """
    cut = pieces(rows, spacing=spacing, used=used)
    values: dict[str, list[float]] = {}
    reasons: dict[str, str] = {}
    if cut.shape[0] == 0:
        short = (
            f"{rows.shape[1] * spacing * 1e3:.3g} mm are too short: one section of {used.section_length * 1e3:g} mm and as much for the "
            f"filter need {(used.section_length + used.cutoff) * 1e3:g} mm"
        )
        symbols = ("Ra", "Rq", "Rp", "Rv", "Rz", "Rt", "RSm", "Rsk", "Rku", "Rdq", *CORE_SYMBOLS)
        return Found({}, dict.fromkeys(symbols, short))
    edition, count = used.edition, cut.shape[1]
    simple = {"Ra": mean_deviation, "Rq": rms_deviation}
    for symbol, number in simple.items():
        values[symbol] = [_averaged(piece, edition, number) for piece in cut]
    found = [extremes(piece.ravel(), count=count) for piece in cut]
    for symbol in ("Rp", "Rv", "Rz"):
        values[symbol] = [getattr(each, symbol) for each in found]
    if cut.shape[0] == 1 and count > 1:
        ones = [extremes(section, count=1) for section in cut[0]]
        values |= {symbol: [getattr(each, symbol) for each in ones] for symbol in ("Rp", "Rv", "Rz")}
        if edition == "ISO 4288:1996":
            values |= {symbol: [number(section) for section in cut[0]] for symbol, number in simple.items()}
    _slope(cut, spacing, edition, values, reasons)
    _widths(cut, spacing, used, values, reasons)
    if count < used.sections:
        few = (
            f"{count} of {used.sections} sections are there: the evaluation length of {used.evaluation_length * 1e3:g} mm and half a "
            f"cut-off at either end need {used.traversing_length * 1e3:g} mm"
        )
        reasons |= dict.fromkeys(("Rt", "Rsk", "Rku", *CORE_SYMBOLS), few)
    else:
        values["Rt"] = [each.Rt for each in found]
        _shape(cut, edition, values, reasons)
        _core(rows, spacing, used, values, reasons)
    return Found({symbol: np.asarray(each) for symbol, each in values.items()}, reasons)


def _slope(cut: Floats, spacing: float, edition: Edition, values: dict[str, list[float]], reasons: dict[str, str]) -> None:
    if spacing > SLOPE_SPACING * (1.0 + 1e-9):
        reasons["Rdq"] = f"points {spacing * 1e6:.3g} µm apart are too far for a slope: {SLOPE_SPACING * 1e6:g} µm at most"
        return
    # Slopes are taken across the ends of the sections: each section alone would lose six points, where a wave in step is steepest.
    steepness = np.full((cut.shape[0], cut.shape[1] * cut.shape[2]), np.nan)
    steepness[:, 3:-3] = slopes(cut.reshape(steepness.shape), spacing=spacing)
    values["Rdq"] = [
        _averaged(piece, edition, lambda each: float(np.sqrt(np.nanmean(each * each)))) for piece in steepness.reshape(cut.shape)
    ]


def _widths(cut: Floats, spacing: float, used: Setting, values: dict[str, list[float]], reasons: dict[str, str]) -> None:
    widths, number = [], 0.0
    for piece in cut:
        line = piece.ravel()
        threshold = HEIGHT_DISCRIMINATION * extremes(line, count=piece.shape[0]).Rz
        try:
            found = mean_spacing(line, spacing=spacing, section_length=used.section_length, threshold=threshold)
        except ValueError:
            continue
        widths.append(found.RSm)
        number += found.number
    if number < FEWEST_ELEMENTS:
        reasons["RSm"] = f"{number:g} whole profile elements are too few for a mean width: {FEWEST_ELEMENTS} at least"
    else:
        values["RSm"] = widths


def _shape(cut: Floats, edition: Edition, values: dict[str, list[float]], reasons: dict[str, str]) -> None:
    for symbol, number in {"Rsk": skewness, "Rku": kurtosis}.items():
        try:
            values[symbol] = [_averaged(piece, edition, number) for piece in cut]
        except ValueError as flat:
            reasons[symbol] = str(flat)


def _core(rows: Floats, spacing: float, used: Setting, values: dict[str, list[float]], reasons: dict[str, str]) -> None:
    cut = pieces(rows, spacing=spacing, used=used, two_step=used.edition == "ISO 4288:1996")
    if cut[0].size < FEWEST:
        reasons |= dict.fromkeys(CORE_SYMBOLS, f"{cut[0].size} heights are too few for a material ratio curve: {FEWEST} at least")
        return
    found = [core(piece) for piece in cut]
    values["Rk"] = [each.core_height for each in found]
    values["Rpk"] = [each.hill_height for each in found]
    values["Rvk"] = [each.dale_depth for each in found]
    values["Rmrk1"] = [each.hill_ratio for each in found]
    values["Rmrk2"] = [each.dale_ratio for each in found]


def consistent_setting(rows: Floats, *, spacing: float, edition: Edition, periodic: bool = False) -> Setting | None:
    r"""
    Cut-off whose own reading falls into its class.

    Parameters
    ----------
    rows : numpy.ndarray
        As `chosen_rows` gives them, shape ``(k, n)``. [m]
    spacing : float
        Distance between points, ``> 0``. [m]
    edition : str
        One of the editions.
    periodic : bool
        Whether the profile repeats, so that ISO 4288 goes by RSm; ISO 21920-3 makes no difference.

    Returns
    -------
    Setting or None
        None where no cut-off that the length supports is consistent.

    Notes
    -----
    The levelled profile gives the first estimate; what is read with its cut-off gives the next, until reading and cut-off agree. ISO 4288
    then tries the next shorter cut-off, and takes it if that agrees too. ISO 21920-3 goes by the tolerance limit; where there is none the
    reading stands in for it. Of a map some 16 rows are tried.

    References
    ----------
    iso-4288, procedure for profiles (from memory); iso-21920-3, default settings.

    Examples
    --------
    >>> wave = 1e-6 * np.sin(2.0 * np.pi * np.arange(6001) / 50.0)[None, :]
    >>> consistent_setting(wave, spacing=1e-6, edition="ISO 4288:1996").cutoff
    0.0008
    """
    symbol = "RSm" if periodic and (edition, "RSm") in TOPS else "Ra"
    some = rows[:: max(rows.shape[0] // 16, 1)]
    used = _class_of(symbol, _read(symbol, some[:, None, :], spacing, setting(CUTOFFS[-1], edition=edition)), edition)
    for _ in CUTOFFS:
        if used is None:
            return None
        following = _class_of(symbol, _read(symbol, pieces(some, spacing=spacing, used=used), spacing, used), edition)
        if following is not None and following.cutoff == used.cutoff:
            break
        used = following
    else:
        return None
    at = CUTOFFS.index(used.cutoff)
    if edition == "ISO 4288:1996" and symbol == "Ra" and at > 0:
        shorter = setting(CUTOFFS[at - 1], edition=edition)
        found = _class_of(symbol, _read(symbol, pieces(some, spacing=spacing, used=shorter), spacing, shorter), edition)
        if found is not None and found.cutoff == shorter.cutoff:
            return shorter
    return used


def _read(symbol: str, cut: Floats, spacing: float, used: Setting) -> float | None:
    """Ra or RSm of pieces; None where there are none."""
    if cut.shape[0] == 0 or cut.shape[2] < FEWEST_POINTS:
        return None
    if symbol == "Ra":
        return float(np.mean([_averaged(piece, used.edition, mean_deviation) for piece in cut]))
    values: dict[str, list[float]] = {}
    _widths(cut, spacing, used, values, {})
    return float(np.mean(values["RSm"])) if "RSm" in values else None


def _class_of(symbol: str, value: float | None, edition: Edition) -> Setting | None:
    """Setting of the class that holds a value; None where none does."""
    if value is None:
        return None
    try:
        return setting_for(symbol, value, edition=edition)
    except ValueError:
        return None
