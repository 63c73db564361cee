"""Geometry across the grain: where the belt touches, and the search for depth."""

from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.contact.crossing import crossing, solve_depth, total_load
from evenlay.physics.contact.kinds import NoContact, Wheel
from evenlay.physics.contact.strips import strip_law

DRUM = Wheel(kind="pneumatic", diameter=0.15, width=0.05, inflation=30e3, casing_stiffness=20e6, edge_ramp=0.005)
LAW = strip_law(DRUM, speed=18.0, curvature_along=0.0)


@pytest.mark.parametrize("curvature", [-6.0, -1.0, 0.0, 1.0, 6.0])
@pytest.mark.parametrize("tilt", [-0.05, -0.002, 0.0, 0.002, 0.05])
@pytest.mark.parametrize("depth", [1e-5, 4e-4, 3e-3])
def test_the_touching_width_is_that_of_a_plain_count(curvature: float, tilt: float, depth: float) -> None:
    place = crossing(curvature=curvature, tilt=tilt, low=-0.025, high=0.015)
    y = ((np.arange(200000) + 0.5) / 200000) * 0.04 - 0.025
    profile, ends = (0.5 * curvature * at**2 + tilt * at for at in (y, np.array([-0.025, 0.015])))
    overlap = depth - (profile - min(np.min(profile), np.min(ends)))
    _, _, area, width = total_load(LAW, place, np.array([depth]))
    assert width[0] == pytest.approx(0.04 * np.mean(overlap > 0.0), rel=1e-3, abs=5e-7)
    half = np.sqrt(np.maximum(overlap, 0.0) * (0.15 - np.maximum(overlap, 0.0)))
    assert area[0] == pytest.approx(2 * np.mean(half) * 0.04, rel=1e-3)


def test_draws_with_different_tilt_have_their_own_nearest_place() -> None:
    place = crossing(curvature=2.0, tilt=np.array([0.0, 0.02, -0.2]), low=-0.025, high=0.025)
    assert place.nearest.tolist() == pytest.approx([0.0, -0.01, 0.025])
    assert not place.even
    flat = crossing(curvature=0.0, tilt=np.array([0.0, 0.02]), low=-0.025, high=0.025)
    assert flat.nearest[1] == -0.025
    assert np.all(flat.gap(np.array([[0.0, 0.025], [-0.025, 0.025]])) >= 0.0)


def test_the_depth_found_carries_the_force() -> None:
    place = crossing(curvature=1.0, tilt=0.003, low=-0.025, high=0.025)
    force = np.geomspace(0.01, 300.0, 12)
    depth, carried = solve_depth(LAW, place, force)
    assert np.all(carried)
    assert total_load(LAW, place, depth)[0] == pytest.approx(force, rel=1e-8)


def test_a_force_beyond_the_wheel_is_refused() -> None:
    place = crossing(curvature=0.0, tilt=0.0, low=-0.025, high=0.025)
    membrane = strip_law(
        Wheel(kind="pneumatic", diameter=0.15, width=0.05, inflation=30e3, edge_ramp=0.005), speed=18.0, curvature_along=0.0
    )
    with pytest.raises(NoContact, match="more than"):
        solve_depth(membrane, place, np.array([30e3 * 0.15 * 0.05 * 1.01]))
