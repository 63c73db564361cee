"""ISO 2813:2014, reflectance of the reference glass (definition read), with Fresnel's formula (Born & Wolf, from memory)."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np

from evenlay.physics.viewing import fresnel_reflectance

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "fresnel.toml").read_text(encoding="utf-8"))
ANGLES = np.radians(TABLE["angle_degrees"])


def test_the_reference_glass_reflects_what_the_standard_needs() -> None:
    np.testing.assert_allclose(fresnel_reflectance(ANGLES, index=TABLE["index"]), TABLE["reflectance"], rtol=TABLE["tolerance"])


def test_other_glasses_have_the_printed_gloss() -> None:
    reference = fresnel_reflectance(ANGLES, index=TABLE["index"])
    for index, gloss in zip(TABLE["other_index"], TABLE["gloss"], strict=True):
        np.testing.assert_allclose(100.0 * fresnel_reflectance(ANGLES, index=index) / reference, gloss, atol=TABLE["gloss_tolerance"])


def test_head_on_and_grazing_limits() -> None:
    np.testing.assert_allclose(fresnel_reflectance([0.0, np.pi / 2], index=1.5), [0.5**2 / 2.5**2, 1.0], rtol=1e-12)
