"""Moduli and Hertz contact: limits and refusals (the numbers of the books are in tests/validation)."""

from __future__ import annotations

from math import inf, nan

import numpy as np
import pytest

from evenlay.physics.contact.elastic import (
    contact_modulus,
    effective_radius,
    line_contact,
    point_contact,
    shore_a_modulus,
    shore_a_modulus_log_linear,
)


def test_against_a_rigid_body_only_the_rubber_counts() -> None:
    assert contact_modulus(modulus=1.69e6, poisson=0.5) == pytest.approx(1.69e6 / 0.75)


def test_two_equal_bodies_halve_the_modulus() -> None:
    one = contact_modulus(modulus=2e11, poisson=0.3)
    assert contact_modulus(modulus=2e11, poisson=0.3, other_modulus=2e11, other_poisson=0.3) == pytest.approx(0.5 * one)


def test_a_hollow_gives_a_longer_patch_than_a_flat_and_a_flat_a_longer_one_than_a_convex_part() -> None:
    radii = effective_radius(radius=0.1, curvature=np.array([-4.0, 0.0, 4.0]))
    assert np.all(np.diff(line_contact(load_per_width=1000.0, effective_radius=radii, contact_modulus=2e6).half_width) < 0.0)


@pytest.mark.parametrize("curvature", [-10.0, -20.0, nan])
def test_a_hollow_not_wider_than_the_wheel_is_refused(curvature: float) -> None:
    with pytest.raises(ValueError, match="hollow"):
        effective_radius(radius=0.1, curvature=curvature)


def test_without_load_nothing_touches() -> None:
    line = line_contact(load_per_width=0.0, effective_radius=0.1, contact_modulus=2e6)
    point = point_contact(force=0.0, effective_radius=0.1, contact_modulus=2e6)
    assert line.half_width == line.peak_pressure == point.half_length == point.peak_pressure == point.approach == 0.0


def test_a_rigid_partner_leaves_no_patch() -> None:
    assert line_contact(load_per_width=1.0, effective_radius=0.1, contact_modulus=1e300).half_width < 1e-100


@pytest.mark.parametrize("hardness", [10.0, 100.0, nan])
def test_hardness_outside_the_conversion_is_refused(hardness: float) -> None:
    for conversion in (shore_a_modulus, shore_a_modulus_log_linear):
        with pytest.raises(ValueError, match="Shore A"):
            conversion(hardness)


@pytest.mark.parametrize(
    "values",
    [
        {"modulus": 0.0, "poisson": 0.3},
        {"modulus": nan, "poisson": 0.3},
        {"modulus": inf, "poisson": 0.3},
        {"modulus": 1.0, "poisson": 0.6},
        {"modulus": 1.0, "poisson": 0.3, "other_poisson": nan},
    ],
)
def test_moduli_out_of_range_are_refused(values: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"must"):
        contact_modulus(**values)


@pytest.mark.parametrize(
    "values",
    [
        {"load_per_width": -1.0},
        {"load_per_width": nan},
        {"effective_radius": 0.0},
        {"effective_radius": inf},
        {"contact_modulus": nan},
    ],
)
def test_line_contacts_out_of_range_are_refused(values: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="must be"):
        line_contact(**({"load_per_width": 1.0, "effective_radius": 0.1, "contact_modulus": 1e6} | values))
