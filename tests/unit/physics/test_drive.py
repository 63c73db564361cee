import math

import numpy as np
import pytest

from evenlay.physics import drive as d
from evenlay.physics.speeds import rim_speed


def test_power_is_torque_times_rotation():
    force, friction, diameter, rotation = 40.0, 0.4, 0.15, 42.0
    by_shaft = d.shaft_power(torque=d.torque(force=force, friction=friction, diameter=diameter), rotation=rotation)
    by_belt = d.power(force=force, friction=friction, speed=rim_speed(diameter=diameter, rotation=rotation))
    assert by_shaft == pytest.approx(by_belt)


def test_a_servo_holds_what_was_asked_until_a_limit_and_says_which():
    got = d.servo_speed(
        rotation=np.array([50.0, 50.0, 50.0, 50.0]),
        torque=np.array([1.0, 1.0, 5.0, 0.0]),
        rotation_limit=np.array([60.0, 40.0, 60.0, 60.0]),
        torque_limit=np.array([2.0, 2.0, 2.0, 2.0]),
        power_limit=np.array([1000.0, 1000.0, 1000.0, 10.0]),
    )
    assert got.rotation.tolist() == [50.0, 40.0, 0.0, 50.0]
    assert got.limit.tolist() == ["holds", "speed", "torque", "holds"]
    starved = d.servo_speed(rotation=50.0, torque=2.0, power_limit=314.15926535)
    assert starved.rotation == pytest.approx(25.0)
    assert starved.limit.tolist() == "power"


def test_an_air_motor_runs_free_at_no_load_at_half_at_half_and_stalls():
    got = d.air_motor_speed(free_rotation=60.0, stall_torque=4.0, torque=np.array([0.0, 2.0, 4.0, 9.0]))
    assert got.rotation.tolist() == [60.0, 30.0, 0.0, 0.0]
    assert got.limit.tolist() == ["holds", "holds", "torque", "torque"]


def test_one_reading_under_load_gives_the_line_it_lies_on():
    stall = d.stall_torque_from_reading(free_rotation=60.0, loaded_rotation=47.0, loaded_torque=1.3)
    assert d.air_motor_speed(free_rotation=60.0, stall_torque=stall, torque=1.3).rotation == pytest.approx(47.0)


def test_the_power_curve_is_symmetrical_about_half_speed():
    free, stall = 60.0, 4.0
    load = np.linspace(0.0, stall, 41)
    curve = d.shaft_power(torque=load, rotation=d.air_motor_speed(free_rotation=free, stall_torque=stall, torque=load).rotation)
    assert curve == pytest.approx(curve[::-1])
    assert curve.max() == pytest.approx(d.air_motor_peak_power(free_rotation=free, stall_torque=stall))
    assert np.argmax(curve) == 20


def test_speed_of_an_ungoverned_air_motor_moves_with_force_and_patch_and_a_servos_does_not():
    """Common practice, no source."""
    force = np.array([20.0, 40.0, 40.0])
    patch = np.array([0.020, 0.020, 0.030])
    load = d.torque(force=force, friction=0.4, diameter=0.15, flattening=patch**2 / (4.0 * 0.15))
    air = d.air_motor_speed(free_rotation=60.0, stall_torque=4.0, torque=load).rotation
    servo = d.servo_speed(rotation=np.full(3, 60.0), torque=load, torque_limit=3.0).rotation
    assert air[1] < 0.9 * air[0]
    assert air[2] > air[1]
    assert servo.tolist() == [60.0, 60.0, 60.0]


@pytest.mark.parametrize(
    ("function", "message"),
    [
        (lambda: d.torque(force=math.nan, friction=0.4, diameter=0.1), "force"),
        (lambda: d.torque(force=1.0, friction=0.4, diameter=0.1, flattening=0.06), "shaft"),
        (lambda: d.power(force=1.0, friction=-0.4, speed=1.0), "friction"),
        (lambda: d.shaft_power(torque=1.0, rotation=math.inf), "rotation"),
        (lambda: d.servo_speed(rotation=1.0, torque=1.0, power_limit=math.nan), "limits"),
        (lambda: d.servo_speed(rotation=math.nan, torque=1.0), "rotation"),
        (lambda: d.air_motor_speed(free_rotation=60.0, stall_torque=0.0, torque=1.0), "stall_torque"),
        (lambda: d.stall_torque_from_reading(free_rotation=60.0, loaded_rotation=60.0, loaded_torque=1.0), "slower"),
        (lambda: d.stall_torque_from_reading(free_rotation=60.0, loaded_rotation=50.0, loaded_torque=0.0), "loaded_torque"),
        (lambda: d.air_motor_peak_power(free_rotation=math.nan, stall_torque=1.0), "free_rotation"),
    ],
)
def test_what_is_out_of_range_is_refused_by_name(function, message):
    with pytest.raises(ValueError, match=message):
        function()
