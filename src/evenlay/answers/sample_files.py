"""Samples drawn and written: maps, picture and numbers, all or nothing."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from evenlay.answers.sample import Sampled
from evenlay.answers.sample_options import refused
from evenlay.files.surfaces.opened import write_surface
from evenlay.files.whole import write_whole
from evenlay.job.sample_record import SampleSheet

Draw = Callable[[Sampled], Mapping[str, bytes]]

NUMBERS: Final = "numbers.json"
MAP: Final = "sample"


@dataclass(frozen=True, eq=False)
class WrittenSample:
    """A sheet of samples, and the files that hold it; none while a stop stands."""

    sampled: Sampled
    files: tuple[Path, ...]


def sample_text(sheet: SampleSheet) -> str:
    """Sheet as JSON, the same bytes for the same sheet."""
    return json.dumps(sheet.model_dump(mode="json"), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def folder_for(out: Path) -> Path:
    """
    Folder to write into, looked at before the long work.

    Raises
    ------
    InputProblems
        If something else than a folder lies there, or above it.
    """
    for place in (out, *out.parents):
        if place.exists():
            if place.is_dir():
                return out
            raise refused("--out", f"{place} is not a folder", "give a folder, new or old")
    return out


def written_sample(sampled: Sampled, out: Path, *, draw: Draw | None = None) -> WrittenSample:
    """
    Write a sheet: ``sample.x3p`` (or one for each variant), the picture and ``numbers.json``.

    Parameters
    ----------
    sampled : Sampled
    out : Path
        Folder, made where it is not there.
    draw : callable, optional
        From a sheet to pictures, file name to content.

    Returns
    -------
    WrittenSample

    Raises
    ------
    InputProblems, OSError
        If it cannot be written.
    """
    if sampled.sheet is None:
        return WrittenSample(sampled, ())
    # Drawn first: whoever stops the drawing keeps the files that were there.
    pictures = draw(sampled) if draw is not None else {}
    out.mkdir(parents=True, exist_ok=True)
    files = []
    for number, surface in enumerate(sampled.surfaces, start=1):
        path = out / (f"{MAP}.x3p" if len(sampled.surfaces) == 1 else f"{MAP}-{number}.x3p")
        write_surface(path, surface)
        files.append(path)
    for name, content in (*pictures.items(), (NUMBERS, sample_text(sampled.sheet).encode("utf-8"))):
        write_whole(out / name, content)
        files.append(out / name)
    return WrittenSample(sampled, tuple(files))
