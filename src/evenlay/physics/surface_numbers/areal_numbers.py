"""The S numbers of a map: form off, filtered, edges left out, each number refused where the map cannot support it."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.physics.surface_numbers.areal import gradients, texture_direction
from evenlay.physics.surface_numbers.correlation import Decay, autocorrelation, decay_lengths
from evenlay.physics.surface_numbers.filters import gaussian_mean, gaussian_mean_surface, levelled
from evenlay.physics.surface_numbers.heights import kurtosis, mean_deviation, measured_heights, rms_deviation, skewness
from evenlay.physics.surface_numbers.material import core
from evenlay.physics.surface_numbers.numbers import UNITS, Found
from evenlay.physics.surface_numbers.profile_numbers import SLOPE_SPACING
from evenlay.physics.surface_numbers.settings import Setting

Floats = NDArray[np.float64]

SYMBOLS: Final = tuple(symbol for symbol in UNITS if symbol.startswith("S"))

FEWEST_PATCHES: Final = 100
"""Independent patches that Ssk, Sku and the Sk family need: with these chance alone moves Ssk by a quarter (ours)."""

LEAST_MEASURED: Final = 0.75
"""Share of the points that must be measured for areal numbers (ours)."""

NO_LAY: Final = 0.5
"""Str from which a texture counts as without direction (common practice, no source). [-]"""


def scale_limited(height: Floats, *, spacing_x: float, spacing_y: float, used: Setting) -> Floats:
    r"""
    S-L surface of a map: plane off, short and long waves off, the edges that the filter spoils left out.

    Parameters
    ----------
    height : numpy.ndarray
        Shape ``(ny, nx)``; NaN where nothing was measured. [m]
    spacing_x, spacing_y : float
        Distance between columns and between rows, ``> 0``. [m]
    used : Setting
        Its cut-off is the nesting index of the L-filter, its short-wave limit that of the S-filter.

    Returns
    -------
    numpy.ndarray
        Half a cut-off smaller at each side; missing points stay missing. The short-wave filter works along those axes whose spacing is
        no more than half its limit. [m]

    Raises
    ------
    ValueError
        If less than one cut-off is left in a direction, or less than three quarters of the points are measured.

    References
    ----------
    iso-25178-2, S-filter, L-filter, F-operation; iso-16610-61.

    Examples
    --------
    >>> from evenlay.physics.surface_numbers.settings import setting
    >>> scale_limited(np.zeros((401, 501)), spacing_x=4e-6, spacing_y=5e-6, used=setting(0.8e-3)).shape
    (241, 301)
    """
    measured = np.isfinite(height)
    share = np.count_nonzero(measured) / height.size
    if share < LEAST_MEASURED:
        raise ValueError(f"{share:.0%} of the points are measured: areal numbers need {LEAST_MEASURED:.0%}")
    edge = [int(np.ceil(0.5 * used.cutoff / spacing - 1e-9)) for spacing in (spacing_y, spacing_x)]
    left = [(size - 2 * each) * spacing for size, each, spacing in zip(height.shape, edge, (spacing_y, spacing_x), strict=True)]
    if min(left) < used.cutoff * (1.0 - 1e-9):
        sides = " mm x ".join(
            f"{size * spacing * 1e3:.3g}" for size, spacing in zip(height.shape[::-1], (spacing_x, spacing_y), strict=True)
        )
        raise ValueError(f"{sides} mm are too small: the filter needs twice the cut-off of {used.cutoff * 1e3:g} mm each way")
    z = levelled(height)
    if spacing_x <= 0.5 * used.short_wave:
        z = np.where(measured, gaussian_mean(z, spacing=spacing_x, cutoff=used.short_wave), np.nan)
    if spacing_y <= 0.5 * used.short_wave:
        z = np.where(measured, gaussian_mean(z.T, spacing=spacing_y, cutoff=used.short_wave).T, np.nan)
    z = z - gaussian_mean_surface(z, spacing_x=spacing_x, spacing_y=spacing_y, cutoff=used.cutoff)
    return np.ascontiguousarray(z[edge[0] : height.shape[0] - edge[0], edge[1] : height.shape[1] - edge[1]])


def areal_numbers(height: Floats, *, spacing_x: float, spacing_y: float, used: Setting) -> Found:
    r"""
    S numbers of a map.

    Parameters
    ----------
    height : numpy.ndarray
        Shape ``(ny, nx)``; NaN where nothing was measured. [m]
    spacing_x, spacing_y : float
        Distance between columns and between rows, ``> 0``. [m]
    used : Setting
        Of which the cut-off and the short-wave limit are taken.

    Returns
    -------
    Found
        One value each; a reason where there is none.

    Notes
    -----
    A patch is Sal times the longest decay (at most the map); the number of patches, area over patch, must reach 100 for the numbers that
    describe the shape of the distribution.

    References
    ----------
    iso-25178-2; iso-25178-3.

    Examples
    --------
    >>> from evenlay.physics.surface_numbers.settings import setting
    >>> x = np.arange(1000) * 4e-6
    >>> grating = np.tile(1e-6 * np.sin(2.0 * np.pi * x / 8e-5), (500, 1))
    >>> found = areal_numbers(grating, spacing_x=4e-6, spacing_y=4e-6, used=setting(0.8e-3))
    >>> round(float(found.values["Sq"][0]) * 1e6, 4), round(float(found.values["Sal"][0]) * 1e6, 1), found.reasons["Str"]
    (0.7071, 17.5, 'heights stay alike over the whole map in one direction: Str is below 0.029')
    """
    try:
        z = scale_limited(height, spacing_x=spacing_x, spacing_y=spacing_y, used=used)
        heights = measured_heights(z)
    except ValueError as small:
        return Found({}, dict.fromkeys(SYMBOLS, str(small)))
    values = {"Sa": mean_deviation(heights), "Sq": rms_deviation(heights), "Sp": float(np.max(heights)), "Sv": float(-np.min(heights))}
    values["Sz"] = values["Sp"] + values["Sv"]
    reasons: dict[str, str] = {}
    if not values["Sq"] > 0.0:
        flat = "all heights are zero: their distribution has no shape"
        reasons = dict.fromkeys((symbol for symbol in SYMBOLS if symbol not in values), flat)
        return Found({symbol: np.array([each]) for symbol, each in values.items()}, reasons)
    decay = _spatial(z, spacing_x, spacing_y, values, reasons)
    _slopes(z, spacing_x, spacing_y, values, reasons)
    _distribution(heights, z.size * spacing_x * spacing_y, decay, values, reasons)
    return Found({symbol: np.array([each]) for symbol, each in values.items()}, reasons)


def _spatial(z: Floats, spacing_x: float, spacing_y: float, values: dict[str, float], reasons: dict[str, str]) -> Decay | None:
    """Sal, Str and Std; returns the decay lengths where there are any."""
    try:
        decay = decay_lengths(autocorrelation(z, spacing_x=spacing_x, spacing_y=spacing_y))
    except ValueError as wrong:
        reasons |= dict.fromkeys(("Sal", "Str", "Std"), str(wrong))
        return None
    if not _resolved(decay.shortest, decay.shortest_direction, spacing_x, spacing_y):
        coarse = f"heights change from one point to the next: points {min(spacing_x, spacing_y) * 1e6:.3g} µm apart are too far"
        reasons |= dict.fromkeys(("Sal", "Str", "Std"), coarse)
        return None
    values["Sal"] = decay.shortest
    if not _resolved(decay.longest, decay.longest_direction, spacing_x, spacing_y):
        coarse = f"heights change from row to row: rows {max(spacing_x, spacing_y) * 1e6:.3g} µm apart are too far"
        reasons |= dict.fromkeys(("Str", "Std"), coarse)
        return decay
    if decay.bounded:
        values["Str"] = decay.aspect
    else:
        reasons["Str"] = f"heights stay alike over the whole map in one direction: Str is below {decay.aspect:.2g}"
    if decay.bounded and decay.aspect >= NO_LAY:
        reasons["Std"] = f"Str is {decay.aspect:.2f}: there is no grain whose direction could be given"
    else:
        values["Std"] = texture_direction(z, spacing_x=spacing_x, spacing_y=spacing_y)
    return decay


def _resolved(length: float, direction: float, spacing_x: float, spacing_y: float) -> bool:
    """Whether a decay length spans at least one point in its direction."""
    return bool(length * np.hypot(np.cos(direction) / spacing_x, np.sin(direction) / spacing_y) >= 1.0)


def _slopes(z: Floats, spacing_x: float, spacing_y: float, values: dict[str, float], reasons: dict[str, str]) -> None:
    coarse = max(spacing_x, spacing_y)
    if coarse > SLOPE_SPACING * (1.0 + 1e-9):
        far = f"points {coarse * 1e6:.3g} µm apart are too far for a slope: {SLOPE_SPACING * 1e6:g} µm at most, both ways"
        reasons |= dict.fromkeys(("Sdq", "Sdr"), far)
        return
    try:
        found = gradients(z, spacing_x=spacing_x, spacing_y=spacing_y)
    except ValueError as wrong:
        reasons |= dict.fromkeys(("Sdq", "Sdr"), str(wrong))
        return
    values |= {"Sdq": found.Sdq, "Sdr": found.Sdr}


def _distribution(heights: Floats, area: float, decay: Decay | None, values: dict[str, float], reasons: dict[str, str]) -> None:
    symbols = ("Ssk", "Sku", "Sk", "Spk", "Svk", "Smrk1", "Smrk2")
    patches = area / (decay.shortest * decay.longest) if decay is not None else 0.0
    if patches < FEWEST_PATCHES:
        few = f"about {patches:.0f} independent patches are on the map: the shape of the distribution needs {FEWEST_PATCHES}"
        reasons |= dict.fromkeys(symbols, few)
        return
    found = core(heights)
    values |= {"Ssk": skewness(heights), "Sku": kurtosis(heights), "Sk": found.core_height, "Spk": found.hill_height}
    values |= {"Svk": found.dale_depth, "Smrk1": found.hill_ratio, "Smrk2": found.dale_ratio}
