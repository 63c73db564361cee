import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenlay.physics import ripple as p
from evenlay.physics.removal import lay_removal


def trapezoid(width=0.05, ramp=0.005, size=121, end=0.03):
    y = np.linspace(-end, end, size)
    return y, np.clip((0.5 * (width + ramp) - np.abs(y)) / ramp, 0.0, 1.0)[None]


def even(rounds, step=0.035, **changes):
    y, shape = trapezoid()
    return p.ripple(y=y, shape=shape, step_over=step, offsets=p.even_offsets(step_over=step, rounds=rounds), **changes)


@pytest.mark.parametrize(("rounds", "percent"), [(1, 70.0), (2, 17.5), (3, 15.6), (4, 8.8)])
def test_a_trapezoid_of_50_and_5_mm_stepped_35_has_the_ripple_of_the_derivation(rounds, percent):
    assert 100.0 * even(rounds).peak_to_valley[0] == pytest.approx(percent, abs=0.06)


def test_seven_rounds_of_35_mm_make_a_footprint_of_50_mm_exactly_even():
    assert even(7).peak_to_valley[0] < 1e-4
    assert even(7).rms[0] < 1e-12


def test_a_step_of_whole_footprints_over_rounds_is_even_and_no_other_near_it():
    for step in p.even_steps(width=0.05, rounds=3, shortest=0.02):
        assert even(3, step).peak_to_valley[0] < 1e-9
        assert even(3, step * 1.04).peak_to_valley[0] > 0.01


def test_rounds_keep_only_every_nth_harmonic():
    waves = even(4).harmonics[0]
    assert np.all(waves[np.arange(1, 25) % 4 != 0] < 1e-12)
    assert waves[3] == pytest.approx(even(1).harmonics[0, 3], rel=1e-12)


def test_ripple_is_that_of_a_drawn_lay_far_from_the_ends():
    y, shape = trapezoid(0.043, 0.007)
    shape = shape * np.linspace(1.0, 2.0, y.size)
    offsets, weights, step = np.array([0.0, 0.004, 0.019]), np.array([1.0, 0.6, 0.3]), 0.031
    found = p.ripple(y=y, shape=shape, step_over=step, offsets=offsets, weights=weights)
    turns = np.arange(-6, 8)
    centres = (offsets[:, None] + step * turns[None, :]).ravel()
    face = np.linspace(0.0, step, 20001)
    drawn = lay_removal(face=face, centres=centres, y=y, depth=shape, weights=np.repeat(weights, turns.size))
    mean = np.mean(drawn[0, :-1])
    assert found.mean[0] == pytest.approx(mean, rel=1e-6)
    assert found.peak_to_valley[0] == pytest.approx(np.ptp(drawn[0]) / mean, rel=2e-3)
    assert found.rms[0] == pytest.approx(np.std(drawn[0, :-1]) / mean, rel=1e-4)


def test_rms_is_that_of_the_waves():
    y, shape = trapezoid(0.043, 0.02)
    found = p.ripple(y=y, shape=shape, step_over=0.03, orders=60)
    assert np.sqrt(np.sum(found.harmonics**2, axis=1) / 2.0) == pytest.approx(found.rms, rel=1e-4)


@pytest.mark.parametrize("ratio", [0.35, 0.5, 0.7])
def test_a_bell_has_the_ripple_of_its_formula(ratio):
    spread, step = 0.01, 0.01 / ratio
    y = np.linspace(-0.08, 0.08, 3201)
    found = p.ripple(y=y, shape=np.exp(-0.5 * (y / spread) ** 2)[None], step_over=step)
    # 5e-6: straight pieces of 50 µm stand for the bell.
    assert found.peak_to_valley[0] == pytest.approx(float(p.bell_ripple(spread=spread, step_over=step)), rel=2e-3, abs=5e-6)


def test_the_transform_of_straight_pieces_is_exact():
    """Second way: the transform of a trapezoid is a product of two sinc functions."""
    y, shape = trapezoid(0.05, 0.005)
    frequency = np.array([0.0, 7.0, 13.0, 28.57, 61.0])
    expected = 0.05 * np.sinc(0.05 * frequency) * np.sinc(0.005 * frequency)
    assert p.transform(y=y, shape=shape, frequency=frequency)[0].real == pytest.approx(expected, abs=1e-15)
    assert np.abs(p.transform(y=y, shape=shape, frequency=frequency).imag).max() < 1e-15


@settings(max_examples=40, deadline=None)
@given(
    step=st.floats(0.011, 0.09),
    shift=st.floats(-0.2, 0.2),
    scale=st.floats(1e-9, 1e3),
    rounds=st.integers(1, 5),
)
def test_scale_and_a_common_shift_change_no_ripple(step, shift, scale, rounds):
    y, shape = trapezoid()
    offsets = p.even_offsets(step_over=step, rounds=rounds)
    plain = p.ripple(y=y, shape=shape, step_over=step, offsets=offsets)
    moved = p.ripple(y=y, shape=shape * scale, step_over=step, offsets=offsets + shift)
    assert moved.peak_to_valley == pytest.approx(plain.peak_to_valley, abs=1e-7)
    assert moved.rms == pytest.approx(plain.rms, abs=1e-7)
    assert np.all(plain.peak_to_valley >= 2.0 * plain.rms - 1e-9)


def test_every_draw_is_its_own():
    y, one = trapezoid(0.05, 0.005)
    _, two = trapezoid(0.044, 0.009)
    both = p.ripple(y=y, shape=np.concatenate([one, two]), step_over=0.03)
    assert both.rms[1] == pytest.approx(p.ripple(y=y, shape=two, step_over=0.03).rms[0])


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"step_over": math.nan}, "step-over"),
        ({"step_over": 0.0}, "step-over"),
        ({"offsets": [math.nan]}, "offsets"),
        ({"weights": -1.0}, "weights"),
        ({"weights": 0.0}, "weights"),
        ({"weights": math.nan}, "weights"),
        ({"shape": np.zeros((1, 121))}, "remove something"),
        ({"shape": np.full((1, 121), math.nan)}, "remove something"),
    ],
)
def test_a_lay_out_of_range_is_refused(changes, message):
    y, shape = trapezoid()
    with pytest.raises(ValueError, match=message):
        p.ripple(**{"y": y, "shape": shape, "step_over": 0.035, **changes})


@pytest.mark.parametrize(
    "function",
    [
        lambda: p.bell_ripple(spread=math.nan, step_over=1.0),
        lambda: p.even_steps(width=0.05, rounds=0, shortest=0.01),
        lambda: p.even_steps(width=math.nan, rounds=1, shortest=0.01),
        lambda: p.even_offsets(step_over=math.inf, rounds=1),
        lambda: p.even_offsets(step_over=0.03, rounds=0),
    ],
)
def test_sizes_out_of_range_are_refused(function):
    with pytest.raises(ValueError, match="must be positive"):
        function()
