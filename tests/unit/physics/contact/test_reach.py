"""Hollows and free edges: geometry, balance, and common practice."""

from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.contact.kinds import NoContact, Wheel
from evenlay.physics.contact.reach import deepest_hollow, edge_rise, hollow_limit
from evenlay.physics.contact.wheels import pass_contact


def drum(**change: object) -> Wheel:
    values = {"kind": "pneumatic", "diameter": 0.15, "width": 0.05, "inflation": 30e3, "casing_stiffness": 20e6, "edge_ramp": 0.005}
    return Wheel(**(values | change))


def test_along_the_grain_the_hollow_must_be_wider_than_the_wheel() -> None:
    reach = hollow_limit(drum(), force=40.0, speed=18.0, curvature_along=-1 / 0.070)
    assert not reach.reachable[0] and "bridges the hollow" in reach.reason and reach.reached_width[0] == 0.0
    assert hollow_limit(drum(), force=40.0, speed=18.0, curvature_along=-1 / 0.090).reachable[0]


def test_across_the_grain_a_crown_smaller_than_the_hollow_settles_in() -> None:
    crowned = drum(crown_curvature=1 / 0.30)
    assert hollow_limit(crowned, force=40.0, speed=18.0, curvature_across=-1 / 0.35).reachable[0]
    assert hollow_limit(crowned, force=40.0, speed=18.0, curvature_across=-1 / 0.35).reason == ""


def test_a_flat_face_reaches_only_the_edges_of_a_tight_hollow() -> None:
    reach = hollow_limit(drum(inflation=100e3), force=40.0, speed=18.0, curvature_across=-5.0)
    assert not reach.reachable[0]
    assert "bears on its edges" in reach.reason and "of 50 mm" in reach.reason
    assert 0.0 < reach.reached_width[0] < 0.05


def test_a_flat_face_settles_into_a_shallow_hollow() -> None:
    assert hollow_limit(drum(), force=40.0, speed=18.0, curvature_across=-0.2).reachable[0]


@pytest.mark.parametrize("crown", [0.0, 1.5])
def test_the_deepest_hollow_is_where_the_middle_just_touches(crown: float) -> None:
    wheel = drum(crown_curvature=crown)
    limit = float(deepest_hollow(wheel, force=40.0, speed=18.0)[0])
    found = pass_contact(wheel, force=40.0, speed=18.0, curvature_across=-limit)
    assert found.flattening[0] == pytest.approx(0.0, abs=1e-6)
    assert hollow_limit(wheel, force=40.0, speed=18.0, curvature_across=-0.999 * limit).reachable[0]
    assert not hollow_limit(wheel, force=40.0, speed=18.0, curvature_across=-1.001 * limit).reachable[0]


def test_lower_inflation_reaches_deeper_hollows_with_the_same_force() -> None:
    # common practice, no source: a longer, softer patch for the same stock
    deepest = deepest_hollow(drum(inflation=np.array([15e3, 30e3, 60e3, 120e3])), force=40.0, speed=18.0)
    assert np.all(np.diff(deepest) < 0.0)


def test_without_overhang_nothing_rises() -> None:
    none = edge_rise(drum(), force=40.0, speed=18.0, overhang=0.0)
    assert (none.load_rise[0], none.peak_rise[0]) == pytest.approx((1.0, 1.0))
    assert none.restoring_force[0] == pytest.approx(40.0)


def test_what_is_left_on_the_part_takes_the_whole_load() -> None:
    rise = edge_rise(drum(), force=40.0, speed=18.0, overhang=0.020)
    assert rise.load_rise[0] == pytest.approx(50 / 30)
    assert 1.0 < rise.peak_rise[0] < rise.load_rise[0]
    assert rise.restoring_force[0] == pytest.approx(40.0 * 30 / 50)


@pytest.mark.parametrize("crown", [0.0, 0.5, 4.0])
def test_the_restoring_force_brings_the_pressure_back(crown: float) -> None:
    wheel = drum(crown_curvature=crown)
    rise = edge_rise(wheel, force=40.0, speed=18.0, overhang=0.015)
    lighter = edge_rise(wheel, force=float(rise.restoring_force[0]), speed=18.0, overhang=0.015)
    before = pass_contact(wheel, force=40.0, speed=18.0).peak_pressure[0]
    restored = lighter.peak_rise[0] * pass_contact(wheel, force=float(rise.restoring_force[0]), speed=18.0).peak_pressure[0]
    assert restored == pytest.approx(before, rel=1e-6)


def test_a_crowned_wheel_loses_less_at_an_edge() -> None:
    flat = edge_rise(drum(), force=40.0, speed=18.0, overhang=0.010)
    crowned = edge_rise(drum(crown_curvature=5.0), force=40.0, speed=18.0, overhang=0.010)
    assert crowned.peak_rise[0] < flat.peak_rise[0]


@pytest.mark.parametrize("overhang", [-0.001, 0.05, float("nan")])
def test_an_overhang_that_leaves_nothing_is_refused(overhang: float) -> None:
    with pytest.raises(ValueError, match="overhang"):
        edge_rise(drum(), force=40.0, speed=18.0, overhang=overhang)


def test_curvature_that_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="finite"):
        hollow_limit(drum(), force=40.0, speed=18.0, curvature_across=float("nan"))
    with pytest.raises(NoContact):
        deepest_hollow(drum(), force=40.0, speed=18.0, curvature_along=-20.0)
