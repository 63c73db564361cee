"""Rabinowicz, Friction and Wear of Materials (book, from memory): cone grains and two-body abrasion; Brinell in pascals (read)."""

from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.coefficient import cone_wear_coefficient, cone_wear_coefficient_whole, hardness_pressure

TWO_BODY = {"file": 5e-2, "new abrasive paper": 1e-2, "used paper": 1e-3, "coarse polishing": 1e-4}


def test_a_ten_degree_cone_in_both_conventions() -> None:
    angle = np.radians(10.0)
    assert float(cone_wear_coefficient(angle)) == pytest.approx(0.1123, abs=5e-5)
    assert float(cone_wear_coefficient_whole(angle)) == pytest.approx(0.0561, abs=5e-5)


def test_measured_coefficients_lie_below_a_sharp_cone_because_most_grains_plough() -> None:
    sharp = float(cone_wear_coefficient(np.radians(15.0)))
    assert all(value < sharp for value in TWO_BODY.values())
    assert list(TWO_BODY.values()) == sorted(TWO_BODY.values(), reverse=True)


def test_brinell_120_is_1_176_gigapascals() -> None:
    """A public page on wear prints H = 9.8e6 x HB, 1.176e9 Pa for 120."""
    assert float(hardness_pressure(120)) == pytest.approx(1.176e9, rel=1e-3)
