"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator
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


@contextlib.contextmanager
def alone(folder: Path) -> Iterator[None]:
    """
    Hold a folder for the time of a block: a second writer waits.

    Parameters
    ----------
    folder : Path
        Must exist.

    Notes
    -----
    The system's own lock on the folder, so a killed writer leaves nothing behind. Where the system has none (Windows)
    two writers at the same instant may meet; `write_new` still keeps either from overwriting the other.
    """
    try:
        import fcntl
    except ImportError:
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


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
