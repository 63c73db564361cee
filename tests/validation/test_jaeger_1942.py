"""Jaeger 1942 and Carslaw & Jaeger 1959, moving band (book, formula read as quoted in open papers; values by quadrature)."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from evenlay.physics.heat import bulk_rise, share_into_part, steady_flux_rise
from evenlay.physics.moving_band import band_flash, band_heat, band_rise, peclet_number

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "jaeger_band.toml").read_text(encoding="utf-8"))
PASS = TABLE["pass"]


def test_peak_mean_and_place_are_those_of_the_table() -> None:
    found = band_heat(np.array(TABLE["peclet"]))
    np.testing.assert_allclose(found.peak, TABLE["peak"], rtol=TABLE["tolerance"])
    np.testing.assert_allclose(found.mean, TABLE["mean"], rtol=TABLE["tolerance"])
    np.testing.assert_allclose(found.place, TABLE["place"], atol=1e-3)


def test_the_table_agrees_with_itself() -> None:
    np.testing.assert_allclose(TABLE["asymptote"], 2.0 * np.sqrt(np.pi * np.array(TABLE["peclet"])), rtol=1e-4)
    assert np.all(np.array(TABLE["peak"]) < TABLE["asymptote"])


def test_far_ahead_and_far_behind_nothing_is_left_of_the_peak() -> None:
    assert float(band_rise(place=30.0, peclet=5.0)) < 1e-6
    assert float(band_rise(place=-400.0, peclet=5.0)) < 0.1 * TABLE["peak"][4]


@pytest.mark.parametrize("row", range(3))
def test_a_worked_pass_on_three_metals(row: int) -> None:
    conductivity, capacity = PASS["conductivity"][row], PASS["density"][row] * PASS["heat"][row]
    spread = conductivity / capacity
    number = peclet_number(feed=PASS["feed"], half_length=PASS["half_length"], diffusivity=spread)
    assert float(number) == pytest.approx(PASS["number"][row], rel=PASS["tolerance"])
    usual = {"heat_flux": PASS["heat_flux"], "conductivity": conductivity, "diffusivity": spread}
    rise = band_flash(half_length=PASS["half_length"], feed=PASS["feed"], **usual)
    limit = steady_flux_rise(time=2.0 * PASS["half_length"] / PASS["feed"], **usual)
    assert float(rise) == pytest.approx(PASS["rise"][row], rel=PASS["tolerance"])
    assert float(limit) == pytest.approx(PASS["limit"][row], rel=PASS["tolerance"])
    effusivity = np.sqrt(conductivity * capacity)
    assert effusivity == pytest.approx(PASS["effusivity"][row], rel=PASS["tolerance"])
    assert float(share_into_part(effusivity=effusivity, grain_radius=15e-6, speed=20.0)) == pytest.approx(PASS["share"][row], abs=6e-4)


def test_steady_flux_on_stainless_for_ten_milliseconds() -> None:
    """Carslaw & Jaeger sec. 2.9: 1 MW/m2 on 304 (16.2, 8000, 500)."""
    rise = steady_flux_rise(heat_flux=1e6, time=0.01, conductivity=16.2, diffusivity=16.2 / (8000 * 500))
    assert float(rise) == pytest.approx(14.017, abs=5e-4)


def test_bulk_rise_of_a_stainless_sheet() -> None:
    """200 W over 30 mm at 0.2 m/s on 1.5 mm of 304."""
    assert float(bulk_rise(heat=200.0, feed=0.2, width=0.03, heat_capacity=8000 * 500, thickness=0.0015)) == pytest.approx(5.556, abs=5e-4)
