"""The page on surface files says what the readers do: its examples are read, its limits are theirs."""

import re
from pathlib import Path

import pytest

from evenlay.files.surfaces import image, open_surface, opened, sdf, text, x3p
from evenlay.files.surfaces.grid import HIGHEST, LARGEST, LARGEST_TEXT, LONGEST, MOST_POINTS

PAGE = (Path(__file__).resolve().parents[4] / "docs" / "reference" / "surface-files.md").read_text(encoding="utf-8")

EXAMPLES = re.findall(r"```text\n(.*?)```", PAGE, re.DOTALL)


@pytest.mark.parametrize(("example", "shape", "missing"), list(zip(EXAMPLES, [(2, 4), (1, 3), (1, 2), (2, 2)], [1, 0, 0, 0], strict=True)))
def test_an_example_of_the_page_is_read(example, shape, missing, tmp_path):
    (tmp_path / "example.csv").write_text(example, encoding="utf-8")
    surface = open_surface(tmp_path / "example.csv")
    assert (surface.height.shape, surface.missing) == (shape, missing)
    assert surface.height[0, 0] == 0.12e-6


def test_the_limits_of_the_page_are_those_of_the_readers():
    million = 10**6
    assert f"{MOST_POINTS // million} million points, {LARGEST // million} MB ({LARGEST_TEXT // million} MB of text" in PAGE
    assert f"{x3p.LARGEST_INDEX // million} MB of `main.xml`" in PAGE
    assert f"spacings above {LONGEST:g} m, heights above {HIGHEST:g} m" in PAGE
    assert f"more than {sdf.MOST_ACROSS} columns" in PAGE
    assert f"in {image.HIGHEST_GREY - 1} steps" in PAGE


def test_every_name_that_a_reader_knows_stands_on_the_page():
    for name in (*opened.WRITERS, *image.NEEDED, *text.NAMES, *sdf.KNOWN_TYPES):
        assert name in PAGE.lower() or name in PAGE
