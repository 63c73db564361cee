"""Numbers of a drawn or measured surface as an answer shows them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from evenlay.job.sample_record import ReadBand, ReadNumber, ReadSurface
from evenlay.physics.surface_numbers.reading import surface_numbers
from evenlay.physics.surface_numbers.spectrum import BANDS, BandAmplitude
from evenlay.physics.surface_numbers.surface import Surface

if TYPE_CHECKING:
    from evenlay.physics.surface_numbers.numbers import SurfaceNumbers

Singles = NDArray[np.float32]

SHOWN: Final = ("Ra", "Rz", "RSm", "Rk", "Rpk", "Rvk", "Sa", "Sq", "Sal", "Str", "Std", "Sdq", "slope_across")
"""Numbers of the screen's table; ``numbers.json`` has all."""


def surface_of_map(height: Singles, *, samples: float, rows: float, source: str) -> Surface:
    """
    Surface of a drawn map: rows stand along y, which is the grain.

    Parameters
    ----------
    height : numpy.ndarray
        Shape ``(rows, samples)``. [m]
    samples, rows : float
        Spacing across and along. [m]
    source : str
        Where it comes from, in words.

    Returns
    -------
    Surface
        A trace where there is one row.
    """
    kept = height.astype(np.float64)
    kept.flags.writeable = False
    return Surface(kept, spacing_x=samples, spacing_y=rows if height.shape[0] > 1 else 0.0, along="y", source=source)


def read_surface(surface: Surface, *, cutoff: float | None = None) -> tuple[ReadSurface, SurfaceNumbers]:
    """
    Read a surface.

    Parameters
    ----------
    surface : Surface
    cutoff : float, optional
        That of the surface it is compared with. [m]

    Returns
    -------
    tuple
        As a record, and as it was found.
    """
    found = surface_numbers(surface, cutoff=cutoff)
    bands = zip(BANDS, found.bands, found.persistent_bands, strict=True)
    record = ReadSurface(
        cutoff=found.setting.cutoff,
        edition=found.setting.edition,
        profiles=found.profiles,
        direction=found.direction,
        numbers=tuple(
            ReadNumber(
                symbol=each.symbol,
                value=_finite(each.value),
                unit=each.unit,  # type: ignore[arg-type]
                clause=each.clause,
                scatter=_finite(each.scatter),
                reason=each.reason,
            )
            for each in found.numbers
        ),
        bands=tuple(
            ReadBand(shortest=shortest, longest=longest, rows=_amplitude(rows), along=_amplitude(along))
            for (shortest, longest), rows, along in bands
        ),
    )
    return record, found


def _finite(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else value


def _amplitude(band: BandAmplitude | None) -> float | None:
    return None if band is None else _finite(band.rms)


def number_in(read: ReadSurface, symbol: str) -> float | None:
    """One number of a reading; None where it is not there. [SI]"""
    return next((each.value for each in read.numbers if each.symbol == symbol), None)


def compared(drawn: ReadSurface, measured: ReadSurface) -> tuple[tuple[ReadNumber, ReadNumber, float | None], ...]:
    """
    Numbers of two surfaces side by side.

    Parameters
    ----------
    drawn, measured : ReadSurface

    Returns
    -------
    tuple
        Of each number that one of them has: both, and drawn over measured less 1 where both are there, not 0, and no angle.
    """
    other = {each.symbol: each for each in measured.numbers}
    rows = []
    for one in drawn.numbers:
        two = other.get(one.symbol)
        if two is None or (one.value is None and two.value is None):
            continue
        # An angle has no zero to divide by.
        differs = one.value / two.value - 1.0 if one.value is not None and two.value and one.unit != "rad" else None
        rows.append((one, two, differs))
    return tuple(rows)
