"""
Derived: software gauges in the style of ISO 5436-2 type F1, of our own making: closed forms, sampled, saved, read back from the file.

The data sets of the national institutes are not shipped and were not read. Each gauge here is a sum of sines, so that what both Gaussian
filters leave of it is known exactly: a wave of length w keeps 2^-(2.5 µm/w)² (1 - 2^-(0.8 mm/w)²) of its amplitude (iso-16610-21).
"""

import numpy as np
import pytest

from evenlay.files.surfaces import open_surface, write_surface
from evenlay.physics.surface_numbers import EDITIONS, Surface, surface_numbers, trace

SPACING = 0.5e-6
POINTS = 9601
"""One evaluation length of 4 mm and half a cut-off of 0.8 mm at either end."""

WAVE = 0.1e-3
ODD = np.arange(1, 200, 2)

GAUGES = {
    "sine of 0.1 mm": [(1e-6, WAVE)],
    "sine of 0.4 mm": [(1e-6, 4.0 * WAVE)],
    "sine of the cut-off": [(1e-6, 8.0 * WAVE)],
    "two sines": [(0.8e-6, WAVE), (0.3e-6, WAVE / 5.0)],
    "triangle": [(1e-6 * 8.0 / np.pi**2 * (-1.0) ** ((k - 1) // 2) / k**2, WAVE / k) for k in ODD],
    "rounded square": [(1e-6 * 4.0 / np.pi / k * np.exp(-((k / 9.0) ** 2)), WAVE / k) for k in ODD],
}
"""Amplitude and length of each sine. [m]"""


def kept(wave):
    return 2.0 ** (-((2.5e-6 / wave) ** 2)) * (1.0 - 2.0 ** (-((0.8e-3 / wave) ** 2)))


def heights(gauge, x, weight=lambda wave: 1.0):
    return sum(weight(wave) * amplitude * np.sin(2.0 * np.pi * x / wave) for amplitude, wave in gauge)


def truth(gauge):
    """Numbers of the filtered gauge, from its sines, on one whole wave sampled so finely that sampling does not show."""
    longest = max(wave for _, wave in gauge)
    z = heights(gauge, np.arange(40000) * longest / 40000, kept)
    square = sum((kept(wave) * amplitude) ** 2 for amplitude, wave in gauge) / 2.0
    slope = sum((2.0 * np.pi / wave * kept(wave) * amplitude) ** 2 for amplitude, wave in gauge) / 2.0
    return {
        "Ra": np.mean(np.abs(z)),
        "Rq": np.sqrt(square),
        "Rz": np.ptp(z),
        "Rt": np.ptp(z),
        "Rsk": 0.0,
        "Rku": np.mean(z**4) / square**2,
        "RSm": longest,
        "Rdq": np.sqrt(slope),
    }


UNCERTAINTY = {"Ra": 5e-4, "Rq": 5e-4, "Rz": 1e-3, "Rt": 1e-3, "Rku": 1e-3, "RSm": 5e-4, "Rdq": 1e-3}
"""
Stated for each number, relative: levelling a whole number of waves tilts them by 3e-4 of their height, half a micrometre between points
rounds a tip of 10 µm by less than 5e-4, and the ends of the filter leave 1e-4. Rdq besides: `lost_at_ends`.
"""


def lost_at_ends(gauge):
    """The seven-point rule has no slope for the three points at either end of the 8000, and there these gauges are steepest."""
    slopes = [2.0 * np.pi / wave * kept(wave) * amplitude for amplitude, wave in gauge]
    return 0.5 * 6.0 / 8000.0 * abs(sum(slopes)) ** 2 / (sum(np.square(slopes)) / 2.0)


@pytest.mark.parametrize("name", GAUGES)
@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("ending", [".csv", ".x3p", ".sdf"])
def test_a_gauge_reads_as_its_closed_form_from_every_format(name, edition, ending, tmp_path):
    write_surface(tmp_path / f"gauge{ending}", trace(heights(GAUGES[name], np.arange(POINTS) * SPACING), spacing=SPACING, along="y"))
    found = surface_numbers(open_surface(tmp_path / f"gauge{ending}"), edition=edition, cutoff=0.8e-3)
    assert found.profiles == 1
    for symbol, wanted in truth(GAUGES[name]).items():
        if symbol == "RSm" and name == "sine of the cut-off":
            continue  # five sections of one wave each leave four whole elements: refused, see below
        relative = UNCERTAINTY.get(symbol, 0.0) + (lost_at_ends(GAUGES[name]) if symbol == "Rdq" else 0.0)
        assert found.number(symbol).value == pytest.approx(wanted, rel=relative, abs=2e-3 if symbol == "Rsk" else 0.0), symbol


def test_a_gauge_of_too_few_waves_gives_no_mean_width(tmp_path):
    write_surface(
        tmp_path / "gauge.x3p", trace(heights(GAUGES["sine of the cut-off"], np.arange(POINTS) * SPACING), spacing=SPACING, along="y")
    )
    found = surface_numbers(open_surface(tmp_path / "gauge.x3p"), cutoff=0.8e-3)
    assert "whole profile elements are too few" in found.number("RSm").reason


def test_an_areal_gauge_reads_as_its_closed_form(tmp_path):
    """A grating: every number of its map is that of its sine; Str has no value, since the grating never decays along its lines."""
    side, step = 700, 4e-6
    gauge = [(1e-6, 0.128e-3)]
    x = np.arange(side) * step
    write_surface(tmp_path / "gauge.sdf", Surface(np.tile(heights(gauge, x), (side, 1)), step, step, along="y"))
    found = surface_numbers(open_surface(tmp_path / "gauge.sdf"), cutoff=0.8e-3)
    # points 4 µm apart: the short-wave filter of 2.5 µm is not used; the part that is left, 2 mm, is no whole number of waves: 0.4 %
    amplitude = 1e-6 * (1.0 - 2.0 ** (-((0.8 / 0.128) ** 2)))
    slope = 2.0 * np.pi * amplitude / 0.128e-3
    phase = (np.arange(100000) + 0.5) * 2.0 * np.pi / 100000
    for symbol, wanted, uncertainty in (
        ("Sa", 2.0 * amplitude / np.pi, 4e-3),
        ("Sq", amplitude / np.sqrt(2.0), 4e-3),
        ("Sku", 1.5, 5e-3),
        ("Sz", 2.0 * amplitude, 1e-3),
        ("Sdq", slope / np.sqrt(2.0), 4e-3),
        ("Sdr", np.mean(np.sqrt(1.0 + (slope * np.cos(phase)) ** 2)) - 1.0, 8e-3),
        ("Sal", 0.128e-3 * np.arccos(0.2) / (2.0 * np.pi), 5e-3),
        ("Std", np.pi / 2.0, 1e-3),
    ):
        assert found.number(symbol).value == pytest.approx(wanted, rel=uncertainty), symbol
    assert found.number("Str").value is None
