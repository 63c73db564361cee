"""Turning rings, belts and membranes: scaling and refusals (published numbers are in tests/validation)."""

from __future__ import annotations

from math import inf, nan

import pytest

from evenlay.physics.contact.turning import centrifugal_tension, membrane_area, ring_stress


def test_twice_the_speed_is_four_times_the_stress_and_tension() -> None:
    assert ring_stress(density=1200.0, speed=20.0) == 4 * ring_stress(density=1200.0, speed=10.0)
    assert centrifugal_tension(belt_mass=0.8, speed=20.0) == 4 * centrifugal_tension(belt_mass=0.8, speed=10.0)


def test_an_ideal_membrane_spreads_with_force_and_shrinks_with_inflation() -> None:
    assert membrane_area(force=80.0, inflation=50e3) == 2 * membrane_area(force=40.0, inflation=50e3)
    assert membrane_area(force=40.0, inflation=100e3) == 0.5 * membrane_area(force=40.0, inflation=50e3)


@pytest.mark.parametrize("bad", [-1.0, nan, inf])
def test_values_out_of_range_are_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="speed"):
        ring_stress(density=1.0, speed=bad)
    with pytest.raises(ValueError, match="belt_mass"):
        centrifugal_tension(belt_mass=bad, speed=1.0)
    with pytest.raises(ValueError, match="inflation"):
        membrane_area(force=1.0, inflation=bad)
