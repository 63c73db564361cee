"""A non-woven step over a drawn sample: not simulated, smoothed as two measured surfaces say."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.files.bounded import problem
from evenlay.files.surfaces.opened import open_surface
from evenlay.physics.smoothing import SmoothingFactor, measured_smoothing, smoothed
from evenlay.quantities.remarks import Remark
from evenlay.quantities.units import format_quantity

Singles = NDArray[np.float32]

AT_ONCE: Final = 32
"""Rows smoothed at once: what a sample needs in memory does not grow with its length. [-]"""


def smoothing_of(files: tuple[Path, Path]) -> tuple[SmoothingFactor, ...]:
    """
    What a step leaves of each band of pitch.

    Parameters
    ----------
    files : tuple of Path
        Surfaces before and after.

    Returns
    -------
    tuple of SmoothingFactor

    Raises
    ------
    InputProblems
        If one cannot be read, or they have no band in common.
    """
    before, after = (open_surface(file) for file in files)
    try:
        return measured_smoothing(before, after).factors
    except ValueError as wrong:
        raise problem(
            files[1], f"it cannot be compared with {files[0]} ({wrong})", "give two maps, or two traces across the grain"
        ) from None


def smoothed_map(height: Singles, *, spacing: float, factors: tuple[SmoothingFactor, ...]) -> Singles:
    """
    Map after the step; the mean of each row stays, because a web takes off too little to count.

    Parameters
    ----------
    height : numpy.ndarray
        Shape ``(rows, samples)``. [m]
    spacing : float
        Between samples, ``> 0``. [m]
    factors : tuple of SmoothingFactor

    Returns
    -------
    numpy.ndarray
        Same shape. [m]
    """
    made = np.empty_like(height)
    for first in range(0, height.shape[0], AT_ONCE):
        part = slice(first, first + AT_ONCE)
        made[part] = smoothed(height[part], spacing=spacing, factors=factors)
    return made


def smoothing_remark(files: tuple[Path, Path], factors: tuple[SmoothingFactor, ...]) -> Remark:
    """What was done to the sample, band by band."""
    bands = "; ".join(
        f"{format_quantity(each.shortest, 'length')} to {format_quantity(each.longest, 'length')} x {each.factor:.2f}" for each in factors
    )
    message = (
        f"Smoothed after the cut as measured from {files[0].name} to {files[1].name}: {bands}. Nothing of the non-woven step is simulated: "
        "not its scratches, nor what it does to peaks more than to valleys"
    )
    return Remark("sample-smoothed-as-measured", "note", message, "measured: ratio of band heights", "--after")
