import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenlay.physics import marks as m

BELT, WHEEL = 1.5, math.pi * 0.15


@given(feed=st.floats(1e-3, 1.0), speed=st.floats(1.0, 60.0), length=st.floats(0.1, 10.0))
def test_every_spacing_is_feed_over_frequency(feed, speed, length):
    assert m.joint_pitch(feed=feed, belt_length=length, belt_speed=speed) == pytest.approx(feed / (speed / length))
    rate = speed / (math.pi * length)
    assert m.wheel_pitch(feed=feed, diameter=length, belt_speed=speed) == pytest.approx(feed / rate)
    assert m.wheel_pitch(feed=feed, diameter=length, belt_speed=speed, harmonic=3) == pytest.approx(feed / rate / 3.0)
    assert m.chatter_pitch(feed=feed, frequency=rate) == pytest.approx(feed / rate)


def test_joint_and_wheel_stand_in_the_ratio_of_belt_to_rim_whatever_the_settings():
    for feed, speed in ((0.05, 10.0), (0.2, 30.0)):
        ratio = m.joint_pitch(feed=feed, belt_length=BELT, belt_speed=speed) / m.wheel_pitch(feed=feed, diameter=0.15, belt_speed=speed)
        assert ratio == pytest.approx(BELT / WHEEL)


def test_force_device_marks_are_those_of_its_bandwidth():
    assert m.bandwidth_length(feed=0.12, bandwidth=10.0) == pytest.approx(m.chatter_pitch(feed=0.12, frequency=10.0))


def test_draws_pass_through():
    assert m.joint_pitch(feed=np.array([0.1, 0.2]), belt_length=1.5, belt_speed=15.0) == pytest.approx([0.01, 0.02])


def test_whole_number_ratios_are_found_with_their_ratio_and_awkward_ones_are_not():
    golden = (math.sqrt(5.0) - 1.0) / 2.0
    found = m.coincidences([("a", 0.006), ("b", 0.004), ("c", 0.0095 * golden)], tolerance=0.01)
    assert [(pair.first, pair.second, pair.ratio) for pair in found] == [("a", "b", (3, 2))]
    assert found[0].off == pytest.approx(0.0, abs=1e-12)
    near = m.coincidences([("a", 0.00606), ("b", 0.006)], tolerance=0.02)
    assert near[0].ratio == (1, 1)
    assert near[0].off == pytest.approx(0.01)
    assert m.coincidences([("a", 0.00618), ("b", 0.006)], tolerance=0.02) == ()


def test_passes_line_up_at_whole_turns_and_are_farthest_apart_half_way():
    rate = 12.0
    assert m.between_passes(frequency=rate, interval=np.array([4.0, 4.0 + 0.25 / rate, 4.0 + 0.5 / rate, 4.0 + 0.75 / rate])) == (
        pytest.approx([0.0, 0.25, 0.5, 0.25])
    )


def bands(**changes):
    usual = {
        "lengths": [BELT, WHEEL],
        "frequencies": [],
        "visible": (0.002, 0.005),
        "feed": 0.12,
        "speed": 18.0,
        "feed_range": (0.02, 0.3),
        "speed_range": (10.0, 30.0),
    }
    return m.clear_bands(**{**usual, **changes})


def seen(feed, speed, lengths, frequencies, visible):
    """Second way: each mark's spacing, looked at one by one."""
    spacings = [feed * length / speed for length in lengths] + [feed / rate for rate in frequencies]
    return any(visible[0] < spacing < visible[1] for spacing in spacings)


@settings(max_examples=80, deadline=None)
@given(
    lengths=st.lists(st.floats(0.05, 4.0), max_size=4),
    frequencies=st.lists(st.floats(5.0, 200.0), max_size=2),
    short=st.floats(0.0005, 0.01),
    factor=st.floats(1.0, 6.0),
    feed=st.floats(0.02, 0.3),
    speed=st.floats(10.0, 30.0),
    at=st.floats(0.001, 0.999),
)
def test_inside_a_clear_band_nothing_is_seen_and_outside_something_is(lengths, frequencies, short, factor, feed, speed, at):
    visible = (short, short * factor)
    found = bands(lengths=lengths, frequencies=frequencies, visible=visible, feed=feed, speed=speed)
    trial_feed, trial_speed = 0.02 + 0.28 * at, 10.0 + 20.0 * at
    hair = 1e-9
    for trial, clear, is_seen in (
        (trial_feed, found.feeds, seen(trial_feed, speed, lengths, frequencies, visible)),
        (trial_speed, found.speeds, seen(feed, trial_speed, lengths, frequencies, visible)),
    ):
        strictly_inside = any(low + hair < trial < high - hair for low, high in clear)
        strictly_outside = all(trial < low - hair or trial > high + hair for low, high in clear)
        assert not (strictly_inside and is_seen)
        assert is_seen or not strictly_outside


def test_a_wide_visible_band_leaves_no_clear_feed_and_no_marks_leave_them_all():
    assert bands(visible=(1e-5, 1.0)).feeds == ()
    assert bands(visible=(1e-5, 1.0)).share == 0.0
    free = bands(lengths=[])
    assert free.feeds == ((0.02, 0.3),)
    assert free.speeds == ((10.0, 30.0),)
    assert free.share == 1.0


def test_a_chatter_that_is_seen_at_this_feed_is_not_helped_by_belt_speed():
    assert bands(lengths=[], frequencies=[40.0]).speeds == ()
    assert bands(lengths=[], frequencies=[40.0], feed=0.25).speeds == ((10.0, 30.0),)


def test_share_of_the_field_is_that_of_a_naive_count():
    got = bands(frequencies=[40.0])
    feeds, speeds = np.linspace(0.02, 0.3, 101), np.linspace(10.0, 30.0, 101)
    clear = sum(not seen(f, v, [BELT, WHEEL], [40.0], (0.002, 0.005)) for f in feeds for v in speeds)
    assert got.share == pytest.approx(clear / 101**2, abs=2e-3)


def test_gaps_of_touching_nested_and_outside_bands():
    assert m.gaps((0.0, 1.0), []) == ((0.0, 1.0),)
    assert m.gaps((0.0, 1.0), [(-1.0, 2.0)]) == ()
    assert m.gaps((0.0, 1.0), [(0.0, 0.5), (0.1, 0.2), (0.5, 0.6)]) == ((0.6, 1.0),)
    assert m.gaps((0.0, 1.0), [(2.0, 3.0)]) == ((0.0, 1.0),)
    assert m.gaps((0.5, 0.5), []) == ()


@pytest.mark.parametrize(
    ("function", "message"),
    [
        (lambda: m.joint_pitch(feed=math.nan, belt_length=1.0, belt_speed=1.0), "feed"),
        (lambda: m.joint_pitch(feed=0.1, belt_length=1.0, belt_speed=0.0), "belt_speed"),
        (lambda: m.wheel_pitch(feed=0.1, diameter=0.1, belt_speed=1.0, harmonic=0), "harmonics"),
        (lambda: m.chatter_pitch(feed=0.1, frequency=-1.0), "frequency"),
        (lambda: m.between_passes(frequency=1.0, interval=math.nan), "interval"),
        (lambda: m.coincidences([("a", 0.0), ("b", 1.0)]), "spacing"),
        (lambda: m.coincidences([], largest=0), "whole number"),
        (lambda: m.coincidences([], tolerance=math.nan), "whole number"),
        (lambda: bands(visible=(0.005, 0.002)), "visible band"),
        (lambda: bands(feed_range=(math.nan, 0.3)), "feed range"),
        (lambda: bands(speed_range=(0.0, 30.0)), "speed range"),
        (lambda: bands(feed=math.nan), "feed and belt speed"),
        (lambda: bands(lengths=[-1.0]), "lengths"),
        (lambda: bands(frequencies=[math.inf]), "frequencies"),
    ],
)
def test_what_is_out_of_range_is_refused_by_name(function, message):
    with pytest.raises(ValueError, match=message):
        function()
