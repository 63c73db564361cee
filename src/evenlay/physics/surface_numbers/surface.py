"""One measured or drawn surface: heights on an even grid, with its spacings and the direction of its grain."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from evenlay.quantities.ranges import positive

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

Grain = Literal["x", "y", ""]
"""Axis that the grain runs along; empty where it is not known."""

GRAINS: Final[tuple[Grain, ...]] = ("x", "y", "")


@dataclass(frozen=True, eq=False)
class Surface:
    """
    Heights on an even grid: a map, or a trace (a map of one row).

    Parameters
    ----------
    height : numpy.ndarray
        Heights, positive out of the metal, shape ``(ny, nx)``: row index runs along y, column index along x. NaN where
        nothing was measured; at least one point is measured, none is infinite. Kept as a read-only array. [m]
    spacing_x : float
        Distance between columns, ``> 0``. [m]
    spacing_y : float
        Distance between rows, ``> 0``; 0 for a trace, which has no second direction. [m]
    along : str
        Axis that the grain runs along, ``"x"`` or ``"y"``; empty where it is not known. A trace runs along x, so
        ``"y"`` says that the stylus went across the grain.
    source : str
        Where the heights come from, in words: file, instrument, simulation.

    Raises
    ------
    ValueError
        If the shape, the heights, a spacing or the direction is not as above.

    Examples
    --------
    >>> map_of_two_rows = Surface([[0.0, 1e-6, 0.0], [0.0, float("nan"), 0.0]], spacing_x=4e-6, spacing_y=5e-4, along="y")
    >>> map_of_two_rows.is_trace, map_of_two_rows.missing, map_of_two_rows.length_x
    (False, 1, 8e-06)
    """

    height: Floats
    spacing_x: float
    spacing_y: float
    along: Grain = ""
    source: str = ""

    def __post_init__(self) -> None:  # noqa: D105
        height = _kept(self.height)
        if height.ndim != 2 or height.shape[0] < 1 or height.shape[1] < 2:
            raise ValueError("height must have rows and columns, at least one row of two points")
        if np.any(np.isinf(height)):
            raise ValueError("a height must be finite, or NaN where nothing was measured")
        if np.all(np.isnan(height)):
            raise ValueError("at least one height must be measured")
        if self.along not in GRAINS:
            raise ValueError('along must be "x", "y" or ""')
        height.flags.writeable = False
        object.__setattr__(self, "height", height)
        object.__setattr__(self, "spacing_x", float(positive("spacing_x", self.spacing_x)))
        if height.shape[0] > 1:
            object.__setattr__(self, "spacing_y", float(positive("spacing_y", self.spacing_y)))
        elif self.spacing_y != 0.0:
            raise ValueError("spacing_y must be 0 for a trace")

    @property
    def is_trace(self) -> bool:
        """Whether it is one row."""
        return bool(self.height.shape[0] == 1)

    @property
    def measured(self) -> Bools:
        """Where there is a height, shape ``(ny, nx)``."""
        return np.asarray(~np.isnan(self.height))

    @property
    def missing(self) -> int:
        """Points without a height. [-]"""
        return int(np.count_nonzero(np.isnan(self.height)))

    @property
    def length_x(self) -> float:
        """First to last column. [m]"""
        return (self.height.shape[1] - 1) * self.spacing_x

    @property
    def length_y(self) -> float:
        """First to last row; 0 for a trace. [m]"""
        return (self.height.shape[0] - 1) * self.spacing_y


def _kept(height: ArrayLike) -> Floats:
    """The heights as they are where nobody can change them any more, else a copy: a large map is not held twice."""
    owned = isinstance(height, np.ndarray) and height.base is None and not height.flags.writeable
    if owned and height.dtype == np.float64 and height.flags.c_contiguous:  # type: ignore[union-attr]
        return height  # type: ignore[return-value]
    return np.array(height, dtype=np.float64, order="C")


def trace(height: ArrayLike, *, spacing: float, along: Grain = "", source: str = "") -> Surface:
    """
    A surface of one row.

    Parameters
    ----------
    height : array_like
        Heights along the trace, shape ``(nx,)``; NaN where nothing was measured. [m]
    spacing : float
        Distance between points, ``> 0``. [m]
    along : str
        ``"x"`` where the grain runs along the trace, ``"y"`` where it runs across; empty where it is not known.
    source : str
        Where the heights come from, in words.

    Returns
    -------
    Surface
        With ``spacing_y`` 0.

    Raises
    ------
    ValueError
        If the heights are not one row, or anything else of `Surface` does not hold.

    Examples
    --------
    >>> trace([0.0, 1e-6, 0.0], spacing=0.5e-6, along="y").is_trace
    True
    """
    row = np.asarray(height, dtype=np.float64)
    if row.ndim != 1:
        raise ValueError("a trace has one row of heights")
    return Surface(row[None, :], spacing_x=spacing, spacing_y=0.0, along=along, source=source)
