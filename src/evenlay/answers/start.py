"""A new job folder."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from evenlay.files.jobfile import write_job
from evenlay.files.whole import write_new
from evenlay.job.starting import NewJob
from evenlay.quantities.errors import InputProblem, InputProblems

EXAMPLES = {"304": "counter-lid", "6061": "front"}
"""Example jobs that come with the program, by alloy."""


@dataclass(frozen=True)
class Started:
    """Folder and files that were made."""

    folder: Path
    files: tuple[Path, ...]


def start_job(  # noqa: PLR0913 - one argument per option of the command
    folder: Path | None, *, face: str, grain: str, alloy: str, sheet: str, asked: str, wheel: str, curvature: str, radius: str
) -> Started:
    """
    Make a job from what is known: two dimensions and a grain direction at least.

    Parameters
    ----------
    folder : Path or None
        Where; None is a problem.
    face, grain, alloy, sheet, asked, wheel, curvature, radius : str
        As on the command line; empty where not given.

    Returns
    -------
    Started

    Raises
    ------
    InputProblems
        With everything that is missing or wrong.
    """
    place = "evenlay start"
    missing = [
        InputProblem(place, name, "not given", f"write {example}")
        for name, value, example in (
            ("JOB", folder, "the name of a folder, as lids"),
            ("--face", face, '--face "420 mm x 300 mm"'),
            ("--grain", grain, '--grain "along 420 mm"'),
        )
        if not value
    ]
    if missing or folder is None:
        raise InputProblems(tuple(missing))
    new = NewJob(
        name=folder.name,
        size=face,
        grain=grain,
        alloy=alloy,
        sheet=sheet,
        asked=asked,
        created=datetime.date.today(),
        curvature=curvature,
        radius=radius,
        wheel=wheel,
    )
    return Started(folder, (write_job(folder, new),))


def start_example(folder: Path | None, *, alloy: str) -> Started:
    """
    Copy an example job: an invented shop's, with raw footprint and weighings to add.

    Parameters
    ----------
    folder : Path or None
        Where; the example's own name if None.
    alloy : str
        ``304`` for the counter lid, ``6061`` for the front.

    Returns
    -------
    Started

    Raises
    ------
    InputProblems
        If there is no such example, or the folder holds a job.
    """
    name = EXAMPLES.get(alloy)
    if name is None:
        raise InputProblems((InputProblem("evenlay start", "--alloy", f"no example of {alloy}", f"there are {', '.join(EXAMPLES)}"),))
    target = folder or Path(name)
    if target.exists() and any(target.iterdir() if target.is_dir() else [target]):
        raise InputProblems((InputProblem(str(target), "", "this folder is not empty", "choose another folder"),))
    target.mkdir(parents=True, exist_ok=True)
    written = []
    for entry in sorted(resources.files("evenlay.data").joinpath("examples", name).iterdir(), key=lambda item: item.name):
        write_new(target / entry.name, entry.read_bytes())
        written.append(target / entry.name)
    return Started(target, tuple(written))
