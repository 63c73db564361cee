"""X3P (ISO 25178-72, formerly ISO 5436-2): a zip with an index in XML and the heights beside it."""

from __future__ import annotations

import hashlib
import io
import re
import zipfile
import zlib
from pathlib import Path
from typing import Any, Final, cast
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from evenlay.files.bounded import problem
from evenlay.files.surfaces.grid import LARGEST, Floats, counted, even_spacing, size_of, surface_of, unreadable
from evenlay.files.surfaces.words import fields_of, lines_of, own_words
from evenlay.files.surfaces.x3p_index import ALLOWED, Axis, Index, read_index
from evenlay.files.whole import write_whole
from evenlay.physics.surface_numbers.surface import Grain, Surface

MAIN: Final = "main.xml"
CHECKSUM: Final = "md5checksum.hex"
DATA: Final = "bindata/data.bin"
OWN: Final = "evenlay.txt"
"""Member of ours that holds what the standard has no place for: grain direction and source."""

VENDOR: Final = "urn:evenlay:surface:1"

LARGEST_INDEX: Final = 64_000_000
"""Bytes of main.xml unpacked. [-]"""

MOST_MEMBERS: Final = 1000
"""Files in the zip. [-]"""

STORED: Final = {"I": "<i2", "L": "<i4", "F": "<f4", "D": "<f8"}

DAMAGED: Final = "the file is damaged or was changed after it was written; fetch it again"


def read_x3p(path: Path) -> Surface:
    """
    Read a surface or a profile from an X3P file.

    Parameters
    ----------
    path : Path
        Any revision; heights in the index or beside it, packed or not; one layer on an even grid.

    Returns
    -------
    Surface
        In the file's own coordinates: offsets and a rotation say only where the piece lay, and are not applied. [m]

    Raises
    ------
    InputProblems
        In one sentence: damaged, checksums that do not fit, too large, a point cloud, several layers, an uneven grid.

    Notes
    -----
    Nothing is unpacked beyond what the index declares, and no more than `LARGEST` bytes; only stored and deflated
    members are read, because the other methods cannot be unpacked in bounded pieces.
    """
    size_of(path, LARGEST, "an X3P file")
    try:
        with path.open("rb") as file:
            if _too_many(file):
                raise problem(path, f"it holds more than {MOST_MEMBERS} files", ALLOWED)
            file.seek(0)
            with zipfile.ZipFile(file) as archive:
                return _surface(path, archive)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, UnicodeError) as error:
        raise problem(path, f"it cannot be unpacked ({str(error)[:80]})", DAMAGED) from None
    except OSError as error:
        raise unreadable(path, error, ALLOWED) from None


def _too_many(file: io.BufferedReader) -> bool:
    """Whether the directory at the end of the zip would fill the memory; counted before it is read."""
    count, tail = 0, b""
    while chunk := file.read(1 << 20):
        count += (tail + chunk).count(b"PK\x01\x02")
        tail = chunk[-3:]
    return count > MOST_MEMBERS


def _members(archive: zipfile.ZipFile) -> dict[str, zipfile.ZipInfo]:
    return {member.filename.replace("\\", "/"): member for member in archive.infolist()}


def _member(path: Path, archive: zipfile.ZipFile, link: str) -> zipfile.ZipInfo:
    """The member that a link of the index means; only members, never anything outside the file."""
    name = "/".join(part for part in link.strip().replace("\\", "/").split("/") if part not in ("", "."))
    member = _members(archive).get(name)
    if member is None:
        raise problem(path, f"{name[:60]!r} is not in it", ALLOWED if name == MAIN else DAMAGED)
    if member.flag_bits & 1:
        raise problem(path, "it is encrypted", "save it without a password")
    if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise problem(path, f"{name[:60]!r} is packed by a method that X3P does not use", ALLOWED)
    return member


def _unpacked(path: Path, archive: zipfile.ZipFile, link: str, size: int, md5: str) -> bytes:
    """Bytes of a member that must have a size and, where the index gives one, a digest."""
    member = _member(path, archive, link)
    with archive.open(member) as stream:
        content = stream.read(size + 1)
    if len(content) != size:
        found = f"more than {size}" if len(content) > size else str(len(content))
        raise problem(path, f"{member.filename[:60]!r} has {found} bytes where the index declares {size}", DAMAGED)
    if re.fullmatch(r"[0-9a-fA-F]{32}", md5) and _digest(content) != md5.lower():
        raise problem(path, f"the checksum of {member.filename[:60]!r} does not fit", DAMAGED)
    return content


def _digest(content: bytes) -> str:
    return hashlib.md5(content, usedforsecurity=False).hexdigest()


def _surface(path: Path, archive: zipfile.ZipFile) -> Surface:
    with archive.open(_member(path, archive, MAIN)) as stream:
        index = read_index(path, stream, LARGEST_INDEX)
    _check_index(path, archive, index)
    counted(path, index.across, index.rows)
    values = _from_index(path, index) if index.datums is not None else _from_member(path, archive, index)
    along, source = _own(path, archive)
    spacing = tuple(_spacing(path, index, values, axis) for axis in (0, 1))
    return surface_of(path, values[2], cast(tuple[float, float], spacing), along=along, source=source)


def _check_index(path: Path, archive: zipfile.ZipFile, index: Index) -> None:
    """Compare the digest of the index with the one stored, if there is one."""
    name = index.texts.get(("Record4", "ChecksumFile"), "") or CHECKSUM
    if name.strip().replace("\\", "/").removeprefix("./") not in _members(archive):
        return
    with archive.open(_member(path, archive, name)) as stream:
        stored = re.match(rb"\s*([0-9a-fA-F]{32})\b", stream.read(200))
    if stored and stored.group(1).decode().lower() != index.md5:
        raise problem(path, "the checksum of main.xml does not fit", DAMAGED)


def _from_index(path: Path, index: Index) -> dict[int, Floats]:
    """Values of the absolute axes, written in the index."""
    assert index.datums is not None
    count = index.across * index.rows
    if len(index.datums) != count:
        raise problem(path, f"main.xml holds {len(index.datums)} points where it declares {count}", DAMAGED)
    values: dict[int, Floats] = {}
    absolute = [number for number, axis in enumerate(index.axes) if axis.absolute]
    for column, number in enumerate(absolute):
        axis = index.axes[number]
        stored = index.datums[:, column]
        if axis.kind in "IL" and not np.all(np.isnan(stored) | (stored == np.rint(stored))):
            raise problem(path, "main.xml holds fractions where the axis stores whole numbers", DAMAGED)
        values[number] = _scaled(index, stored, axis)
    return values


def _from_member(path: Path, archive: zipfile.ZipFile, index: Index) -> dict[int, Floats]:
    """Values of the absolute axes, and which of them were measured, from the files beside the index."""
    where = ("Record3", "DataLink")
    absolute = [number for number, axis in enumerate(index.axes) if axis.absolute]
    record = np.dtype([(str(number), STORED[index.axes[number].kind]) for number in absolute])
    count = index.across * index.rows
    size = count * record.itemsize
    if size > LARGEST:
        raise problem(path, f"it declares {size / 1e6:.0f} MB of points", f"at most {LARGEST / 1e6:g} MB are read; cut out a part")
    digest = index.texts.get((*where, "MD5ChecksumPointData"), "")
    content = _unpacked(path, archive, index.texts[(*where, "PointDataLink")], size, digest)
    stored = np.frombuffer(content, dtype=record)
    values = {number: _scaled(index, stored[str(number)], index.axes[number]) for number in absolute}
    link = index.texts.get((*where, "ValidPointsLink"), "")
    if link:
        digest = index.texts.get((*where, "MD5ChecksumValidPoints"), "")
        bits = np.frombuffer(_unpacked(path, archive, link, (count + 7) // 8, digest), dtype=np.uint8)
        valid = np.unpackbits(bits, count=count, bitorder="little").astype(bool).reshape(index.rows, index.across)
        for one in values.values():
            one[~valid] = np.nan
    return values


def _scaled(index: Index, stored: NDArray[Any], axis: Axis) -> Floats:
    """Stored values in metres, in rows and columns; what is not finite was not measured."""
    height = np.empty((index.rows, index.across))
    with np.errstate(over="ignore", invalid="ignore"):
        np.multiply(stored.reshape(height.shape), axis.increment, out=height, casting="unsafe", dtype=np.float64)
    height[~np.isfinite(height)] = np.nan
    return height


def _spacing(path: Path, index: Index, values: dict[int, Floats], number: int) -> float:
    if not index.axes[number].absolute:
        return index.axes[number].increment
    return even_spacing(path, values[number].T if number else values[number], "xy"[number])


def _own(path: Path, archive: zipfile.ZipFile) -> tuple[Grain, str]:
    """Grain direction and source, if this program wrote the file."""
    if OWN not in _members(archive):
        return "", ""
    with archive.open(_member(path, archive, OWN)) as stream:
        text = stream.read(100_000).decode("utf-8", errors="replace")
    return own_words(fields_of(text.split("\n")))


def write_x3p(path: Path, surface: Surface) -> None:
    """
    Write a surface as X3P.

    Parameters
    ----------
    path : Path
        Where; written whole or not at all.
    surface : Surface
        A map or a trace.

    Notes
    -----
    Revision "ISO5436 - 2000", which every reader tried takes; heights as 64-bit floats, so that reading gives the same
    numbers; NaN for points not measured. The record of instrument and calibration is optional and left out: a drawn
    surface has neither, and the standard's form would need made-up dates. The same surface gives the same bytes.
    """
    data = np.ascontiguousarray(surface.height, dtype="<f8").tobytes()
    own = lines_of(surface)
    index = _index_text(surface, _digest(data), VENDOR if own else "").encode("utf-8")
    members = {MAIN: index, CHECKSUM: f"{_digest(index)} *{MAIN}\n".encode(), DATA: data}
    if own:
        members[OWN] = "".join(f"{line}\n" for line in own).encode("ascii")
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, content in members.items():
            member = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            member.compress_type = zipfile.ZIP_DEFLATED
            member.create_system = 3
            member.external_attr = 0o644 << 16
            archive.writestr(member, content)
    write_whole(path, packed.getvalue())


def _index_text(surface: Surface, md5: str, vendor: str) -> str:
    rows, across = surface.height.shape
    second = surface.spacing_y or surface.spacing_x
    axes = "".join(
        f"<{name}><AxisType>{kind}</AxisType><DataType>D</DataType><Increment>{increment!r}</Increment><Offset>0.0</Offset></{name}>\n"
        for name, kind, increment in (("CX", "I", surface.spacing_x), ("CY", "I", second), ("CZ", "A", 1.0))
    )
    space = "http://www.opengps.eu/2008/ISO5436_2"
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<p:ISO5436_2 xmlns:p="{space}" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" '
        f'xsi:schemaLocation="{space} {space}/ISO5436_2.xsd">\n'
        f"<Record1><Revision>ISO5436 - 2000</Revision><FeatureType>{'PRF' if surface.is_trace else 'SUR'}</FeatureType>\n"
        f"<Axes>\n{axes}</Axes></Record1>\n"
        f"<Record3><MatrixDimension><SizeX>{across}</SizeX><SizeY>{rows}</SizeY><SizeZ>1</SizeZ></MatrixDimension>\n"
        f"<DataLink><PointDataLink>{DATA}</PointDataLink><MD5ChecksumPointData>{md5}</MD5ChecksumPointData></DataLink></Record3>\n"
        f"<Record4><ChecksumFile>{CHECKSUM}</ChecksumFile></Record4>\n"
        + (f"<VendorSpecificID>{escape(vendor)}</VendorSpecificID>\n" if vendor else "")
        + "</p:ISO5436_2>\n"
    )
