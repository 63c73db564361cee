"""Air motor selection and sizing (trade magazine article, read): straight torque line, peak power; its slips named."""

from __future__ import annotations

import math

import numpy as np
import pytest

from evenlay.physics.drive import air_motor_peak_power, air_motor_speed, shaft_power, stall_torque_from_reading

HORSEPOWER, POUND_FOOT = 745.69987, 1.3558179


def test_torque_is_linear_in_speed_and_half_the_stall_torque_halves_the_speed() -> None:
    speeds = air_motor_speed(free_rotation=50.0, stall_torque=2.0, torque=np.linspace(0.0, 2.0, 9)).rotation
    np.testing.assert_allclose(np.diff(speeds), -6.25)
    assert speeds[4] == 25.0


def test_peak_power_stands_at_half_speed_with_half_the_stall_torque() -> None:
    free, stall = 50.0, 2.0
    assert float(air_motor_peak_power(free_rotation=free, stall_torque=stall)) == pytest.approx(stall * 2.0 * math.pi * free / 4.0)
    for torque in (0.8, 1.2):
        at = air_motor_speed(free_rotation=free, stall_torque=stall, torque=torque).rotation
        assert shaft_power(torque=torque, rotation=at) < air_motor_peak_power(free_rotation=free, stall_torque=stall)


def test_stall_torque_is_twice_that_at_peak_power() -> None:
    assert float(stall_torque_from_reading(free_rotation=50.0, loaded_rotation=25.0, loaded_torque=1.0)) == 2.0


def test_power_in_newton_metres_and_turns_a_minute_is_in_watts_not_kilowatts() -> None:
    assert float(shaft_power(torque=10.0, rotation=955 / 60)) == pytest.approx(math.pi * 10.0 * 955 / 30)
    assert float(shaft_power(torque=10.0, rotation=955 / 60)) == pytest.approx(1000.0, rel=1e-3)


def test_the_articles_example_is_ten_times_off_its_own_formula() -> None:
    """Printed: 525 rpm, 0.03 hp, 3 lb-ft. Its T = 5250 P/n gives 0.3; the power of 3 lb-ft would be 0.3 hp."""
    by_formula = 5250 * 0.03 / 525
    assert by_formula == pytest.approx(0.3)
    power = shaft_power(torque=by_formula * POUND_FOOT, rotation=525 / 60)
    assert float(power) == pytest.approx(0.03 * HORSEPOWER, rel=1e-3)
