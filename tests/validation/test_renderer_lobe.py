"""
Open code: the anisotropic rough conductor of a general renderer, evaluated once and stored (tests/reference/make_renderer_lobe.py).

It computes what our lobe leaves out because it is the same all over a picture: the fourth power of the half vector's cosine, shadowing and
the cosine of the lamp. What must agree is how luminance changes with slopes, light and tilt of the face.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from evenlay.physics.viewing import FacetFinish, FacetGroups, Lighting, facet_luminance

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "renderer_lobe.toml").read_text(encoding="utf-8"))
ROWS = TABLE["row"]
EYE = np.radians(TABLE["eye_across_degrees"])


def ours(row: dict[str, float]) -> float:
    """Our luminance, with the peak at a slope of 0.09 and no facet spread: the renderer's slopes hold all of it."""
    groups = FacetGroups(tilt=np.array([[row["lean"]]]), variance=np.array([[row["slope_across"] ** 2]]), width=80e-6, row_spacing=4e-4)
    light = Lighting(np.radians(row["tilt_across_degrees"]), np.radians(row["tilt_along_degrees"]))
    finish = FacetFinish(slope_along=row["slope_along"], facet_spread=0.0, floor=0.0, reference_slope=0.09)
    return float(facet_luminance(groups, light=light, material=finish)[0, 0])


def theirs(row: dict[str, float]) -> float:
    """The renderer's value without what is the same all over a picture under one light."""
    across, along = np.tan(np.radians([row["tilt_across_degrees"], row["tilt_along_degrees"]]))
    half = np.array([along, across, 1.0]) / np.sqrt(1.0 + across**2 + along**2)
    # A slope along spreads the lobe and lowers its peak; our peak is that of the reference across, whatever the slope along.
    peak = 1.0 / (2.0 * np.pi * row["slope_along"] * 0.09)
    return float(row["value"] * 4.0 * np.cos(EYE) * half[2] ** 4 / peak)


def test_the_table_names_its_generator_and_settings() -> None:
    assert "mitsuba" in TABLE["generator"] and "beckmann" in TABLE["generator"]
    assert "sqrt(2)" in TABLE["settings"]
    assert len(ROWS) == 96


@pytest.mark.parametrize("row", [row for row in ROWS if row["lean"] == 0.0], ids=str)
def test_the_lobe_is_that_of_the_renderer_on_a_level_face(row: dict[str, float]) -> None:
    # six printed digits; shadowing at these angles is below a millionth
    assert ours(row) == pytest.approx(theirs(row), rel=1e-5)


@pytest.mark.parametrize("row", [row for row in ROWS if row["lean"] != 0.0], ids=str)
def test_a_face_that_leans_shifts_the_lobe_as_in_the_renderer(row: dict[str, float]) -> None:
    # The renderer turns the face, where a relief adds slopes: they part by tan^2 of the light and by the lean itself (here 2 %), and on the
    # far flank, below the floor of 5 % of the peak, by a shift of the lobe.
    assert ours(row) == pytest.approx(theirs(row), rel=0.012, abs=0.003)
