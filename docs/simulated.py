"""The page of lines in closed form against lines grain by grain, from the numbers of every belt that the example script kept."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Final

import numpy as np
from paper import code, page, table

KEPT: Final = Path(__file__).parents[1] / "tests" / "reference" / "lines_by_simulation.toml"
BANDS: Final = ("0.5-1 mm", "1-2 mm", "2-5 mm", "5-10 mm", "10-30 mm")


def cell(belts: np.ndarray) -> str:
    """Mean over belts and its standard error."""
    return f"{np.mean(belts):.2f} ± {np.std(belts, ddof=1) / np.sqrt(belts.size):.2f}"


def lines_page() -> str:
    """Ratio per set-up and band of pitch, relief and texture."""
    kept = tomllib.loads(KEPT.read_text(encoding="utf-8"))["trial"]
    belts = len(kept[0]["relief"])
    parts = [
        "Power of the lines that one belt prints along the grain: simulation over closed form, per band of pitch. "
        f"Each number is the mean of {belts} belts, ± its standard error. Unless said: P120 grains that leave the published Ra, belt of "
        "0.5 m, 0.1 MPa, E* 6.7 MPa, 8 µm of metal moved a round (0.34 µm taken off), one turn of the belt, nothing that "
        "fails to repeat. Nothing is fitted in relief; in texture one width (8 µm) and one memory by grain are.",
        f"Made again by `python examples/closed_form_against_simulation.py --seeds {belts} --write` (about five minutes); a "
        "test makes some of it again at every run. Theory: [grain by grain](theory/grain-by-grain.md).",
    ]
    for name, said in (
        (
            "relief",
            "How deep each place across was cut. Claimed from 1 mm, from 2 mm at 0.3 MPa and on covers of 40 MPa: finer, the metal "
            "that grains push about adds as much again (nothing ploughed: 0.95).",
        ),
        ("texture", "How rough each place across is. Claimed from 0.5 to 10 mm near 0.1 MPa and 7 MPa, within a quarter."),
    ):
        rows = [
            (
                trial["name"] + ("" if trial["claimed"] else " (not claimed)"),
                *(cell(np.array(trial[name])[:, band]) for band in range(len(BANDS))),
            )
            for trial in kept
        ]
        parts += [f"## {name.capitalize()}", said, table(("", *BANDS), rows)]
    parts += [
        "## What this does not show",
        "That brushed metal does the same: no measured brushed face is published. The simulation and the closed form share the belt "
        "(grains on springs, force as chip or groove area); they differ in everything after it. "
        f"Tests: {code('tests/validation/test_lines_by_simulation.py')}.",
    ]
    return page("Lines: closed form against simulation", *parts)
