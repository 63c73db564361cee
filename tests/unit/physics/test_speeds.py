import math

import numpy as np
import pytest

from evenlay.physics import speeds as s

RANGES = (
    s.SpeedRange("stainless, fine", 22.9, 27.9, "handbook"),
    s.SpeedRange("stainless, fine", 33.0, 35.6, "trade chart"),
    s.SpeedRange("wheel plate", 0.0, 40.0, "plate"),
)


def test_rim_speed_and_rotation_are_inverse():
    rotation = np.array([0.0, 10.0, 50.0])
    assert s.rotation_at(diameter=0.15, speed=s.rim_speed(diameter=0.15, rotation=rotation)) == pytest.approx(rotation)


def test_sources_that_contradict_each_other_leave_nothing_and_are_named():
    bounds = s.speed_bounds(RANGES)
    assert (bounds.low, bounds.high) == (33.0, 27.9)
    assert (bounds.low_by.source, bounds.high_by.source) == ("trade chart", "handbook")


def test_ranges_that_a_speed_leaves_are_listed_each_with_its_source():
    assert [one.source for one in s.ranges_left(speed=25.0, ranges=RANGES)] == ["trade chart"]
    assert [one.source for one in s.ranges_left(speed=45.0, ranges=RANGES)] == ["handbook", "trade chart", "plate"]
    assert len(s.ranges_left(speed=math.nan, ranges=RANGES)) == 3


@pytest.mark.parametrize(
    ("function", "message"),
    [
        (lambda: s.rim_speed(diameter=0.0, rotation=1.0), "diameter"),
        (lambda: s.rim_speed(diameter=1.0, rotation=math.nan), "rotation"),
        (lambda: s.rotation_at(diameter=1.0, speed=-1.0), "speed"),
        (lambda: s.speed_bounds([]), "one range"),
        (lambda: s.speed_bounds([s.SpeedRange("x", 3.0, 2.0, "")]), "one range"),
        (lambda: s.speed_bounds([s.SpeedRange("x", math.nan, 2.0, "")]), "one range"),
    ],
)
def test_what_is_out_of_range_is_refused(function, message):
    with pytest.raises(ValueError, match=message):
        function()
