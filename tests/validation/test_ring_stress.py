"""Open textbook problems 139 and 140 on thin turning rings (read), and the tension of a running belt (from memory)."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from evenlay.physics.contact.turning import centrifugal_tension, membrane_area, ring_stress


def test_a_steel_ring_of_220_mm_reaches_150_mpa_at_6000_rpm() -> None:
    omega = 6000 * 2 * pi / 60
    assert omega == pytest.approx(628.33, rel=2e-4)  # printed
    assert ring_stress(density=7850.0, speed=omega * 0.220) == pytest.approx(150e6, rel=2e-3)  # printed 6000 rpm is rounded


def test_a_steel_rim_of_20_ksi_runs_at_435_feet_per_second() -> None:
    foot, pound, g = 0.3048, 0.45359237, 32.174
    density = 490.0 * pound / foot**3
    stress = 20e3 * pound * g * foot / (foot / 12) ** 2
    speed = sqrt(stress / density)
    assert speed / foot == pytest.approx(434.9, rel=2e-4)
    assert ring_stress(density=density, speed=speed) == pytest.approx(stress)


def test_a_ten_inch_ring_of_30_ksi_turns_at_6103_rpm() -> None:
    foot, pound, g = 0.3048, 0.45359237, 32.174
    stress = 30e3 * pound * g * foot / (foot / 12) ** 2
    speed = 6103 * 2 * pi / 60 * 10 * foot / 12
    assert ring_stress(density=490.0 * pound / foot**3, speed=speed) == pytest.approx(stress, rel=3e-4)


def test_a_rubber_tread_at_30_metres_a_second_carries_about_one_megapascal() -> None:
    assert ring_stress(density=1200.0, speed=30.0) == pytest.approx(1.08e6)


def test_a_belt_of_800_grams_a_square_metre_at_30_metres_a_second_needs_720_newtons_a_metre() -> None:
    assert centrifugal_tension(belt_mass=0.8, speed=30.0) == pytest.approx(720.0)


def test_an_ideal_membrane_of_50_kpa_carries_40_newtons_on_800_square_millimetres() -> None:
    assert 1e6 * membrane_area(force=40.0, inflation=50e3) == pytest.approx(800.0)
