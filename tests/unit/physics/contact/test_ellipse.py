"""Elliptical contact: integrals against a library, limits, and its own equations."""

from __future__ import annotations

from math import nan

import numpy as np
import pytest
from scipy.special import ellipe, ellipk

from evenlay.physics.contact.elastic import line_contact, point_contact
from evenlay.physics.contact.ellipse import elliptic_integrals, elliptical_contact


def test_the_integrals_are_those_of_a_library() -> None:
    m = np.array([0.0, 1e-9, 0.1, 0.5, 0.9, 0.999, 1 - 1e-9])
    first, second = elliptic_integrals(m)
    assert first == pytest.approx(ellipk(m), rel=1e-13)
    assert second == pytest.approx(ellipe(m), rel=1e-9)


def test_equal_radii_give_the_circle() -> None:
    circle = point_contact(force=40.0, effective_radius=0.1, contact_modulus=2e6)
    for near in (1.0, 1.0 + 1e-9, 1.0 + 1e-5):
        ellipse = elliptical_contact(force=40.0, radius_along=0.1, radius_across=0.1 * near, contact_modulus=2e6)
        assert ellipse.half_length == pytest.approx(float(circle.half_length), rel=2e-5)
        assert ellipse.approach == pytest.approx(float(circle.approach), rel=2e-5)


def test_a_very_long_ellipse_is_a_line_contact_in_its_middle() -> None:
    ellipse = elliptical_contact(force=40.0, radius_along=0.1, radius_across=5e3, contact_modulus=2e6)
    in_the_middle = np.pi / 2 * ellipse.peak_pressure * ellipse.half_breadth
    line = line_contact(load_per_width=in_the_middle, effective_radius=0.1, contact_modulus=2e6)
    assert ellipse.half_breadth == pytest.approx(float(line.half_width), rel=2e-3)


def test_turning_the_part_by_a_right_angle_changes_nothing() -> None:
    one = elliptical_contact(force=40.0, radius_along=0.1, radius_across=0.4, contact_modulus=2e6)
    two = elliptical_contact(force=40.0, radius_along=0.4, radius_across=0.1, contact_modulus=2e6)
    assert (one.half_length, one.approach) == (two.half_length, two.approach)


def test_without_force_nothing_touches() -> None:
    none = elliptical_contact(force=np.array([0.0, 1.0]), radius_along=0.1, radius_across=0.4, contact_modulus=2e6)
    assert none.peak_pressure[0] == none.half_length[0] == none.approach[0] == 0.0
    assert none.peak_pressure[1] > 0.0


@pytest.mark.parametrize("parameter", [-0.1, 1.0, nan])
def test_parameters_out_of_range_are_refused(parameter: float) -> None:
    with pytest.raises(ValueError, match="parameter"):
        elliptic_integrals(parameter)


def test_radii_a_million_apart_are_refused() -> None:
    with pytest.raises(ValueError, match="line contact"):
        elliptical_contact(force=1.0, radius_along=1e-3, radius_across=1e4, contact_modulus=1e6)


def test_a_hardly_oval_contact_follows_the_two_thirds_power_of_its_radii() -> None:
    ellipse = elliptical_contact(force=40.0, radius_along=0.1, radius_across=0.1 * (1 + 5e-7), contact_modulus=2e6)
    assert ellipse.half_length / ellipse.half_breadth - 1 == pytest.approx(5e-7 * 2 / 3, rel=0.01)
