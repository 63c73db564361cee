"""What ``make demo`` runs: the counter lid from start to plan, with and without what was measured."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import time
from pathlib import Path

from measured_surfaces import measured_surfaces

HERE = Path(__file__).resolve().parent.parent
FOLDER = HERE / "demo"
JOB = FOLDER / "counter-lid"

STEPS = (
    ("a job folder (copied; evenlay start makes one from two dimensions)", ["start", str(JOB), "--example"]),
    ("what geometry and clocks alone say", ["check", str(JOB)]),
    ("a plan with no trial cut yet", ["plan", str(JOB), "--no-pictures"]),
    (
        "an inked footprint and two weighings",
        ["add", str(JOB), "footprint", "--length", "18.5 mm", "--width", "54 mm", "--force", "40 N", "--file", str(JOB / "footprint.csv")],
    ),
    ("", ["add", str(JOB), "weight", "--file", str(JOB / "weighings.csv"), "--resolution", "0.1 g"]),
    ("the same command again: visibly narrower, with pictures", ["plan", str(JOB), "--why-visible", "overlap"]),
    ("marks 10 mm apart along the grain: which cause?", ["why", str(JOB), "--spacing", "10 mm", "--along"]),
    ("a trace along the grain: which spacing stands out, from which cause?", ["surface", str(JOB / "trace-along.csv"), "--job", str(JOB)]),
)
"""Words, and the arguments of the command."""

PIECE = "30 mm x 54 mm"
SIDE_BY_SIDE = 50.0
"""Piece that is drawn; the step-over of someone who lays belts of 50 mm side by side. [mm]"""


def drawn() -> list[str]:
    """Arguments of the drawn sample: step-over before and after it was chosen."""
    chosen = 1e3 * json.loads((JOB / "plan.json").read_text(encoding="utf-8"))["settings"]["step_over"]
    return ["sample", str(JOB), "--size", PIECE, "--out", str(JOB / "sample"), "--vary", f"step_over={SIDE_BY_SIDE:g},{chosen:.4g}mm"]


def shown(words: str, arguments: list[str]) -> int:
    """Run one command as a reader would, and give its exit code."""
    if words:
        print(f"\n{'=' * 80}\n{words}\n{'=' * 80}")
    print("$ evenlay " + " ".join(f'"{part}"' if " " in part else part for part in arguments), flush=True)
    left = subprocess.run([sys.executable, "-m", "evenlay", *arguments], check=False).returncode
    if left != 0:
        print(f"the command left exit code {left}")
    return left


def main() -> int:
    """Run every step and say where the pictures lie."""
    shutil.rmtree(FOLDER, ignore_errors=True)
    FOLDER.mkdir()
    started = time.monotonic()
    for words, arguments in STEPS:
        left = shown(words, arguments)
        if left != 0:
            return left
    left = shown("what it will look like: belts laid side by side, and at the step-over that was chosen", drawn())
    if left != 0:
        return left
    print(f"\n{measured_surfaces(FOLDER / 'measured-surfaces.png')}")
    print(f"\n{time.monotonic() - started:.0f} s. The pictures lie in {JOB / 'pictures'}:")
    for picture in [*sorted((JOB / "pictures").glob("*.png")), JOB / "sample" / "sample.png"]:
        print(f"  {picture}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
