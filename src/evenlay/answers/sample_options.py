"""What is asked of ``evenlay sample``: size, place, light, print and variants, read from text."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from evenlay.quantities.errors import InputProblem, InputProblems
from evenlay.quantities.units import UnitError, format_quantity, parse_quantity, parse_size

COMMAND: Final = "evenlay sample"
STEEPEST: Final = math.radians(60.0)
"""Largest tilt of the half vector that may be asked. [rad]"""
FEWEST_DPI: Final = 100
MOST_DPI: Final = 1200
MOST_VARIANTS: Final = 6
SMALLEST: Final = (2e-3, 5e-3)
"""Smallest piece along and across: fewer rows or less width hold no line and no evaluation length. [m]"""
MOST_THREADS: Final = 64
_BARE = re.compile(r"[-+]?\d+(?:\.\d*)?(?:[eE][-+]?\d+)?")


@dataclass(frozen=True)
class Variant:
    """One sample of a sheet: the change as it is written over it, and as keys and texts."""

    title: str
    changes: Mapping[str, str]


@dataclass(frozen=True)
class Asked:
    """
    What is to be drawn.

    ``variants`` side by side, one without changes for a single sample; ``compare`` a measured surface to lay beside; ``smoothing``
    surfaces measured before and after a non-woven step.
    ``length``, ``width`` along and across the grain [m]; ``corner`` on the face, None for the middle [m]; ``tilt`` of the half vector, None
    for the job's or the worst [rad]; ``dpi`` of the print; ``seed``, None for that of the job; ``threads``.
    """

    length: float
    width: float
    corner: tuple[float, float] | None
    tilt: float | None
    dpi: int
    seed: int | None
    threads: int
    variants: tuple[Variant, ...] = (Variant("", {}),)
    compare: Path | None = None
    smoothing: tuple[Path, Path] | None = None


def refused(name: str, found: str, allowed: str, nearest: str = "") -> InputProblems:
    """The problem of one option."""
    return InputProblems((InputProblem(COMMAND, name, found, allowed, nearest),))


def smoothing_files(before: Path | None, after: Path | None) -> tuple[Path, Path] | None:
    """
    Surfaces before and after a non-woven step, both or neither.

    Raises
    ------
    InputProblems
        If only one is given.
    """
    if before is None and after is None:
        return None
    if before is None or after is None:
        missing = "--before" if before is None else "--after"
        raise refused(missing, "is not given", "smoothing is measured on two surfaces: give --before and --after")
    return before, after


def asked(
    *, size: str, at: str = "", light: str = "", dpi: int = 300, seed: int | None = None, threads: int | None = None, cores: int = 2
) -> Asked:
    """
    Read the options.

    Parameters
    ----------
    size : str
        Along the grain first, as ``"100 mm x 50 mm"``.
    at : str
        Corner on the face, along and across, as ``"50 mm, 20 mm"``; empty for the middle.
    light : str
        Tilt of the half vector across the grain, as ``"30°"``; empty for the job's lamp, or the light that shows lines most.
    dpi, seed, threads, cores : int
        Of the print; of all chance; to run on, and how many there are.

    Returns
    -------
    Asked

    Raises
    ------
    InputProblems
        Naming the option.
    """
    try:
        length, width = parse_size(size)
    except UnitError as wrong:
        raise refused("--size", wrong.found, wrong.allowed, wrong.nearest) from None
    if not (length >= SMALLEST[0] and width >= SMALLEST[1]):
        raise refused("--size", f'"{size}" is too small', "give at least 2 mm along and 5 mm across the grain")
    if not FEWEST_DPI <= dpi <= MOST_DPI:
        raise refused("--dpi", f"{dpi} dots per inch", f"give {FEWEST_DPI} to {MOST_DPI}")
    if seed is not None and seed < 0:
        raise refused("--seed", f"{seed} is below zero", "give a whole number from 0")
    if threads is not None and not 1 <= threads <= MOST_THREADS:
        raise refused("--threads", f"{threads} threads", f"give 1 to {MOST_THREADS}")
    return Asked(length, width, _corner(at), _tilt(light), dpi, seed, threads or min(2, cores))


def _corner(at: str) -> tuple[float, float] | None:
    if not at.strip():
        return None
    parts = at.split(",")
    if len(parts) != 2:
        raise refused("--at", f'"{at}" is not a place', 'write it along and across the grain, as "50 mm, 20 mm"')
    try:
        along, across = (parse_quantity(part, "length") for part in parts)
    except UnitError as wrong:
        raise refused("--at", wrong.found, wrong.allowed, wrong.nearest) from None
    return along, across


def _tilt(light: str) -> float | None:
    if not light.strip():
        return None
    try:
        tilt = parse_quantity(light, "angle")
    except UnitError as wrong:
        raise refused("--light", wrong.found, wrong.allowed, wrong.nearest) from None
    if not abs(tilt) <= STEEPEST:
        raise refused("--light", f'"{light}" is too far from the normal', "give the tilt of the half vector, -60° to 60°")
    return tilt


def placed(ask: Asked, *, along: float, across: float) -> tuple[float, float]:
    """
    Corner of the piece on a face.

    Parameters
    ----------
    ask : Asked
    along, across : float
        Of the face. [m]

    Returns
    -------
    tuple of float
        Along and across. [m]

    Raises
    ------
    InputProblems
        If the piece does not lie on the face.
    """
    hair = 1e-9
    face = f"the face is {format_quantity(along, 'length')} along and {format_quantity(across, 'length')} across the grain"
    if ask.length > along + hair or ask.width > across + hair:
        found = f"{format_quantity(ask.length, 'length')} along and {format_quantity(ask.width, 'length')} across do not fit"
        raise refused("--size", found, f"{face}; give the length along the grain first")
    if ask.corner is None:
        return max(0.5 * (along - ask.length), 0.0), max(0.5 * (across - ask.width), 0.0)
    inside = all(
        -hair <= start and start + size <= whole + hair
        for start, size, whole in zip(ask.corner, (ask.length, ask.width), (along, across), strict=True)
    )
    if not inside:
        raise refused("--at", "the piece would hang over the edge", f"{face}; give the corner nearest to the face's own")
    return ask.corner


def variants(text: str) -> tuple[Variant, ...]:
    """
    Variants of one key.

    Parameters
    ----------
    text : str
        As ``"feed=60,120,240mm/s"``: a unit at the end holds for all.

    Returns
    -------
    tuple of Variant
        In the order written; one without changes for no text.

    Raises
    ------
    InputProblems
        If it is not a key with two to six values.

    Examples
    --------
    >>> [one.changes for one in variants("feed=60,120mm/s")]
    [{'feed': '60 mm/s'}, {'feed': '120 mm/s'}]
    """
    if not text.strip():
        return (Variant("", {}),)
    key, _, rest = text.partition("=")
    values = [part.strip().strip("\"'") for part in rest.split(",")]
    if not key.strip() or not all(values) or not 2 <= len(values) <= MOST_VARIANTS:
        raise refused("--vary", f'"{text}"', f"write a key and two to {MOST_VARIANTS} values, as feed=60,120,240mm/s")
    found = _BARE.match(values[-1])
    unit = values[-1][found.end() :].strip() if found else ""
    named = [f"{value} {unit}" if unit and _BARE.fullmatch(value) else value for value in values[:-1]]
    named.append(f"{found[0]} {unit}" if found and unit else values[-1])
    if len(set(named)) < len(named):
        raise refused("--vary", f'"{text}" names a value twice', "give each value once")
    return tuple(Variant(f"{key.strip()} {value}", {key.strip(): value}) for value in named)
