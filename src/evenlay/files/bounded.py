"""Reading text files that strangers wrote: bounded, and every failure one sentence."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from evenlay.quantities.errors import InputProblem, InputProblems

MAGIC: Final = {
    b"\x89PNG": "a PNG picture",
    b"\xff\xd8\xff": "a JPEG picture",
    b"GIF8": "a GIF picture",
    b"BM": "a BMP picture",
    b"II*\x00": "a TIFF picture",
    b"MM\x00*": "a TIFF picture",
    b"%PDF": "a PDF",
    b"PK\x03\x04": "a zip archive or an office file (save it as CSV)",
    b"\xd0\xcf\x11\xe0": "an old office file (save it as CSV)",
    b"\x1f\x8b": "a gzip archive",
    b"\x7fELF": "a program",
}
"""First bytes of files that are often given by mistake."""


def problem(path: Path, found: str, allowed: str) -> InputProblems:
    """One problem with a file as a whole."""
    return InputProblems((InputProblem(str(path), "", found, allowed),))


def read_text(path: Path, *, largest: int, what: str) -> str:
    """
    Text of a file.

    Parameters
    ----------
    path : Path
        A regular file.
    largest : int
        Bytes read at most. [-]
    what : str
        What it should be, as ``a job file``.

    Returns
    -------
    str
        Decoded from UTF-8, or from UTF-16 with its byte order mark; line ends as ``\\n``.

    Raises
    ------
    InputProblems
        If it is missing, a folder, a device, too large, not text, empty.
    """
    allowed = f"give {what}"
    try:
        if path.is_dir():
            raise problem(path, "this is a folder", allowed)
        if not path.exists():
            raise problem(path, "there is no such file", allowed)
        if not path.is_file():
            raise problem(path, "this is not a regular file", allowed)
        with path.open("rb") as file:
            content = file.read(largest + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name cannot be used"
        raise problem(path, f"it cannot be read ({reason})", allowed) from None
    if len(content) > largest:
        raise problem(path, f"it is larger than {largest / 1e6:g} MB", f"{what} is at most {largest / 1e6:g} MB")
    return decoded(path, content, what)


def decoded(path: Path, content: bytes, what: str) -> str:
    """Text of bytes already read; the same problems as `read_text`."""
    allowed = f"give {what} as plain text in UTF-8"
    if not content.strip():
        raise problem(path, "the file is empty", allowed)
    for magic, kind in MAGIC.items():
        if content.startswith(magic) and not (magic == b"BM" and b"\x00" not in content[:64]):
            raise problem(path, f"this is {kind}", allowed)
    encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as error:
        raise problem(path, f"byte {error.start + 1} is not text in {'UTF-16' if encoding == 'utf-16' else 'UTF-8'}", allowed) from None
    if "\x00" in text:
        line = text[: text.index("\x00")].count("\n") + 1
        raise problem(path, f"there is a NUL byte in line {line}", allowed)
    if not text.strip():
        raise problem(path, "the file is empty", allowed)
    return text.replace("\r\n", "\n").replace("\r", "\n")
