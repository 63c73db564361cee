"""
One page with three surfaces that others saved: a map (X3P), a profile (X3P) and a map (SDF), each with its numbers.

They are sample files of two small reader packages (synthetic, CC0), brought by ``make real-inputs``; no package that we know of
carries a measured brushed surface. Run by itself: ``python examples/measured_surfaces.py page.png [FILE FILE FILE]``.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
CACHE = ROOT / ".cache" / "real-inputs"

PICKED = {
    "map, X3P of 2017": "x3pio-2.0.0/tests/samples/iso25178-72-2017/surface_binary.x3p",
    "profile, X3P of the amendment": "x3pio-2.0.0/tests/samples/iso25178-72-fdam1/profile_binary.x3p",
    "map, SDF ISO-1.0": "sdfio-2.0.0/tests/samples/iso25178-71-2026/iso1_surface_binary64_binary.sdf",
}

BRING = "The page with the three surfaces of others was not drawn: `make real-inputs` brings them, then `make demo` draws it."


def measured_surfaces(page: Path, *, cache: Path = CACHE) -> str:
    """
    Draw the page if the files are there.

    Parameters
    ----------
    page : Path
        Where, ending in ``.png``.
    cache : Path
        Where ``make real-inputs`` puts them.

    Returns
    -------
    str
        One sentence: where the page lies, or how to bring the files.
    """
    files = {words: cache / place for words, place in PICKED.items()}
    if not all(file.is_file() for file in files.values()):
        return BRING
    draw({f"{words}: {file.name} (sample file of a reader package, synthetic)": file for words, file in files.items()}, page)
    return f"Three surfaces that others saved, each with its numbers: {page}"


def draw(files: Mapping[str, Path], page: Path) -> None:
    """Read the files and draw them on one page, each under its words."""
    from evenlay.answers.surface_numbers import read_surface_file
    from evenlay.pages.surface_page import png, surfaces_figure

    # these are a fifth of a millimetre long: with the shortest cut-off of the standard they hold something to read
    page.write_bytes(png(surfaces_figure({words: read_surface_file(file, asked={"cut_off": "0.08 mm"}) for words, file in files.items()})))


if __name__ == "__main__":
    target = Path(sys.argv[1] if len(sys.argv) > 1 else "measured-surfaces.png")
    if len(sys.argv) > 2:
        draw({name: Path(name) for name in sys.argv[2:]}, target)
        print(target)
    else:
        print(measured_surfaces(target))
