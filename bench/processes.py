"""Whole processes: help, check and plan, warm, with the memory they take."""

from __future__ import annotations

import resource
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

Row = tuple[str, float, str]

START = ["start", "lids", "--face", "420 mm x 300 mm", "--grain", "along 420 mm", "--alloy", "304", "--sheet", "1.5 mm"]
SET = {
    "settings.force": "40 N", "settings.speed": "18 m/s", "settings.feed": "120 mm/s", "settings.step_over": "25 mm",
    "settings.rounds": "3", "settings.offsets": "even", "settings.taper": "1",
}  # fmt: skip


def run(arguments: list[str], folder: Path) -> tuple[float, float]:
    """Seconds and megabytes of one whole process."""
    start = perf_counter()
    subprocess.run([sys.executable, "-m", "evenlay", *arguments], cwd=folder, check=False, capture_output=True)
    took = perf_counter() - start
    return took, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024


def rows(repeats: int = 3) -> list[Row]:
    """Shortest of a few warm runs of each; peak memory of all children so far."""
    from evenlay.files.jobfile import set_value

    folder = Path(tempfile.mkdtemp())
    try:
        run(START, folder)
        shutil.copytree(folder / "lids", folder / "open")
        for key, text in SET.items():
            set_value(folder / "lids", key, text)
        found: list[Row] = []
        for name, arguments, goal, count in (
            ("process: help (goal 0.4)", ["--help"], 0.4, repeats),
            ("process: check (goal 1)", ["check", "lids"], 1.0, repeats),
            ("process: plan, all set, no pictures (goal 2.5)", ["plan", "lids", "--no-pictures"], 2.5, repeats),
            ("process: plan, all set, pictures (goal 6)", ["plan", "lids"], 6.0, repeats),
            ("process: plan, choosing from scratch (goal 30)", ["plan", "open", "--no-pictures"], 30.0, 1),
        ):
            run(arguments, folder) if count > 1 else None
            took = min(run(arguments, folder)[0] for _ in range(count))
            found += [(name, took, "s"), (f"{name.split(' (')[0]}, of its goal", 100.0 * took / goal, "%")]
        found.append(("process: most memory (goal 400)", run(["check", "lids"], folder)[1], "MB"))
        return found
    finally:
        shutil.rmtree(folder)
