"""Book: Johnson, Contact Mechanics (1985), Hertz contact (from memory), and one open finite-element example (read)."""

from __future__ import annotations

import tomllib
from math import pi
from pathlib import Path

import numpy as np
import pytest

from evenlay.physics.contact.elastic import contact_modulus, effective_radius, line_contact, point_contact, shore_a_modulus
from evenlay.physics.contact.ellipse import elliptical_contact

TABLES = tomllib.loads((Path(__file__).parents[1] / "reference" / "contact-worked.toml").read_text())


@pytest.mark.parametrize("row", TABLES["hertz-point"]["rows"])
def test_spheres_on_flats_and_on_spheres(row: list[float]) -> None:
    radius, modulus, force, half, peak, approach = row
    found = point_contact(force=force, effective_radius=1e-3 * radius, contact_modulus=1e6 * modulus)
    tolerance = TABLES["hertz-point"]["tolerance"]
    assert 1e3 * found.half_length == pytest.approx(half, rel=tolerance)
    assert 1e-6 * found.peak_pressure == pytest.approx(peak, rel=tolerance)
    if not np.isnan(approach):
        assert 1e3 * found.approach == pytest.approx(approach, rel=tolerance)


def test_two_equal_spheres_of_a_finite_element_code() -> None:
    # approach h of both, p0 = -E/(pi (1 - nu^2)) sqrt(2 h / R), a = sqrt(R h / 2); E 20000, nu 0.3, R 50, h 4 (case from memory)
    modulus = float(contact_modulus(modulus=20000.0, poisson=0.3, other_modulus=20000.0, other_poisson=0.3))
    radius = 25.0
    force = 4.0 / 3.0 * modulus * radius**0.5 * 4.0**1.5
    found = point_contact(force=force, effective_radius=radius, contact_modulus=modulus)
    assert found.half_length == pytest.approx(10.0, rel=1e-6)
    assert found.peak_pressure == pytest.approx(2798.33, rel=1e-5)


@pytest.mark.parametrize("row", TABLES["hertz-line"]["rows"])
def test_a_rubber_wheel_as_a_line_contact(row: list[float]) -> None:
    radius, hardness, patch, peak = row
    modulus = contact_modulus(modulus=shore_a_modulus(hardness), poisson=0.5)
    found = line_contact(load_per_width=40.0 / 0.030, effective_radius=1e-3 * radius, contact_modulus=modulus)
    assert 2e3 * found.half_width == pytest.approx(patch, rel=TABLES["hertz-line"]["tolerance"])
    assert 1e-6 * found.peak_pressure == pytest.approx(peak, rel=TABLES["hertz-line"]["tolerance"])


def test_the_convex_part_of_150_mm_makes_60_mm_of_a_100_mm_wheel() -> None:
    assert effective_radius(radius=0.100, curvature=1 / 0.150) == pytest.approx(0.060)


def test_the_pressure_of_a_line_contact_carries_the_load() -> None:
    # one published page prints a half-width that is sqrt(2) too small beside the right peak: this balance refuses it
    found = line_contact(load_per_width=1333.0, effective_radius=0.1, contact_modulus=2.25e6)
    x = (np.arange(20000) + 0.5) / 20000
    carried = 2 * found.half_width * found.peak_pressure * np.mean(np.sqrt(1 - x**2))
    assert carried == pytest.approx(1333.0, rel=1e-5)
    assert found.peak_pressure * pi / 4 == pytest.approx(1333.0 / (2 * found.half_width))


@pytest.mark.parametrize("row", TABLES["hertz-ellipse"]["rows"])
def test_elliptical_contact(row: list[float]) -> None:
    across, a, b, peak, approach = row
    found = elliptical_contact(force=40.0, radius_along=0.100, radius_across=1e-3 * across, contact_modulus=2e6)
    tolerance = TABLES["hertz-ellipse"]["tolerance"]
    assert 1e3 * found.half_length == pytest.approx(a, rel=tolerance)
    assert 1e3 * found.half_breadth == pytest.approx(b, rel=tolerance)
    assert 1e-6 * found.peak_pressure == pytest.approx(peak, rel=tolerance)
    assert 1e3 * found.approach == pytest.approx(approach, rel=tolerance)


def test_the_axes_of_a_long_ellipse_lie_near_the_published_rule_of_thumb() -> None:
    # a/b is about (Ry/Rx)^(2/3): 4.642 at a ratio of 10, where the exact value is 4.4995
    found = elliptical_contact(force=40.0, radius_along=0.1, radius_across=1.0, contact_modulus=2e6)
    assert found.half_length / found.half_breadth == pytest.approx(4.4995, rel=2e-5)
    assert found.half_length / found.half_breadth == pytest.approx(10 ** (2 / 3), rel=0.035)
