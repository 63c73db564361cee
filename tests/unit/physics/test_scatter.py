import math

import numpy as np
import pytest

from evenlay.physics.ripple import even_offsets, ripple
from evenlay.physics.scatter import drawn_peak_to_valley, ripple_with_error

STEP, WIDTH, RAMP = 0.035, 0.05, 0.005
Y = np.linspace(-0.03, 0.03, 121)
SHAPE = np.clip((0.5 * (WIDTH + RAMP) - np.abs(Y)) / RAMP, 0.0, 1.0)[None]


def monte_carlo(rounds, deviation, tries, seed):
    """Second way: plain drawing of six step-overs of a face, pass by pass."""
    rng = np.random.default_rng(seed)
    face = np.arange(6 * 40) * STEP / 40
    mean = rounds * WIDTH / STEP
    squares, swings = [], []
    for _ in range(tries):
        total = np.zeros_like(face)
        for j in range(rounds):
            for k in range(-3, 10):
                centre = j * STEP / rounds + k * STEP + deviation * rng.standard_normal()
                total += np.interp(face - centre, Y, SHAPE[0], left=0.0, right=0.0)
        squares.append(np.mean((total / mean - 1.0) ** 2))
        swings.append(np.ptp(total) / mean)
    return math.sqrt(np.mean(squares)), float(np.mean(swings))


@pytest.mark.parametrize("rounds", [1, 2, 3, 4, 7])
def test_a_millimetre_of_path_error_makes_it_worse_by_what_a_monte_carlo_finds(rounds):
    offsets = even_offsets(step_over=STEP, rounds=rounds)
    steady = ripple(y=Y, shape=SHAPE, step_over=STEP, offsets=offsets)
    found = ripple_with_error(y=Y, shape=SHAPE, step_over=STEP, offsets=offsets, lateral_sd=0.001)
    rms, swing = monte_carlo(rounds, 0.001, 250, rounds)
    # 250 faces: the scatter of the rms is below 1 %; eight drawn faces: a tenth in peak to valley.
    assert found.rms[0] == pytest.approx(rms, rel=0.02)
    assert drawn_peak_to_valley(y=Y, shape=SHAPE, step_over=STEP, offsets=offsets, lateral_sd=0.001)[0] == pytest.approx(swing, rel=0.12)
    if rounds > 1:
        assert found.rms[0] > steady.rms[0] * 1.05
        assert swing > steady.peak_to_valley[0]


def test_one_round_keeps_its_rms_because_error_only_moves_the_stripes():
    steady = ripple(y=Y, shape=SHAPE, step_over=STEP)
    found = ripple_with_error(y=Y, shape=SHAPE, step_over=STEP, lateral_sd=0.001)
    assert found.rms == pytest.approx(steady.rms, rel=1e-3)
    assert found.systematic[0] < steady.rms[0]


def test_without_error_it_is_the_steady_ripple():
    offsets = even_offsets(step_over=STEP, rounds=3)
    found = ripple_with_error(y=Y, shape=SHAPE, step_over=STEP, offsets=offsets, lateral_sd=0.0)
    steady = ripple(y=Y, shape=SHAPE, step_over=STEP, offsets=offsets)
    assert found.rms == pytest.approx(steady.rms, rel=2e-3)
    assert found.random[0] == 0.0
    drawn = drawn_peak_to_valley(y=Y, shape=SHAPE, step_over=STEP, offsets=offsets, lateral_sd=0.0)
    assert drawn == pytest.approx(steady.peak_to_valley, rel=0.02)


def test_a_very_large_error_leaves_the_chance_of_independent_passes():
    """Limit: passes anywhere on the face are a Poisson rain; its variance is the integral of the profile squared."""
    found = ripple_with_error(y=Y, shape=SHAPE, step_over=STEP, lateral_sd=0.5)
    still_steady = WIDTH**2 / (2.0 * math.sqrt(math.pi) * 0.5)
    expected = (np.trapezoid(SHAPE[0] ** 2, Y) - still_steady) / STEP / (WIDTH / STEP) ** 2
    assert found.random[0] ** 2 == pytest.approx(expected, rel=1e-3)
    assert found.systematic[0] < 1e-9


def test_a_softer_edge_suffers_less_from_the_same_error():
    soft = np.clip((0.5 * (WIDTH + 0.01) - np.abs(Y)) / 0.01, 0.0, 1.0)[None]
    both = np.concatenate([SHAPE, soft])
    offsets = even_offsets(step_over=STEP, rounds=7)
    hard, softer = ripple_with_error(y=Y, shape=both, step_over=STEP, offsets=offsets, lateral_sd=0.001).rms
    assert softer < 0.75 * hard


def test_each_draw_has_its_own_error():
    both = np.concatenate([SHAPE, SHAPE])
    found = ripple_with_error(y=Y, shape=both, step_over=0.05, lateral_sd=np.array([0.0005, 0.002]))
    alone = ripple_with_error(y=Y, shape=SHAPE, step_over=0.05, lateral_sd=0.002)
    assert found.rms[1] == pytest.approx(alone.rms[0], rel=1e-12)
    swing = drawn_peak_to_valley(y=Y, shape=both, step_over=0.05, lateral_sd=np.array([0.0005, 0.002]))
    assert swing[1] > swing[0]


def test_small_errors_cost_their_share_of_the_ramp():
    """A pass off by e leaves stripes of e over the ramp, of one pass: on average over a normal error, by the normal's mean size."""
    deviation = 0.0005
    found = ripple_with_error(y=Y, shape=SHAPE, step_over=0.05, lateral_sd=deviation).rms[0]
    # On two ramps of length r in every step w, the error of the sum is the difference of two independent ones over r.
    expected = math.sqrt(2.0 * deviation**2 / RAMP**2 * RAMP / 0.05)
    assert found == pytest.approx(expected, rel=0.1)


@pytest.mark.parametrize("bad", [-0.001, math.nan, math.inf])
def test_an_error_out_of_range_is_refused(bad):
    with pytest.raises(ValueError, match="lateral error"):
        ripple_with_error(y=Y, shape=SHAPE, step_over=STEP, lateral_sd=bad)
    with pytest.raises(ValueError, match="lateral error"):
        drawn_peak_to_valley(y=Y, shape=SHAPE, step_over=STEP, lateral_sd=bad)


def test_no_drawn_face_is_refused():
    with pytest.raises(ValueError, match="one drawn face"):
        drawn_peak_to_valley(y=Y, shape=SHAPE, step_over=STEP, lateral_sd=0.001, faces=0)
