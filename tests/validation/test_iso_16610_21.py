"""Standard: ISO 16610-21, linear Gaussian profile filter; its formulas read as quoted in a manual, the table computed from them."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from evenlay.physics.surface_numbers.filters import ALPHA, gaussian_mean, gaussian_weight, long_wave_transmission

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "gaussian_filter.toml").read_text(encoding="utf-8"))


def test_the_table_agrees_with_its_own_formula():
    for ratio, share in TABLE["transmission"]:
        assert np.exp(-np.pi * (TABLE["alpha"] / ratio) ** 2) == pytest.approx(share, abs=2e-4)


def test_the_constant_is_the_printed_one():
    assert pytest.approx(TABLE["alpha"], abs=TABLE["alpha_tolerance"]) == ALPHA


@pytest.mark.parametrize(("ratio", "share"), TABLE["transmission"])
def test_transmission_of_the_mean_line(ratio, share):
    assert float(long_wave_transmission(ratio * 0.8e-3, cutoff=0.8e-3)) == pytest.approx(share, abs=TABLE["tolerance"])


@pytest.mark.parametrize(("ratio", "share"), [row for row in TABLE["transmission"] if 0.5 <= row[0] <= 5])
def test_the_filter_itself_passes_what_the_table_says(ratio, share):
    # cut-off 400 points, twenty waves, whole waves away from the ends; the rest of the bell beyond one cut-off is 9e-8
    period = 400 * ratio
    x = np.arange(round(30 * period))
    wave = np.cos(2 * np.pi * x / period)
    inner = slice(round(5 * period), round(25 * period))
    passed = 2 * np.mean(gaussian_mean(wave, spacing=1.0, cutoff=400.0)[inner] * wave[inner])
    assert passed == pytest.approx(share, abs=2e-6)


def test_the_weighting_function_has_the_printed_heights_and_areas():
    assert float(gaussian_weight(0.0, cutoff=0.8e-3) * 0.8e-3) == pytest.approx(TABLE["weight_at_zero"], abs=5e-7)
    assert float(gaussian_weight(0.4e-3, cutoff=0.8e-3) * 0.8e-3) == pytest.approx(TABLE["weight_at_half"], abs=5e-7)
    for reach, area in ((0.5, TABLE["area_within_half"]), (1.0, TABLE["area_within_one"])):
        middles = (np.arange(4000) + 0.5) / 4000 * 2 * reach - reach
        assert np.mean(gaussian_weight(middles, cutoff=1.0)) * 2 * reach == pytest.approx(area, abs=6e-7)
