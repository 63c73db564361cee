"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path


def write_whole(path: Path, content: bytes) -> None:
    """
    Write a file so that a reader sees the old one or the new one, never a part.

    Parameters
    ----------
    path : Path
        Where; the folder must exist.
    content : bytes
        All of it.

    Notes
    -----
    A temporary file beside it, flushed to the disk, then renamed over it; whoever is killed half way leaves the old
    file as it was (and perhaps a ``.tmp`` beside it).
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".tmp")
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask())
        temporary.replace(path)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def write_new(path: Path, content: bytes) -> None:
    """
    Write a file that must not exist yet, whole or not at all.

    Parameters
    ----------
    path : Path
        Where.
    content : bytes
        All of it.

    Raises
    ------
    FileExistsError
        If something is there already: two writers never overwrite each other.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".tmp")
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(0o666 & ~_umask())
        os.link(temporary, path)
    finally:
        temporary.unlink(missing_ok=True)
    _sync_folder(path.parent)


def _umask() -> int:
    mask = os.umask(0o022)
    os.umask(mask)
    return mask


def _sync_folder(folder: Path) -> None:
    """Flush the folder's own entry where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
