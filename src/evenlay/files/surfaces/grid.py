"""From heights read out of a file to one surface: bounds that hold for every format, and what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.files.bounded import problem
from evenlay.physics.surface_numbers.surface import Grain, Surface
from evenlay.quantities.errors import InputProblems

Floats = NDArray[np.float64]

MOST_POINTS: Final = 30_000_000
"""Points of a surface. [-]"""

LARGEST: Final = 320_000_000
"""Bytes of a binary file, and of the heights unpacked from it. [-]"""

LARGEST_TEXT: Final = 96_000_000
"""Bytes of a text file. [-]"""

LONGEST: Final = 10.0
"""Spacing, beyond which a unit is wrong. [m]"""

HIGHEST: Final = 100.0
"""Height, beyond which a unit is wrong or a mark for missing points was taken for a height. [m]"""

FARTHEST: Final = 1e6
"""Position, beyond which a unit is wrong. [m]"""

EVEN: Final = 1e-3
"""How far a position may lie from an even grid, in spacings. [-]"""


def size_of(path: Path, largest: int, what: str) -> int:
    """
    Bytes of a file that may be opened.

    Parameters
    ----------
    path : Path
        A regular file.
    largest : int
        Bytes at most. [-]
    what : str
        What it should be, in words.

    Returns
    -------
    int
        At least 1.

    Raises
    ------
    InputProblems
        If it is missing, a folder, a device, empty or too large.
    """
    allowed = f"give {what}"
    try:
        if path.is_dir():
            raise problem(path, "this is a folder", allowed)
        if not path.exists():
            raise problem(path, "there is no such file", allowed)
        if not path.is_file():
            raise problem(path, "this is not a regular file", allowed)
        size = path.stat().st_size
    except (OSError, ValueError) as error:
        raise unreadable(path, error, allowed) from None
    if size == 0:
        raise problem(path, "the file is empty", allowed)
    if size > largest:
        raise problem(path, f"it is larger than {largest / 1e6:g} MB", f"{what} is at most {largest / 1e6:g} MB; cut out a part")
    return size


def unreadable(path: Path, error: Exception, allowed: str) -> InputProblems:
    """The problem of a file that the system does not hand out."""
    reason = getattr(error, "strerror", None) or "the name cannot be used"
    return problem(path, f"it cannot be read ({reason})", allowed)


def content_of(path: Path, largest: int, what: str) -> bytes:
    """All bytes of a file, bounded; the same problems as `size_of`."""
    size = size_of(path, largest, what)
    try:
        with path.open("rb") as file:
            content = file.read(size + 1)
    except OSError as error:
        raise unreadable(path, error, f"give {what}") from None
    if len(content) != size:
        raise problem(path, "it changed while it was read", "wait until it is written, then read it again")
    return content


def counted(path: Path, across: int, rows: int) -> int:
    """
    Points that a file declares, before anything of that size is made.

    Parameters
    ----------
    path : Path
        The file.
    across, rows : int
        Declared columns and rows. [-]

    Returns
    -------
    int
        Their product.

    Raises
    ------
    InputProblems
        If there are too few for a surface or more than are read.
    """
    if across < 2 or rows < 1:
        raise problem(path, f"it declares {across} × {rows} points", "a surface has at least 2 points along x and 1 row")
    if across * rows > MOST_POINTS:
        most = f"a surface has at most {MOST_POINTS // 10**6} million; cut out a part"
        raise problem(path, f"it declares {across} × {rows} points", most)
    return across * rows


def surface_of(path: Path, height: Floats, spacing: tuple[float, float], *, along: Grain = "", source: str = "") -> Surface:
    """
    The surface of what a file held.

    Parameters
    ----------
    path : Path
        The file.
    height : numpy.ndarray
        Heights, shape ``(ny, nx)``, NaN where missing; the caller gives it away. [m]
    spacing : tuple of float
        Along x and along y; the second is not looked at where there is one row. [m]
    along : str
        Grain direction; empty if the file does not say.
    source : str
        What the file says of itself; its name if it says nothing.

    Returns
    -------
    Surface
        Heights as given.

    Raises
    ------
    InputProblems
        If a spacing is not a usable length, no point is measured, or a height is none.
    """
    rows, across = height.shape
    counted(path, across, rows)
    names = ("x",) if rows == 1 else ("x", "y")
    for name, length in zip(names, spacing, strict=False):
        if not 0.0 < length <= LONGEST:
            allowed = f"a spacing is above 0 and at most {LONGEST:g} m; check increment and unit"
            raise problem(path, f"the spacing along {name} is {length:g} m", allowed)
    smallest, largest = float(np.fmin.reduce(height, axis=None)), float(np.fmax.reduce(height, axis=None))
    if np.isnan(largest):
        raise problem(path, "no point of it was measured", "give a surface with heights")
    if not max(abs(smallest), abs(largest)) <= HIGHEST:
        extreme = largest if abs(largest) >= abs(smallest) else smallest
        raise problem(
            path, f"a height is {extreme:g} m", f"heights are within {HIGHEST:g} m; check the unit and the mark for missing points"
        )
    height.flags.writeable = False
    return Surface(height, spacing_x=spacing[0], spacing_y=spacing[1] if rows > 1 else 0.0, along=along, source=source or path.name)


def even_spacing(path: Path, position: Floats, name: str, within: float = EVEN) -> float:
    """
    Spacing of positions that stand in the file one by one.

    Parameters
    ----------
    path : Path
        The file.
    position : numpy.ndarray
        Positions in the order of the columns (last axis); other axes are repetitions of it. NaN where missing. [m]
    name : str
        Name of the axis.
    within : float
        How far a position may lie from the even grid, in spacings. [-]

    Returns
    -------
    float
        Last minus first over their number; 0 if there is one. [m]

    Raises
    ------
    InputProblems
        If they do not rise in even steps.
    """
    allowed = "only even grids are read; save it on an even grid from the program that made it"
    number = position.shape[-1]
    table = position.reshape(-1, number)
    if not np.fmax.reduce(np.abs(table), axis=None, initial=0.0) <= FARTHEST:
        raise problem(path, f"positions along {name} are no lengths on a piece", "check the unit")
    whole = table[~np.isnan(table).any(axis=1)]
    if len(whole) == 0:
        raise problem(path, f"positions along {name} are missing", allowed)
    first = whole[0]
    spacing = float(first[-1] - first[0]) / max(number - 1, 1)
    if number == 1:
        return 0.0
    if not spacing > 0.0:
        raise problem(path, f"positions along {name} do not rise", allowed)
    wanted = first[0] + spacing * np.arange(number)
    for begin in range(0, len(table), 1024):
        away = np.abs(table[begin : begin + 1024] - wanted)
        if not np.fmax.reduce(away, axis=None, initial=0.0) <= within * spacing:
            raise problem(path, f"positions along {name} are not in even steps", allowed)
    return spacing
