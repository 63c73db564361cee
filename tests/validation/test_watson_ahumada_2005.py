"""
Watson & Ahumada, Journal of Vision 5(9):6 (2005), standard model: constants read, oblique effect from memory.

Tables of contrast sensitivity of four other published models stand beside it: their shapes must agree, their heights do not.
"""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import numpy as np
import pytest

from evenlay.physics.viewing import contrast_sensitivity, oblique_effect

TABLES = tomllib.loads((Path(__file__).parents[1] / "reference" / "contrast_sensitivity.toml").read_text(encoding="utf-8"))


def mannos_sakrison(f: np.ndarray) -> np.ndarray:
    return 2.6 * (0.0192 + 0.114 * f) * np.exp(-((0.114 * f) ** 1.1))


def movshon_kiorpes(f: np.ndarray) -> np.ndarray:
    return 75.0 * f**0.8 * np.exp(-0.2 * f)


def barten_short(f: np.ndarray, luminance: float = 100.0, field: float = 10.0) -> np.ndarray:
    top = 5200.0 * np.exp(-0.0016 * f**2 * (1.0 + 100.0 / luminance) ** 0.08)
    noise = (1.0 + 144.0 / field**2 + 0.64 * f**2) * (63.0 / luminance**0.83 + 1.0 / (1.0 - np.exp(-0.02 * f**2)))
    return top / np.sqrt(noise)


def barten_1999(f: np.ndarray, luminance: float = 20.0, pupil: float = 2.1, field: float = 60.0) -> np.ndarray:
    spread = math.hypot(0.5 / 60.0, 0.08 / 60.0 * pupil)
    optics = np.exp(-2.0 * np.pi**2 * spread**2 * f**2)
    side = (1.0 / field**2 + 1.0 / 12.0**2 + f**2 / 15.0**2) ** -0.5
    light = math.pi * pupil**2 / 4.0 * luminance * (1.0 - (pupil / 9.7) ** 2 + (pupil / 12.4) ** 4)
    noise = 2.0 / 0.1 / side**2 * (1.0 / (0.03 * 1.2274e6 * light) + 3e-8 / (1.0 - np.exp(-((f / 7.0) ** 2))))
    return optics / 3.0 / np.sqrt(noise)


MODELS = {
    "watson_ahumada": contrast_sensitivity,
    "mannos_sakrison": mannos_sakrison,
    "movshon_kiorpes": movshon_kiorpes,
    "barten_short": barten_short,
    "barten_1999": barten_1999,
}


@pytest.mark.parametrize("name", sorted(MODELS))
def test_every_row_of_the_sensitivity_table_is_met(name: str) -> None:
    table = TABLES[name]
    frequency = np.asarray(table["frequency"], dtype=float)
    np.testing.assert_allclose(MODELS[name](frequency), table["sensitivity"], rtol=table["tolerance"])


@pytest.mark.parametrize("name", ["watson_ahumada", "mannos_sakrison", "movshon_kiorpes"])
def test_the_peak_stands_where_it_is_printed(name: str) -> None:
    grid = np.linspace(0.5, 20.0, 390001)
    value = MODELS[name](grid)
    assert value.max() == pytest.approx(TABLES[name]["peak"], rel=1e-5)
    assert grid[np.argmax(value)] == pytest.approx(TABLES[name]["peak_frequency"], abs=1e-3)


@pytest.mark.parametrize("name", ["barten_short", "barten_1999"])
def test_shapes_of_the_models_agree_within_a_factor_of_two(name: str) -> None:
    frequency = np.asarray([1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0])
    ours = contrast_sensitivity(frequency)
    theirs = MODELS[name](frequency)
    ratio = (ours / ours.max()) / (theirs / theirs.max())
    assert np.all((ratio > 0.5) & (ratio < 2.0)), ratio


def test_an_open_library_gives_the_same_barten_values() -> None:
    printing = np.get_printoptions()
    pytest.importorskip("colour")  # it changes how numpy prints, everywhere
    np.set_printoptions(**printing)
    from colour.contrast import contrast_sensitivity_function_Barten1999, pupil_diameter_Barten1999

    table = TABLES["barten_1999"]
    value = [float(contrast_sensitivity_function_Barten1999(f)) for f in table["frequency"]]
    np.testing.assert_allclose(value, table["sensitivity"], rtol=table["tolerance"])
    assert float(pupil_diameter_Barten1999(100, 60, 60)) == pytest.approx(2.7931307, abs=1e-7)


def test_upright_and_level_patterns_lose_nothing_and_diagonal_ones_most() -> None:
    f = np.asarray([2.0, 8.0, 16.0])
    np.testing.assert_array_equal(oblique_effect(f, 0.0), 1.0)
    np.testing.assert_array_equal(oblique_effect(0.0, f), 1.0)
    diagonal = oblique_effect(f / math.sqrt(2.0), f / math.sqrt(2.0))
    np.testing.assert_allclose(diagonal, [1.0, math.exp(-(8.0 - 3.48) / 13.57), math.exp(-(16.0 - 3.48) / 13.57)], rtol=1e-12)
