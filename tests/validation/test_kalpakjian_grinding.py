"""Kalpakjian, specific energy of grinding and a worked example (book, table read): its arithmetic slip corrected."""

from __future__ import annotations

import math

import pytest

from evenlay.physics.coefficient import removal_coefficient_from_energy, specific_energy
from evenlay.physics.drive import shaft_power
from evenlay.physics.removal import mean_pass_removal, removed_volume
from evenlay.physics.speeds import rim_speed

INCH, MINUTE, HORSEPOWER, POUND = 0.0254, 60.0, 745.69987, 4.4482216
ENERGY = 15 * HORSEPOWER * MINUTE / INCH**3
DIAMETER, ROTATION, WIDTH, DEPTH, FEED = 10 * INCH, 4000 / MINUTE, 1 * INCH, 0.002 * INCH, 60 * INCH / MINUTE


def test_energy_of_15_horsepower_minutes_a_cubic_inch_in_joules_a_cubic_millimetre() -> None:
    joules = ENERGY * 1e-9
    assert joules == pytest.approx(40.955, abs=1e-3)


def test_removal_rate_power_speed_and_force_of_the_example() -> None:
    rate = DEPTH * WIDTH * FEED
    speed = float(rim_speed(diameter=DIAMETER, rotation=ROTATION))
    power = ENERGY * rate
    assert rate * 1e9 == pytest.approx(32.774, abs=1e-3)
    assert power == pytest.approx(1342.3, abs=0.1)
    assert power / HORSEPOWER == pytest.approx(1.8, abs=1e-6)
    assert speed == pytest.approx(53.198, abs=1e-3)
    force = power / speed
    assert force == pytest.approx(25.23, abs=0.01)
    assert float(shaft_power(torque=force * DIAMETER / 2.0, rotation=ROTATION)) == pytest.approx(power)


def test_the_printed_forces_of_57_and_74_pounds_are_ten_times_too_high() -> None:
    tangential = ENERGY * DEPTH * WIDTH * FEED / (math.pi * DIAMETER * ROTATION) / POUND
    assert tangential == pytest.approx(5.672, abs=2e-3)
    assert 1.3 * tangential == pytest.approx(7.374, abs=2e-3)
    assert 57 / tangential == pytest.approx(10.0, rel=0.01)


def test_our_removal_with_the_coefficient_of_that_energy_takes_the_depth_of_the_example() -> None:
    """Second way through Preston: friction 1/1.3, so that normal force is 1.3 times the tangential."""
    k = removal_coefficient_from_energy(specific_energy=ENERGY, friction=1 / 1.3)
    speed = rim_speed(diameter=DIAMETER, rotation=ROTATION)
    normal = 1.3 * ENERGY * DEPTH * WIDTH * FEED / float(speed)
    depth = mean_pass_removal(removal_coefficient=k, belt_speed=speed, force=normal, feed=FEED, width=WIDTH)
    assert float(depth) == pytest.approx(DEPTH, rel=1e-12)


@pytest.mark.parametrize(
    ("metal", "low", "high"),
    [("aluminium", 7, 27), ("cast iron", 12, 60), ("1020 steel", 14, 68), ("titanium", 16, 55), ("tool steel", 18, 82)],
)
def test_day_zero_coefficients_lie_where_the_printed_energies_and_finishing_practice_put_them(metal: str, low: float, high: float) -> None:
    """The day-zero values (1e-11 on 304, 3e-11 on aluminium, friction 0.4) as energies: 40 and 13 J/mm3."""
    ours = {"aluminium": 3e-11}.get(metal, 1e-11)
    energy = float(specific_energy(removal_coefficient=ours, friction=0.4)) * 1e-9
    assert low <= energy <= high


def test_the_bridge_between_wear_coefficient_and_energy() -> None:
    """K 0.01 on 304 (HV 129): 7.905e-12 m2/N; 50.6 J/mm3; 40 N at 20 m/s: 6.32 mm3/s and 1.054 um on 30 mm at 0.2 m/s."""
    from evenlay.physics.coefficient import hardness_pressure, removal_coefficient_archard

    k = removal_coefficient_archard(wear_coefficient=0.01, hardness=hardness_pressure(129))
    assert float(k) * 1e12 == pytest.approx(7.905, rel=1e-3)
    assert float(specific_energy(removal_coefficient=k, friction=0.4)) * 1e-9 == pytest.approx(50.6, abs=0.05)
    assert float(removed_volume(removal_coefficient=k, force=40.0, sliding_length=20.0)) * 1e9 == pytest.approx(6.32, abs=0.005)
    depth = mean_pass_removal(removal_coefficient=k, belt_speed=20.0, force=40.0, feed=0.2, width=0.03)
    assert float(depth) * 1e6 == pytest.approx(1.054, abs=1e-3)
