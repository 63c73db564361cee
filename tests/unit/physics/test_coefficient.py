import math

import numpy as np
import pytest

from evenlay.physics import coefficient as c


def test_energy_and_coefficient_are_one_number_told_twice():
    k = np.geomspace(1e-13, 1e-10, 7)
    u = c.specific_energy(removal_coefficient=k, friction=0.37)
    assert c.removal_coefficient_from_energy(specific_energy=u, friction=0.37) / k == pytest.approx(1.0, rel=1e-14)


def test_energy_is_power_over_removal_rate():
    force, speed, friction, k = 40.0, 20.0, 0.4, 7.905e-12
    assert c.specific_energy(removal_coefficient=k, friction=friction) == pytest.approx((friction * force * speed) / (k * force * speed))


def test_the_two_conventions_of_the_wear_coefficient_differ_by_three():
    one = c.removal_coefficient_archard(wear_coefficient=0.01, hardness=1.2e9)
    other = c.removal_coefficient_archard_third(wear_coefficient=0.01, hardness=1.2e9)
    assert one / other == pytest.approx(3.0)


def test_the_two_cones_differ_by_two_and_grow_with_the_angle():
    angle = np.radians([5.0, 10.0, 25.0])
    front, whole = c.cone_wear_coefficient(angle), c.cone_wear_coefficient_whole(angle)
    assert front == pytest.approx(2.0 * whole)
    assert np.all(np.diff(front) > 0.0)


def test_a_cone_removes_its_own_groove_section():
    """Second way: groove of depth h and half width h / tan, ploughed over its length, over the load on the front half."""
    angle, depth, hardness = math.radians(15.0), 2e-6, 1.3e9
    radius = depth / math.tan(angle)
    load = hardness * math.pi * radius**2 / 2.0
    by_hand = radius * depth / load
    k = c.removal_coefficient_archard(wear_coefficient=c.cone_wear_coefficient(angle), hardness=hardness)
    assert float(k) / by_hand == pytest.approx(1.0)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
@pytest.mark.parametrize(
    "function",
    [
        lambda x: c.specific_energy(removal_coefficient=x, friction=0.4),
        lambda x: c.specific_energy(removal_coefficient=1e-11, friction=x),
        lambda x: c.removal_coefficient_from_energy(specific_energy=x, friction=0.4),
        c.hardness_pressure,
        lambda x: c.removal_coefficient_archard(wear_coefficient=x, hardness=1e9),
        lambda x: c.removal_coefficient_archard_third(wear_coefficient=0.1, hardness=x),
        c.cone_wear_coefficient,
        c.cone_wear_coefficient_whole,
    ],
)
def test_what_is_not_a_positive_number_is_refused(function, bad):
    with pytest.raises(ValueError, match=r"positive|right angle"):
        function(bad)
