"""Any surface file: told apart by what it holds, not by its name; written by the ending of the name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from evenlay.files.bounded import MAGIC, problem
from evenlay.files.surfaces import sdf
from evenlay.files.surfaces.grid import LARGEST, size_of, unreadable
from evenlay.files.surfaces.image import SIGNATURE, read_height_image, write_height_image
from evenlay.files.surfaces.text import read_surface_text, write_surface_text
from evenlay.files.surfaces.x3p import read_x3p, write_x3p
from evenlay.physics.surface_numbers.surface import Surface

WHAT: Final = "a surface as X3P, SDF, text or 16-bit PNG of heights"

WRITERS: Final[Mapping[str, Callable[[Path, Surface], None]]] = {
    ".x3p": write_x3p,
    ".sdf": sdf.write_sdf,
    ".csv": write_surface_text,
    ".txt": write_surface_text,
    ".png": write_height_image,
}
"""Ending of a name to what writes it."""


def open_surface(path: Path) -> Surface:
    """
    Read a surface from any format that is known.

    Parameters
    ----------
    path : Path
        The format is told by the first bytes.

    Returns
    -------
    Surface
        Heights, spacings, grain direction and source as far as the file says them. [m]

    Raises
    ------
    InputProblems
        If it is none of them, or with what is wrong in it.
    """
    size_of(path, LARGEST, WHAT)
    try:
        with path.open("rb") as file:
            head = file.read(64)
    except OSError as error:
        raise unreadable(path, error, f"give {WHAT}") from None
    if head.startswith(b"PK\x03\x04"):
        return read_x3p(path)
    if head.startswith(SIGNATURE):
        return read_height_image(path)
    if sdf.MAGIC.match(head):
        return sdf.read_sdf(path)
    for magic, kind in MAGIC.items():
        if head.startswith(magic) and (magic != b"BM" or b"\x00" in head):
            brightness = " of brightness, without heights" if kind.endswith("picture") else ""
            raise problem(path, f"this is {kind}{brightness}", f"give {WHAT}")
    return read_surface_text(path)


def write_surface(path: Path, surface: Surface) -> None:
    """
    Write a surface in the format that the name ends in.

    Parameters
    ----------
    path : Path
        Ending in one of `WRITERS`, in any case.
    surface : Surface
        A map or a trace.

    Raises
    ------
    InputProblems
        If the ending is unknown, or the file cannot be written.
    """
    writer = WRITERS.get(path.suffix.lower())
    if writer is None:
        raise problem(
            path, f"surfaces are not written as {path.suffix or 'a name without ending'}", f"end the name in {', '.join(WRITERS)}"
        )
    try:
        writer(path, surface)
    except OSError as error:
        raise problem(path, f"it cannot be written ({error.strerror})", "give a folder that exists and may be written") from None
