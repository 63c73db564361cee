"""Running ``evenlay sample``: parse, draw, write, print."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from evenlay.answers.sample import sample_job
from evenlay.answers.sample_files import folder_for, written_sample
from evenlay.answers.sample_options import asked as read_options
from evenlay.answers.sample_options import variants
from evenlay.cli.exits import Exit
from evenlay.cli.progress import progress_bar
from evenlay.cli.sample_screen import show_sample
from evenlay.cli.screens import print_json
from evenlay.files.jobfile import job_path


def draw_sample(
    job: Path,
    *,
    out: Path | None,
    vary: str,
    asked: Mapping[str, Any],
    about: Mapping[str, Any],
    draw: Callable[[Any], Mapping[str, bytes]],
    json: bool,
) -> int:
    """
    Draw and write; return the exit code.

    Parameters
    ----------
    job : Path
    out : Path, optional
        Folder to write into.
    vary : str
        Variants, or empty.
    asked, about : mapping
        Options as given; face, step, changes and the measured surface.
    draw : callable
        From a sheet to its pictures.
    json : bool
        Whether to print the sheet instead of the screen.
    """
    options = read_options(**asked, cores=os.cpu_count() or 1)
    sheets = variants(vary)
    folder = folder_for(out if out is not None else job_path(job).parent / "sample")
    with progress_bar("drawing") as progress:
        sampled = sample_job(job, ask=options, variants=sheets, progress=progress, **about)
    written = written_sample(sampled, folder, draw=draw)
    if json and sampled.sheet is not None:
        print_json(sampled.sheet)
    else:
        show_sample(written)
    return Exit.STOP if sampled.sheet is None else Exit.ANSWER
