"""The index of an X3P file, ``main.xml``: read as it streams in, with nothing kept but what a surface needs."""

from __future__ import annotations

import hashlib
import math
from array import array
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Final
from xml.parsers import expat

import numpy as np

from evenlay.files.bounded import problem
from evenlay.files.surfaces.grid import MOST_POINTS, Floats

CHUNK: Final = 4_000_000
"""Bytes handed to the parser at once. [-]"""

DEEPEST: Final = 24
"""Elements inside each other. [-]"""

LONGEST_TEXT: Final = 20_000
"""Characters kept of one element; of a comment of the user nothing more is needed. [-]"""

ALLOWED: Final = "give an X3P file as instruments write it (ISO 25178-72)"

REVISIONS: Final = ("", "ISO5436 - 2000", "ISO25178-72:2017/DAM1")
"""Revisions whose meaning is known; files without the word are of the first."""

DATUM: Final = ("Record3", "DataList", "Datum")


@dataclass(frozen=True)
class Axis:
    """
    One axis of the file.

    Parameters
    ----------
    absolute : bool
        Whether every point carries its own value; else the value is index times increment.
    kind : str
        ``I`` int16, ``L`` int32, ``F`` float32, ``D`` float64.
    increment : float
        What a stored value or an index is multiplied by. [m]
    """

    absolute: bool
    kind: str
    increment: float


@dataclass(frozen=True)
class Index:
    """
    What ``main.xml`` says.

    Parameters
    ----------
    axes : tuple of Axis
        x, y, z.
    across, rows : int
        Size of the matrix. [-]
    texts : mapping
        Path of an element below the root to its text, the first of each.
    datums : numpy.ndarray or None
        Values written in the index itself, shape ``(points, absolute axes)``; NaN where empty. [stored units]
    md5 : str
        Digest of the whole document.
    """

    axes: tuple[Axis, Axis, Axis]
    across: int
    rows: int
    texts: Mapping[tuple[str, ...], str]
    datums: Floats | None
    md5: str


class _WrongError(Exception):
    """Found and allowed, thrown through the parser."""


@dataclass
class _Reading:
    """State of the parser while the document streams in."""

    root: str = ""
    path: list[str] = field(default_factory=list)
    text: list[str] = field(default_factory=list)
    length: int = 0
    texts: dict[tuple[str, ...], str] = field(default_factory=dict)
    values: array[float] = field(default_factory=lambda: array("d"))
    columns: int = 0
    datums: int = 0

    def start(self, name: str, _: Mapping[str, str]) -> None:
        local = name.rsplit(":", 1)[-1]
        if not self.root:
            self.root = local
            return
        self.path.append(local)
        self.text, self.length = [], 0
        if len(self.path) > DEEPEST:
            raise _WrongError(f"elements of main.xml lie more than {DEEPEST} deep in each other")

    def data(self, text: str) -> None:
        if self.length < LONGEST_TEXT:
            self.text.append(text[:LONGEST_TEXT])
            self.length += len(text)

    def end(self, _: str) -> None:
        if not self.path:
            return
        where, text = tuple(self.path), "".join(self.text).strip()
        if where == DATUM:
            self.datum(text)
        elif len(self.texts) < 1000:
            self.texts.setdefault(where, text)
        self.path.pop()
        self.text, self.length = [], 0

    def datum(self, text: str) -> None:
        self.datums += 1
        if self.datums > MOST_POINTS:
            raise _WrongError(f"there are more than {MOST_POINTS // 10**6} million points in main.xml")
        if not text:
            self.values.extend([math.nan] * max(self.columns, 1))
            return
        cells = text.split(";")
        if not self.columns and len(cells) > 1:
            # Empty points so far were counted as one value each, before it was known how many a point has.
            self.values.extend([math.nan] * ((self.datums - 1) * (len(cells) - 1)))
        self.columns = self.columns or len(cells)
        if len(cells) != self.columns or self.columns > 3:
            raise _WrongError(f"point {self.datums} in main.xml has {len(cells)} values, others have {self.columns}")
        for cell in cells:
            try:
                self.values.append(math.nan if "_" in cell else float(cell))
            except ValueError:
                raise _WrongError(f"point {self.datums} in main.xml is not a number") from None

    def doctype(self, *_: object) -> None:
        raise _WrongError("main.xml declares its own document type, which no instrument needs and which can hide a bomb")


def read_index(path: Path, stream: IO[bytes], largest: int) -> Index:
    """
    Read ``main.xml``.

    Parameters
    ----------
    path : Path
        The X3P file, for its name.
    stream : file
        The unpacked document.
    largest : int
        Bytes of it at most. [-]

    Returns
    -------
    Index
        With the axes checked.

    Raises
    ------
    InputProblems
        If it is not the index of an X3P surface on a grid.
    """
    reading = _Reading()
    digest = hashlib.md5(usedforsecurity=False)
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = reading.start
    parser.EndElementHandler = reading.end
    parser.CharacterDataHandler = reading.data
    parser.StartDoctypeDeclHandler = reading.doctype
    size = 0
    try:
        while chunk := stream.read(CHUNK):
            size += len(chunk)
            if size > largest:
                raise _WrongError(f"main.xml unpacks to more than {largest / 1e6:g} MB")
            digest.update(chunk)
            parser.Parse(chunk, False)
        parser.Parse(b"", True)
    except _WrongError as wrong:
        raise problem(path, str(wrong), ALLOWED) from None
    except (expat.ExpatError, ValueError, LookupError) as error:
        raise problem(path, f"main.xml is not XML ({str(error)[:80]})", "the file is damaged; " + ALLOWED) from None
    if reading.root != "ISO5436_2":
        raise problem(path, f"main.xml is about {reading.root[:40]!r}, not about a surface", ALLOWED)
    return _index(path, reading, digest.hexdigest())


def _index(path: Path, reading: _Reading, md5: str) -> Index:
    texts = reading.texts
    revision = " ".join(texts.get(("Record1", "Revision"), "").replace("–", "-").split())
    if revision not in REVISIONS:
        raise problem(path, f"its revision is {revision[:40]!r}", f"known revisions are {' and '.join(REVISIONS[1:])}")
    if texts.get(("Record1", "FeatureType"), "").upper() not in ("SUR", "PRF", "PCL"):
        raise problem(path, "main.xml does not say whether it is a surface or a profile", ALLOWED)
    if ("Record3", "ListDimension") in texts:
        raise problem(
            path, "it is a cloud of points without rows and columns", "put it on an even grid in the program that made it, and save again"
        )
    across, rows, layers = (_whole(path, texts, ("Record3", "MatrixDimension", name)) for name in ("SizeX", "SizeY", "SizeZ"))
    if layers != 1:
        raise problem(path, f"it holds {layers} layers on top of each other", "a surface has one; save the one you want")
    axes = (_axis(path, texts, "CX"), _axis(path, texts, "CY"), _axis(path, texts, "CZ"))
    if not axes[2].absolute:
        raise problem(path, "its heights are not stored (axis CZ is incremental)", ALLOWED)
    datums = None
    if ("Record3", "DataList") in texts:
        absolute = sum(axis.absolute for axis in axes)
        if reading.columns not in (0, absolute):
            raise problem(path, f"points in main.xml have {reading.columns} values where the axes need {absolute}", ALLOWED)
        values = np.array(reading.values, dtype=np.float64)
        datums = values.reshape(reading.datums, -1) if reading.columns else np.full((reading.datums, absolute), np.nan)
    elif ("Record3", "DataLink", "PointDataLink") not in texts:
        raise problem(path, "main.xml holds no heights and names no file of them", ALLOWED)
    return Index(axes, across, rows, texts, datums, md5)


def _whole(path: Path, texts: Mapping[tuple[str, ...], str], where: tuple[str, ...]) -> int:
    text = texts.get(where, "")
    if not (text.isascii() and text.isdigit() and len(text) <= 18):
        raise problem(path, f"{where[-1]} in main.xml is {text[:40]!r}", "it is a whole number of points")
    return int(text)


def _axis(path: Path, texts: Mapping[tuple[str, ...], str], name: str) -> Axis:
    where = ("Record1", "Axes", name)
    kind = texts.get((*where, "AxisType"), "")
    if kind not in ("I", "A"):
        raise problem(path, f"axis {name} in main.xml is of type {kind[:20]!r}", "axes are I (even steps) or A (each point its own)")
    stored = texts.get((*where, "DataType"), "") or ("D" if kind == "I" else "")
    if stored not in ("I", "L", "F", "D"):
        raise problem(path, f"axis {name} in main.xml stores {stored[:20]!r}", "axes store I, L, F or D")
    text = texts.get((*where, "Increment"), "") or "1"
    try:
        increment = math.nan if "_" in text else float(text)
    except ValueError:
        increment = math.nan
    if not 0.0 < increment < math.inf:
        raise problem(path, f"the increment of axis {name} is {text[:40]!r}", "an increment is a positive number of metres")
    return Axis(kind == "A", stored, increment)
