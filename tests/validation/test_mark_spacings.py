"""Spacing of marks is feed over frequency: an identity of kinematics, no source needed."""

from __future__ import annotations

import math

import pytest

from evenlay.physics.marks import bandwidth_length, chatter_pitch, joint_pitch, wheel_pitch

SETTINGS = [(0.05, 8.0), (0.12, 18.0), (0.2, 5.0), (0.3, 30.0)]


@pytest.mark.parametrize(("feed", "speed"), SETTINGS)
def test_spacing_times_frequency_is_feed(feed: float, speed: float) -> None:
    for length in (0.5, 1.5, 2.5):
        assert float(joint_pitch(feed=feed, belt_length=length, belt_speed=speed)) * speed / length == pytest.approx(feed)
    for harmonic in (1, 2, 24):
        rate = harmonic * speed / (math.pi * 0.15)
        spacing = wheel_pitch(feed=feed, diameter=0.15, belt_speed=speed, harmonic=harmonic)
        assert float(spacing) * rate == pytest.approx(feed)
        assert float(chatter_pitch(feed=feed, frequency=rate)) == pytest.approx(float(spacing))
    assert float(bandwidth_length(feed=feed, bandwidth=8.0)) * 8.0 == pytest.approx(feed)


def test_usual_satin_settings_repeat_after_ten_millimetres() -> None:
    assert float(joint_pitch(feed=0.12, belt_length=1.5, belt_speed=18.0)) == pytest.approx(0.010)


def test_equal_ratio_of_feed_to_belt_speed_gives_equal_spacings_of_belt_and_wheel() -> None:
    one = joint_pitch(feed=0.1, belt_length=1.5, belt_speed=15.0), wheel_pitch(feed=0.1, diameter=0.15, belt_speed=15.0)
    two = joint_pitch(feed=0.2, belt_length=1.5, belt_speed=30.0), wheel_pitch(feed=0.2, diameter=0.15, belt_speed=30.0)
    assert [float(x) for x in one] == pytest.approx([float(x) for x in two])
