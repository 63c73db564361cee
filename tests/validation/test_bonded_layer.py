"""Book: Johnson, Contact Mechanics (1985), layers bonded to a rigid base (from memory); every row of a table computed independently."""

from __future__ import annotations

import tomllib
from math import pi
from pathlib import Path

import numpy as np
import pytest

from evenlay.physics.contact.bedding import bonded_cover, strip_contact, strip_peak_pressure
from evenlay.physics.contact.layer import layer_contact_at

TABLE = tomllib.loads((Path(__file__).parents[1] / "reference" / "bonded-layer.toml").read_text())
ROWS = [tuple(row) for row in TABLE["rows"]]


def thin_compressible(nu: float, a: float) -> float:
    modulus = (1 - nu) / ((1 + nu) * (1 - 2 * nu))
    return 2 * modulus * a**3 / 3


def thin_incompressible(a: float) -> float:
    return 2 * a**5 / 45


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"nu {row[0]:.2f}, a/b {row[1]:g}")
def test_the_table_agrees_with_itself(row: tuple[float, ...]) -> None:
    nu, a, load, over_hertz, over_thin, over_incompressible, _, _ = row
    hertz = pi * a**2 / (4 * (1 - nu**2))
    assert load / hertz == pytest.approx(over_hertz, rel=TABLE["tolerance"])
    if not np.isnan(over_thin):
        assert load / thin_compressible(nu, a) == pytest.approx(over_thin, rel=TABLE["tolerance"])
    if not np.isnan(over_incompressible):
        assert load / thin_incompressible(a) == pytest.approx(over_incompressible, rel=TABLE["tolerance"])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"nu {row[0]:.2f}, a/b {row[1]:g}")
def test_the_reference_solver_meets_the_table(row: tuple[float, ...]) -> None:
    nu, a, load, _, _, _, peak, depth = row
    found = layer_contact_at(half_width=a, radius=1.0, modulus=1.0, poisson=nu, thickness=1.0)
    assert found.load_per_width == pytest.approx(load, rel=TABLE["tolerance"])
    assert found.peak_pressure * a / found.load_per_width == pytest.approx(peak, rel=TABLE["tolerance"])
    assert found.flattening / a**2 == pytest.approx(depth, rel=TABLE["tolerance"])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"nu {row[0]:.2f}, a/b {row[1]:g}")
def test_the_fast_law_meets_the_table(row: tuple[float, ...]) -> None:
    nu, a, load, _, _, _, peak, depth = row
    cover = bonded_cover(modulus=1.0, poisson=nu, thickness=1.0)
    flattening = np.array([depth * a**2])
    found = strip_contact(cover, flattening=flattening, radius=1.0)
    q, half = float(found.load_per_width[0]), float(found.half_width[0])
    assert half == pytest.approx(a, rel=TABLE["tolerance"])
    # a depth printed to three digits moves the load by up to 2.5 times its own share: compare at equal half-width
    assert q * (a / half) ** (3 if nu < 0.49 else 4) == pytest.approx(load, rel=0.012)
    shape = float(strip_peak_pressure(cover, flattening=flattening, radius=1.0)[0]) * half / q
    assert shape == pytest.approx(peak, rel=TABLE["tolerance"])


def test_very_thin_layers_go_on_towards_the_two_thin_limits() -> None:
    thin = layer_contact_at(half_width=16.0, radius=1.0, modulus=1.0, poisson=0.30, thickness=1.0)
    assert 1.0 < thin.load_per_width / thin_compressible(0.30, 16.0) < 1.035  # 1.046 at a/b = 8
    assert thin.peak_pressure * 16.0 / thin.load_per_width == pytest.approx(0.75, rel=0.012)
    soft = layer_contact_at(half_width=16.0, radius=1.0, modulus=1.0, poisson=0.50, thickness=1.0)
    assert 1.0 < soft.load_per_width / thin_incompressible(16.0) < 1.6  # 2.28 at a/b = 8
    assert 0.826 < soft.peak_pressure * 16.0 / soft.load_per_width < 15 / 16


def test_a_very_thick_layer_tends_to_the_half_plane() -> None:
    thick = layer_contact_at(half_width=0.02, radius=1.0, modulus=1.0, poisson=0.49, thickness=1.0)
    assert thick.load_per_width / (pi * 0.02**2 / (4 * (1 - 0.49**2))) == pytest.approx(1.0, abs=0.003)
    assert thick.peak_pressure * 0.02 / thick.load_per_width == pytest.approx(2 / pi, rel=0.003)
