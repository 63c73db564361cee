"""SDF (ISO 25178-71, and the BCR proposal before it): a header and heights, in text or in binary."""

from __future__ import annotations

import math
import re
import struct
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from evenlay.files.bounded import problem
from evenlay.files.surfaces.grid import LARGEST, LARGEST_TEXT, Floats, content_of, counted, surface_of
from evenlay.files.surfaces.words import fields_of, lines_of, own_words
from evenlay.files.whole import write_whole
from evenlay.physics.surface_numbers.surface import Surface
from evenlay.quantities.errors import InputProblems

ALLOWED: Final = "give an SDF file as instruments write it (ISO 25178-71)"

DAMAGED: Final = "the file is damaged or was cut off; fetch it again"

MAGIC: Final = re.compile(rb"(?:\xef\xbb\xbf)?([abAB])(ISO-1\.0|ISO-2\.0|BCR-1\.0|(?:ISO|BCR)-.{3})", re.DOTALL)

TYPES: Final = ("u1", "<u2", "<u4", "<f4", "i1", "<i2", "<i4", "<f8")
"""By the code of the header."""

KNOWN_TYPES: Final[Mapping[str, tuple[int, ...]]] = {
    "ISO-1.0": (5, 6, 7),
    "ISO-2.0": (3, 4, 5, 6, 7),
    "BCR-1.0": (0, 1, 2, 3, 4, 5, 6, 7),
}
"""Codes that a revision has."""

TYPE_WORDS: Final = ("UCHAR", "UINTEGER", "ULONGINT", "FLOAT", "CHAR", "INTEGER", "LONGINT", "DOUBLE")
"""Names for the codes in text of the BCR proposal."""

NONE_WORDS: Final = ("NULL", "NONE")

BCR_MISSING: Final = {4: 3.4e38, 8: 1.7e308}
"""Floats of the BCR proposal from which on a point is missing, by bytes. [stored units]"""

MOST_ACROSS: Final = 65535
"""Columns and rows that the binary header of ISO-1.0 can hold. [-]"""

BLOCK: Final = 1_000_000
"""Characters of text turned into numbers at once. [-]"""


@dataclass(frozen=True)
class Header:
    """
    What the header says that heights need.

    Parameters
    ----------
    revision : str
        As ``ISO-1.0``.
    across, rows : int
        Declared columns and rows. [-]
    spacing : tuple of float
        Along x and y. [m]
    scale : float
        What a stored height is multiplied by. [m]
    kind : int
        Code of the data type.
    """

    revision: str
    across: int
    rows: int
    spacing: tuple[float, float]
    scale: float
    kind: int


def read_sdf(path: Path) -> Surface:
    """
    Read a surface or a profile from an SDF file.

    Parameters
    ----------
    path : Path
        ISO-1.0, ISO-2.0 or BCR-1.0, text or binary, not compressed.

    Returns
    -------
    Surface
        First row at y = 0; a BCR file has its first row at the far end and is turned round. [m]

    Raises
    ------
    InputProblems
        In one sentence: cut off, too large, a compression or data type that the revision does not have, no heights.
    """
    content = content_of(path, LARGEST, "an SDF file")
    match = MAGIC.match(content)
    if match is None:
        raise problem(path, "it does not begin as an SDF file does", ALLOWED)
    revision = match.group(2).decode("ascii", errors="replace")
    if revision not in KNOWN_TYPES:
        raise problem(path, f"its revision is {revision!r}", f"known revisions are {', '.join(KNOWN_TYPES)}")
    if match.group(1) in b"bB":
        return _binary(path, content, match.end(), revision)
    if len(content) > LARGEST_TEXT:
        raise problem(path, f"it is text of more than {LARGEST_TEXT / 1e6:g} MB", "save it as binary SDF, or cut out a part")
    return _text(path, content[match.end() :], revision)


def _checked(path: Path, header: Header, *, compression: int, check: int) -> Header:
    if compression != 0:
        raise problem(path, "its heights are compressed", "save it without compression")
    if check != 0:
        raise problem(path, "it carries checksums of its own kind", "save it without a checksum of each profile")
    if header.kind not in KNOWN_TYPES[header.revision]:
        raise problem(path, f"its data type is {header.kind}", f"{header.revision} has {_listed(KNOWN_TYPES[header.revision])}")
    if not 0.0 < header.scale < math.inf:
        raise problem(path, f"its Zscale is {header.scale:g}", "a scale is a positive number of metres")
    counted(path, header.across, header.rows)
    return header


def _listed(codes: tuple[int, ...]) -> str:
    return ", ".join(str(code) for code in codes)


def _binary(path: Path, content: bytes, begin: int, revision: str) -> Surface:
    layout = struct.Struct("<34xII4d3B" if revision == "ISO-2.0" else "<34xHH4d3B")
    if len(content) < begin + layout.size:
        raise problem(path, "it ends inside its header", DAMAGED)
    across, rows, x, y, z, _, compression, kind, check = layout.unpack_from(content, begin)
    header = _checked(path, Header(revision, across, rows, (x, y), z, kind), compression=compression, check=check)
    stored_type = np.dtype(TYPES[kind])
    first, size = begin + layout.size, across * rows * stored_type.itemsize
    if len(content) < first + size:
        raise problem(path, f"it declares {across} × {rows} points and ends before them", DAMAGED)
    stored = np.frombuffer(content, dtype=stored_type, count=across * rows, offset=first)
    trailer = content[first + size : first + size + 100_000].decode("ascii", errors="replace")
    return _surface(path, header, stored, _marked(stored, revision, stored_type), trailer)


def _marked(stored: NDArray[Any], revision: str, kind: np.dtype[Any]) -> NDArray[np.bool_]:
    """Where a stored value is the mark of its type for a point that was not measured."""
    if revision != "BCR-1.0":
        smallest = np.iinfo(kind).min if kind.kind in "iu" else np.finfo(kind).min
        return np.asarray(stored == smallest)
    if kind.kind == "f":
        return np.asarray(stored >= kind.type(BCR_MISSING[kind.itemsize]))
    return np.asarray(stored == np.iinfo(kind).max)


def _surface(path: Path, header: Header, stored: NDArray[Any], missing: NDArray[np.bool_], trailer: str) -> Surface:
    shape = (header.rows, header.across)
    stored, missing = stored.reshape(shape), missing.reshape(shape)
    if header.revision == "BCR-1.0":
        stored, missing = stored[::-1], missing[::-1]
    height = np.empty(shape)
    with np.errstate(over="ignore", invalid="ignore"):
        np.multiply(stored, header.scale, out=height, dtype=np.float64, casting="unsafe")
    height[missing] = np.nan
    along, source = own_words(fields_of(trailer.splitlines()))
    return surface_of(path, height, header.spacing, along=along, source=source)


def _text(path: Path, content: bytes, revision: str) -> Surface:
    """Text: header, heights and trailer, each ended by a line of one star."""
    content = content.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if revision == "BCR-1.0":
        content = re.sub(rb";[^\n]*", b"", content)
    line = content.find(b"\n")
    if content[: max(line, 0)].strip():
        raise problem(path, "its first line holds more than the name of the format", ALLOWED)
    stars = re.finditer(rb"^[ \t]*\*[ \t]*$", content, re.MULTILINE)
    head, data = next(stars, None), next(stars, None)
    if head is None or data is None:
        raise problem(path, "the line of one star that ends header or heights is missing", DAMAGED)
    fields = fields_of(content[: min(head.start(), 100_000)].decode("ascii", errors="replace").split("\n"))
    header = _text_header(path, fields, revision)
    numbers = _numbers(path, content[head.end() : data.start()], header)
    missing = np.isnan(numbers)
    if revision == "BCR-1.0":
        missing |= _marked(numbers, revision, np.dtype(TYPES[header.kind]))
    trailer = content[data.end() : data.end() + 100_000].decode("ascii", errors="replace")
    return _surface(path, header, numbers, missing, trailer)


def _text_header(path: Path, fields: Mapping[str, str], revision: str) -> Header:
    def text(name: str) -> str:
        if name.lower() not in fields:
            raise problem(path, f"{name} is missing in its header", DAMAGED)
        return fields[name.lower()]

    def wrong(name: str, allowed: str) -> InputProblems:
        return problem(path, f"{name} in its header is {text(name)[:40]!r}", allowed)

    def whole(name: str, words: Mapping[str, int] | None = None) -> int:
        if revision == "BCR-1.0" and words and text(name).upper() in words:
            return words[text(name).upper()]
        if not re.fullmatch(r"\+?[0-9]{1,18}", text(name)):
            raise wrong(name, "it is a whole number")
        return int(text(name))

    def real(name: str) -> float:
        if not re.fullmatch(r"[-+0-9.eE]{1,60}", text(name)):
            raise wrong(name, "it is a number of metres")
        try:
            return float(text(name))
        except ValueError:
            raise wrong(name, "it is a number of metres") from None

    none = dict.fromkeys(NONE_WORDS, 0)
    return _checked(
        path,
        Header(
            revision,
            whole("NumPoints"),
            whole("NumProfiles"),
            (real("Xscale"), real("Yscale")),
            real("Zscale"),
            whole("DataType", {word: code for code, word in enumerate(TYPE_WORDS)}),
        ),
        compression=whole("Compression", none | {"RLL": 1}),
        check=whole("CheckType", none | {"UINTTRACE": 1}),
    )


def _numbers(path: Path, data: bytes, header: Header) -> Floats:
    """Heights written as text, in blocks, so that no list of all of them stands in memory."""
    count = header.across * header.rows
    if len(data) < 2 * count - 1:
        raise problem(path, f"it declares {header.across} × {header.rows} points and ends before them", DAMAGED)
    numbers = np.empty(count)
    filled, begin = 0, 0
    space = re.compile(rb"\s")
    while begin < len(data):
        gap = space.search(data, begin + BLOCK)
        end = gap.start() if gap else len(data)
        cells = data[begin:end].split()
        if filled + len(cells) > count:
            raise problem(path, f"it declares {header.across} × {header.rows} points and holds more", DAMAGED)
        try:
            numbers[filled : filled + len(cells)] = [_number(cell) for cell in cells]
        except ValueError:
            raise problem(path, f"a height after number {filled} is not a number", DAMAGED) from None
        filled, begin = filled + len(cells), end
    if filled != count:
        raise problem(path, f"it declares {header.across} × {header.rows} points and holds {filled}", DAMAGED)
    if header.kind not in (3, 7) and not np.all(np.isnan(numbers) | (numbers == np.rint(numbers))):
        raise problem(path, "a height is a fraction where the header declares whole numbers", DAMAGED)
    return numbers


def _number(cell: bytes) -> float:
    if len(cell) > 60 or b"_" in cell:
        raise ValueError
    if cell.upper() == b"BAD":
        return math.nan
    return float(cell)


def write_sdf(path: Path, surface: Surface) -> None:
    """
    Write a surface as SDF, ISO-1.0.

    Parameters
    ----------
    path : Path
        Where; written whole or not at all.
    surface : Surface
        A map or a trace.

    Notes
    -----
    Binary with 64-bit floats; text where it has more than `MOST_ACROSS` columns or rows, which the binary header of
    this revision cannot hold. The standard writes 15 digits in text; 17 are written, so that reading gives the same
    numbers. The missing mark is the type's smallest number in binary and BAD in text. Dates are zeros, which stands for
    not recorded: the same surface gives the same bytes. A trace has no spacing along y; its Yscale repeats Xscale.
    """
    rows, across = surface.height.shape
    trailer = "".join(f"{line}\r\n" for line in lines_of(surface))
    if max(rows, across) > MOST_ACROSS:
        write_whole(path, _as_text(surface, trailer))
        return
    second = surface.spacing_y or surface.spacing_x
    stored = np.where(surface.measured, surface.height, np.finfo(np.float64).min).astype("<f8")
    date = b"0" * 12
    head = struct.pack(
        "<8s10s12s12sHH4d3B", b"bISO-1.0", b"evenlay", date, date, across, rows, surface.spacing_x, second, 1.0, -1.0, 0, 7, 0
    )
    write_whole(path, head.replace(b"evenlay\0\0\0", b"evenlay   ", 1) + stored.tobytes() + trailer.encode("ascii"))


def _as_text(surface: Surface, trailer: str) -> bytes:
    rows, across = surface.height.shape
    second = surface.spacing_y or surface.spacing_x
    lines = ["aISO-1.0", "ManufacID = evenlay", f"CreateDate = {'0' * 12}", f"ModDate = {'0' * 12}"]
    lines += [f"NumPoints = {across}", f"NumProfiles = {rows}", f"Xscale = {surface.spacing_x:.16E}", f"Yscale = {second:.16E}"]
    lines += [f"Zscale = {1.0:.16E}", f"Zresolution = {-1.0:.16E}", "Compression = 0", "DataType = 7", "CheckType = 0", "*"]
    text = ["\r\n".join(lines), "\r\n"]
    for row in surface.height:
        text.append(" ".join("BAD" if math.isnan(height) else f"{height:.16E}" for height in row.tolist()))
        text.append("\r\n")
    return "".join([*text, "*\r\n", trailer, "*\r\n"]).encode("ascii")
