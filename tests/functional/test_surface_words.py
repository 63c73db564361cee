"""What the surface command says of lengths that are too short, and of files that it must not write over."""

import numpy as np
import pytest

from evenlay.files.surfaces import write_surface
from evenlay.physics.surface_numbers import Surface, trace
from evenlay.physics.surface_numbers.pitches import length_for_pitches, pitches
from evenlay.physics.surface_numbers.spectrum import height_spectrum

SPACING = 4e-6


def rough(*shape):
    return np.random.default_rng(5).normal(size=shape) * 1e-6


def saved(path, millimetres, *, rows=1):
    points = round(millimetres * 1e-3 / SPACING) + 1
    z = rough(rows, points)
    write_surface(path, trace(z[0], spacing=SPACING, along="y") if rows == 1 else Surface(z, SPACING, 1e-3, along="y"))
    return path


@pytest.mark.parametrize(
    ("millimetres", "rows", "words"),
    [
        (1.0, 1, "no section of the evaluation length of 4 mm fits"),
        (1.7, 1, "1 of 5 sections of the evaluation length of 4 mm"),
        (3.3, 3, "in each of 3 rows 3 of 5 sections of the evaluation length of 4 mm"),
        (4.9, 1, "1 evaluation length of 4 mm"),
        (9.0, 2, "4 evaluation lengths of 4 mm"),
    ],
)
def test_the_screen_says_how_much_of_the_standards_length_was_there(evenlay, tmp_path, millimetres, rows, words):
    said = evenlay("surface", saved(tmp_path / "a.x3p", millimetres, rows=rows), "--cut-off", "0.8 mm")
    assert said.code == 0
    assert f"cut-off 0.8 mm, {words}. Every" in said.words


def test_a_length_too_short_to_look_for_spacings_is_told_and_not_called_free_of_them(evenlay, tmp_path):
    short = evenlay("surface", saved(tmp_path / "short.x3p", 12.0))
    assert "Spacings across the grain cannot be looked for: 12 mm are too short: 12.8 mm at least." in short.words
    assert "stands out" not in short.words
    long = evenlay("surface", saved(tmp_path / "long.x3p", 14.0))
    assert "cannot be looked for" not in long.words
    assert "No spacing of 0.2 mm or more stands out of the spectrum across the grain." in long.words


def test_of_a_map_each_direction_is_told(evenlay, tmp_path):
    said = evenlay("surface", saved(tmp_path / "map.x3p", 14.0, rows=20))
    assert "Spacings along the grain cannot be looked for: 20 mm are too short: 256 mm at least." in said.words
    assert "No spacing of 0.2 mm or more stands out of the spectrum across the grain." in said.words


@pytest.mark.parametrize("spacing", [4e-6, 2e-4])
def test_the_length_named_is_the_first_in_which_a_strong_line_is_found(spacing):
    needed = length_for_pitches(spacing=spacing)
    finest = max(0.2e-3, 4 * spacing)
    found = []
    for length in (0.98 * needed, 1.02 * needed):
        x = np.arange(round(length / spacing)) * spacing
        z = rough(x.size) + 20e-6 * np.sin(2 * np.pi * x / (4.3 * finest))
        found.append(bool(pitches(height_spectrum(z, spacing=spacing))))
    assert found == [False, True]


@pytest.mark.parametrize("option", ["--out", "--picture"])
@pytest.mark.parametrize("which", ["before.png", "after.png"])
def test_neither_surface_of_a_step_is_written_over(evenlay, tmp_path, option, which):
    before, after = saved(tmp_path / "before.png", 14.0), saved(tmp_path / "after.png", 14.0)
    was = {path: path.read_bytes() for path in (before, after)}
    said = evenlay("surface", before, "--after", after, option, tmp_path / which)
    assert said.code == 2
    assert "give another name" in said.err
    assert {path: path.read_bytes() for path in (before, after)} == was


def test_a_trace_without_grain_is_asked_by_the_one_direction_it_has(evenlay, tmp_path):
    write_surface(tmp_path / "a.csv", trace(rough(500), spacing=SPACING))
    assert evenlay("surface", tmp_path / "a.csv").words.count("cannot be looked for") == 1
    along = evenlay("surface", tmp_path / "a.csv", "--grain", "x").words
    assert "Spacings along the grain cannot be looked for" in along
