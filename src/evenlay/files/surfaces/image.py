"""Heights as a picture: 16-bit grey PNG whose text chunks say what a grey step and a pixel are in metres."""

from __future__ import annotations

import io
import math
import struct
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from evenlay.files.bounded import problem
from evenlay.files.surfaces.grid import LARGEST, content_of, counted, surface_of
from evenlay.files.surfaces.words import fields_of, lines_of, own_words
from evenlay.files.whole import write_whole
from evenlay.physics.surface_numbers.surface import Surface

SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"

NEEDED: Final = ("SpacingX", "SpacingY", "HeightLowest", "HeightStep")
"""Text chunks without which a picture carries brightness, not heights; each a number of metres."""

ALLOWED: Final = "give a 16-bit grey PNG with the text chunks SpacingX, SpacingY, HeightLowest and HeightStep, in metres"

DAMAGED: Final = "the file is damaged or was cut off; fetch it again"

MOST_CHUNKS: Final = 200_000
"""Chunks of a picture. [-]"""

LONGEST_TEXT: Final = 100_000
"""Bytes of a text chunk that are read. [-]"""

HIGHEST_GREY: Final = 65535
"""Grey 0 stands for a point not measured, 1 for the lowest height. [-]"""


def read_height_image(path: Path) -> Surface:
    """
    Read heights from a 16-bit grey PNG.

    Parameters
    ----------
    path : Path
        Grey 0 is a point not measured, grey g ≥ 1 the height ``HeightLowest + (g - 1) × HeightStep``; the top row of the
        picture is at y = 0. A picture of one row is a trace, and its ``SpacingY`` is 0.

    Returns
    -------
    Surface
        As the picture says. [m]

    Raises
    ------
    InputProblems
        If the picture carries no scale of heights (a picture of brightness), is of another kind, damaged or too large.
    """
    content = content_of(path, LARGEST, "a PNG of heights")
    if not content.startswith(SIGNATURE):
        raise problem(path, "it does not begin as a PNG does", ALLOWED)
    head, lines, pixels = b"", list[str](), list[bytes]()
    for kind, body in _chunks(path, content):
        if kind == b"IHDR" and not head:
            head = body
        elif kind == b"IDAT":
            pixels.append(body)
        elif kind == b"tEXt" and len(lines) < 1000:
            name, _, value = body[:LONGEST_TEXT].partition(b"\0")
            lines.append(f"{name.decode('latin-1')} = {value.decode('latin-1')}".replace("\n", " "))
    if len(head) != 13 or not pixels:
        raise problem(path, "the picture has no head or no pixels", DAMAGED)
    across, rows, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", head)
    fields = fields_of(lines)
    scale = [_metres(fields.get(name.lower(), "")) for name in NEEDED]
    lacking = [name for name, number in zip(NEEDED, scale, strict=True) if math.isnan(number)]
    if lacking:
        found = f"the picture says no {' and no '.join(lacking)}, so its grey is brightness and not height"
        raise problem(path, found, ALLOWED)
    if (depth, colour) != (16, 0):
        raise problem(path, f"it has {depth} bits of {'grey' if colour == 0 else 'colour'}", ALLOWED)
    if interlaced:
        raise problem(path, "its rows are interlaced", "save it without interlacing")
    _check_size(path, pixels, counted(path, across, rows) * 2 + rows)
    grey = _grey(path, head, pixels)
    spacing_x, spacing_y, lowest, step = scale
    height = np.empty((rows, across))
    with np.errstate(over="ignore", invalid="ignore"):
        np.subtract(grey, 1.0, out=height)
        height *= step
        height += lowest
    height[grey == 0] = np.nan
    along, source = own_words(fields)
    return surface_of(path, height, (spacing_x, spacing_y), along=along, source=source)


def _chunks(path: Path, content: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Chunks in their order, each against its checksum, up to the end of the picture."""
    place = len(SIGNATURE)
    for _ in range(MOST_CHUNKS):
        if place + 12 > len(content):
            raise problem(path, "the picture is cut off", DAMAGED)
        length, kind = struct.unpack_from(">I4s", content, place)
        body = content[place + 8 : place + 8 + length]
        if place + 12 + length > len(content):
            raise problem(path, "the picture is cut off", DAMAGED)
        (stored,) = struct.unpack_from(">I", content, place + 8 + length)
        if zlib.crc32(body, zlib.crc32(kind)) != stored:
            raise problem(path, "the checksum of a part of the picture does not fit", DAMAGED)
        if kind == b"IEND":
            return
        yield kind, body
        place += 12 + length
    raise problem(path, f"the picture has more than {MOST_CHUNKS} parts", ALLOWED)


def _check_size(path: Path, pixels: list[bytes], wanted: int) -> None:
    """Unpack the pixels in small pieces, and keep nothing but their number: a decoder fills up what is lacking with zeros."""
    unpacker, found, piece = zlib.decompressobj(), 0, 1 << 20
    try:
        for packed in pixels:
            new = piece
            while (packed or new == piece) and found <= wanted and not unpacker.eof:
                new = len(unpacker.decompress(packed, piece))
                found, packed = found + new, unpacker.unconsumed_tail
    except zlib.error as error:
        raise problem(path, f"its pixels cannot be unpacked ({str(error)[:80]})", DAMAGED) from None
    if found != wanted or not unpacker.eof:
        raise problem(path, f"its pixels unpack to {'more' if found > wanted else 'less'} than its size needs", DAMAGED)


def _metres(text: str) -> float:
    try:
        number = math.nan if "_" in text else float(text)
    except ValueError:
        return math.nan
    return number if math.isfinite(number) else math.nan


def _grey(path: Path, head: bytes, pixels: list[bytes]) -> NDArray[np.uint16]:
    """Pixels, unpacked from a picture that holds nothing but them: nothing else of the file reaches the decoder."""
    from PIL import Image

    bare = io.BytesIO(SIGNATURE + _chunk(b"IHDR", head) + _chunk(b"IDAT", b"".join(pixels)) + _chunk(b"IEND", b""))
    try:
        with Image.open(bare, formats=("PNG",)) as picture:
            if picture.mode != "I;16":
                raise problem(path, "its grey is not 16 bits deep", ALLOWED)
            return np.asarray(picture, dtype=np.uint16)
    except (OSError, SyntaxError, ValueError, EOFError, zlib.error, struct.error) as error:
        raise problem(path, f"its pixels cannot be unpacked ({str(error)[:80]})", DAMAGED) from None


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(body, zlib.crc32(kind)))


def write_height_image(path: Path, surface: Surface) -> None:
    """
    Write heights as a 16-bit grey PNG.

    Parameters
    ----------
    path : Path
        Where; written whole or not at all.
    surface : Surface
        A map or a trace.

    Notes
    -----
    The range of heights is parted into 65534 steps: a height is kept to half a step (0.15 nm on 20 µm), the other
    formats keep it exactly. What was read from such a picture is written as the same greys.
    """
    rows, across = surface.height.shape
    lowest, highest = float(np.nanmin(surface.height)), float(np.nanmax(surface.height))
    step = (highest - lowest) / (HIGHEST_GREY - 1) or 1e-12
    words = [f"{name} = {number!r}" for name, number in zip(NEEDED, (surface.spacing_x, surface.spacing_y, lowest, step), strict=True)]
    texts = [line.partition(" = ") for line in (*words, *lines_of(surface))]
    packer = zlib.compressobj(6)
    greys = (np.clip(np.rint((row - lowest) / step) + 1, 1, HIGHEST_GREY) for row in surface.height)
    packed = b"".join([packer.compress(b"\0" + np.nan_to_num(grey).astype(">u2").tobytes()) for grey in greys] + [packer.flush()])
    parts = [_chunk(b"IHDR", struct.pack(">IIBBBBB", across, rows, 16, 0, 0, 0, 0))]
    parts += [_chunk(b"tEXt", f"{name}\0{value}".encode("latin-1")) for name, _, value in texts]
    parts += [_chunk(b"IDAT", packed), _chunk(b"IEND", b"")]
    write_whole(path, SIGNATURE + b"".join(parts))
