"""Points in columns x, y, height, in any order, put on the grid they lie on."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np

from evenlay.files.bounded import problem
from evenlay.files.surfaces.grid import FARTHEST, Floats, counted

ALLOWED: Final = "only even grids are read; save it on an even grid from the program that made it"

FULLEST: Final = 10
"""Most places of the grid for each point; beyond it the points lie on no grid. [-]"""


def gridded(path: Path, x: Floats, y: Floats, height: Floats, *, within: float) -> tuple[Floats, tuple[float, float]]:
    """
    Put points on their grid.

    Parameters
    ----------
    path : Path
        The file.
    x, y : numpy.ndarray
        Position of each point. [m]
    height : numpy.ndarray
        NaN where not measured. [m]
    within : float
        How far a position may lie from the grid. [spacings]

    Returns
    -------
    tuple
        Heights, shape ``(ny, nx)``, NaN where the file has no point; spacings along x and y. [m]

    Raises
    ------
    InputProblems
        If the points lie on no even grid, or two on the same place.
    """
    columns, spacing_x = _places(path, x, "x", within)
    rows, spacing_y = _places(path, y, "y", within)
    across, down = int(columns.max()) + 1, int(rows.max()) + 1
    count = counted(path, across, down)
    if count > FULLEST * len(height):
        raise problem(path, f"{len(height)} points would need a grid of {across} × {down}", ALLOWED)
    place = rows * across + columns
    if len(np.unique(place)) != len(place):
        raise problem(path, "two points lie on the same place of the grid", ALLOWED)
    grid = np.full((down, across), np.nan)
    grid[rows, columns] = height
    return grid, (spacing_x, spacing_y)


def _places(path: Path, position: Floats, name: str, within: float) -> tuple[np.ndarray[tuple[int], np.dtype[np.int64]], float]:
    """Number of the column or row of each point, and their distance."""
    if np.any(np.isnan(position)):
        raise problem(path, f"a position along {name} is missing", ALLOWED)
    if not np.all(np.abs(position) <= FARTHEST):
        raise problem(path, f"positions along {name} are no lengths on a piece", "check the unit")
    distinct = np.unique(position)
    gaps = np.diff(distinct)
    if len(gaps) == 0:
        return np.zeros(len(position), dtype=np.int64), 0.0
    length = float(distinct[-1] - distinct[0])
    number = round(length / float(np.median(gaps[gaps > within * gaps.max()])))
    spacing = length / number
    if not spacing > 0.0:
        raise problem(path, f"positions along {name} cannot be told apart", ALLOWED)
    exact = (position - distinct[0]) / spacing
    place = np.rint(exact)
    if not np.all(np.abs(exact - place) <= within):
        raise problem(path, f"positions along {name} are not in even steps", ALLOWED)
    return place.astype(np.int64), spacing
