"""Laws of one strip: against plain sums of pressure over the patch."""

from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.contact.kinds import Wheel
from evenlay.physics.contact.strips import (
    no_fit,
    strip_half_length,
    strip_law,
    strip_load,
    strip_load_alone,
    strip_peak,
    working_tension,
)

DRUM = Wheel(kind="pneumatic", diameter=0.15, width=0.05, inflation=30e3, casing_stiffness=20e6, edge_ramp=0.005)
PLATEN = Wheel(kind="platen", diameter=0.10, width=0.05, modulus=5e6, poisson=0.3, cover_thickness=0.003, edge_ramp=0.002)
SOLID = Wheel(
    kind="solid", diameter=0.15, width=0.05, modulus=2e6, poisson=0.49, cover_thickness=0.012, belt_tension=1500.0, edge_ramp=0.005
)


@pytest.mark.parametrize("depth", [1e-5, 3e-4, 2e-3, 8e-3])
def test_a_pneumatic_strip_is_the_sum_of_its_pressures_under_a_circle(depth: float) -> None:
    law = strip_law(DRUM, speed=18.0, curvature_along=0.0)
    x = (np.arange(200000) + 0.5) / 200000 * 0.075
    overlap = depth - (0.075 - np.sqrt(0.075**2 - x**2))
    plain = 2 * np.sum(np.where(overlap > 0.0, 30e3 + 20e6 * overlap, 0.0)) * (x[1] - x[0])
    found = strip_load(law, np.array([depth]))
    assert found.load_per_width[0] == pytest.approx(plain, rel=5e-4)
    assert strip_peak(law, np.array([depth]))[0] == pytest.approx(30e3 + 20e6 * depth)


@pytest.mark.parametrize("depth", [1e-5, 3e-4, 2e-3])
def test_a_platen_ends_at_its_ends(depth: float) -> None:
    law = strip_law(PLATEN, speed=0.0, curvature_along=0.5)
    x = (np.arange(100000) + 0.5) / 100000 * 0.05
    stiffness = 5e6 * 0.7 / (1.3 * 0.4) / 0.003
    plain = 2 * np.sum(np.maximum(depth - 0.25 * x**2, 0.0)) * stiffness * (x[1] - x[0])
    found = strip_load(law, np.array([depth]))
    assert found.load_per_width[0] == pytest.approx(plain, rel=1e-3)
    assert found.half_width[0] == pytest.approx(min(np.sqrt(2 * depth / 0.5), 0.05), rel=1e-3)


@pytest.mark.parametrize("wheel", [DRUM, PLATEN, SOLID])
def test_the_quick_laws_are_the_whole_law(wheel: Wheel) -> None:
    law = strip_law(wheel, speed=18.0, curvature_along=0.3)
    depth = np.array([[-1e-3, 0.0, 1e-6, 1e-4, 2e-3]])
    whole = strip_load(law, depth)
    assert strip_load_alone(law, depth) == pytest.approx(whole.load_per_width)
    assert np.array_equal(strip_half_length(law, depth), whole.half_width)
    assert whole.load_per_width[0, 0] == whole.load_per_width[0, 1] == 0.0
    assert strip_peak(law, depth)[0, 0] == 0.0


@pytest.mark.parametrize("wheel", [DRUM, PLATEN])
def test_stiffness_of_a_strip_is_the_slope_of_its_load(wheel: Wheel) -> None:
    law = strip_law(wheel, speed=18.0, curvature_along=0.3)
    depth = np.array([1e-4, 1e-3])
    up, down = strip_load_alone(law, depth * 1.0001), strip_load_alone(law, depth * 0.9999)
    assert strip_load(law, depth).stiffness == pytest.approx((up - down) / (2e-4 * depth), rel=2e-3)


def test_belt_tension_presses_less_at_speed_and_never_pulls() -> None:
    belt = Wheel(kind="slack", diameter=1.0, width=0.05, belt_tension=1000.0, belt_mass=0.8, edge_ramp=0.005)
    assert working_tension(belt, np.array([0.0, 30.0, 60.0])).tolist() == pytest.approx([1000.0, 280.0, 0.0])


def test_reasons_are_given_in_words() -> None:
    assert no_fit(DRUM, curvature_along=-1 / 0.080) == ""
    assert "(radius 70 mm)" in no_fit(DRUM, curvature_along=-1 / 0.070)
    assert no_fit(PLATEN, curvature_along=0.0) == ""
    with pytest.raises(ValueError, match="finite"):
        no_fit(DRUM, curvature_along=float("inf"))
