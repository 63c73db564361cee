"""The picture of a surface, written where it was asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from evenlay.answers.surface_numbers import SurfaceAnswer
from evenlay.files.bounded import problem
from evenlay.files.whole import write_whole
from evenlay.job.surface_record import SurfaceRecord


def write_picture(answer: SurfaceAnswer, path: Path, *, draw: Callable[[Any], Mapping[str, bytes]]) -> SurfaceRecord:
    """
    Write the picture of a surface.

    Parameters
    ----------
    answer : SurfaceAnswer
    path : Path
        Ending in ``.png``.
    draw : callable
        From an answer to its pictures, by name.

    Returns
    -------
    SurfaceRecord
        With the file among those written.

    Raises
    ------
    InputProblems
        If the name does not end in ``.png``, is the file that was read, or cannot be written.
    """
    if path.suffix.lower() != ".png":
        raise problem(path, f"pictures are not drawn as {path.suffix or 'a name without ending'}", "end the name in .png")
    after = () if answer.record.smoothing is None else (answer.record.smoothing.after.file,)
    for taken in (answer.record.read.file, *after, *answer.record.written):
        if path.exists() and Path(taken).exists() and path.samefile(taken):
            raise problem(path, "this is a file of heights", "give another name: heights are never written over by a picture")
    try:
        for content in draw(answer).values():
            write_whole(path, content)
    except OSError as error:
        raise problem(path, f"it cannot be written ({error.strerror})", "give a folder that exists and may be written") from None
    return answer.record.model_copy(update={"written": (*answer.record.written, str(path))})
