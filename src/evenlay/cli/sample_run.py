"""Running ``evenlay sample``: parse, draw, write, print."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from evenlay.answers.sample import sample_job
from evenlay.answers.sample_files import folder_for, written_sample
from evenlay.answers.sample_options import asked as read_options
from evenlay.answers.sample_options import smoothing_files, variants
from evenlay.cli.exits import Exit
from evenlay.cli.progress import progress_bar
from evenlay.cli.sample_screen import show_sample
from evenlay.cli.screens import print_json
from evenlay.files.jobfile import job_path


def draw_sample(
    job: Path,
    *,
    out: Path | None,
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
    asked, about : mapping
        Options as given, ``vary`` and ``compare`` among them; face, step and changes.
    draw : callable
        From a sheet to its pictures.
    json : bool
        Whether to print the sheet instead of the screen.
    """
    plain = {name: value for name, value in asked.items() if name not in ("vary", "compare", "before", "after")}
    files = {"compare": asked["compare"], "smoothing": smoothing_files(asked["before"], asked["after"])}
    options = replace(read_options(**plain, cores=os.cpu_count() or 1), variants=variants(asked["vary"]), **files)
    folder = folder_for(out if out is not None else job_path(job).parent / "sample")
    with progress_bar("drawing") as progress:
        sampled = sample_job(job, ask=options, progress=progress, **about)
    written = written_sample(sampled, folder, draw=draw)
    if json and sampled.sheet is not None:
        print_json(sampled.sheet)
    else:
        show_sample(written)
    return Exit.STOP if sampled.sheet is None else Exit.ANSWER
