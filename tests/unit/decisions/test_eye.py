"""The eye in front of one finish."""

import math
from dataclasses import replace

import numpy as np
import pytest

from evenlay.decisions.eye import eye_of, light_of
from evenlay.physics.viewing import contrast_gains


def belt(world, **changes):
    return world.situation(31, **changes)[1].lines.visibility


def test_gains_are_those_of_the_luminance_model_at_its_worst_tilt(world):
    unknowns = world.draws(5).unknowns
    light = light_of(world.setup, unknowns)
    gains = contrast_gains(
        slope_rms=unknowns.slope_across,
        facet_spread=unknowns.facet_spread,
        floor=unknowns.luminance_floor,
        tilt=None,
        roughness_change=1.0,
        tilt_change=0.0,
    )
    assert light.across.sigma == pytest.approx(gains.sigma)
    flatter = contrast_gains(
        slope_rms=unknowns.slope_along,
        facet_spread=unknowns.facet_spread,
        floor=unknowns.luminance_floor,
        tilt=None,
        roughness_change=0.0,
        tilt_change=1.0,
    )
    assert light.along.theta == pytest.approx(flatter.theta)
    assert np.all(light.along.theta > light.across.theta)


def test_a_lamp_that_is_set_is_never_worse_than_the_worst_one(world):
    unknowns = world.draws(31).unknowns
    worst = light_of(world.setup, unknowns)
    for tilt in (0.0, 0.03, 0.1, 0.3):
        fixed = light_of(replace(world.setup, lamp_tilt=tilt), unknowns)
        assert np.all(np.abs(fixed.across.sigma) <= np.abs(worst.across.sigma) * (1.0 + 1e-6))
        assert np.all(np.abs(fixed.along.theta) <= np.abs(worst.along.theta) * (1.0 + 1e-6))


def test_gains_do_not_depend_on_the_settings(world, same_bytes):
    state, _ = world.situation(5)
    light = light_of(state.setup, state.unknowns)
    other, _ = world.situation(5, settings=world.settings.with_(feed=0.3))
    assert same_bytes(light, light_of(other.setup, other.unknowns))


def test_no_contrast_shows_nothing_and_more_shows_more(world):
    _, eye = world.situation(5)
    none, some, more = (eye.grating(pitch=0.004, contrasts=(np.full(6, contrast),)) for contrast in (0.0, 0.01, 0.02))
    assert np.all(none == 0.0)
    assert more == pytest.approx(2.0 * some)
    assert np.all(some > 0.0)


def test_harmonics_add_to_what_the_first_one_shows(world):
    _, eye = world.situation(5)
    one = eye.grating(pitch=0.008, contrasts=(np.full(6, 0.01),))
    two = eye.grating(pitch=0.008, contrasts=(np.full(6, 0.01), np.full(6, 0.01)))
    assert np.all(two > one)


@pytest.mark.parametrize("pitch", [0.1e-3, 0.3e-3])
def test_what_is_too_fine_for_the_eye_shows_less(world, pitch):
    _, eye = world.situation(5)
    best = eye.grating(pitch=0.003, contrasts=(np.full(6, 0.01),))
    assert np.all(eye.grating(pitch=pitch, contrasts=(np.full(6, 0.01),)) < 0.5 * best)


def test_texture_gain_acts_as_a_power_on_the_lines(world):
    # Masking divides out what signal and noise share, so four times the power is at most twice the visibility.
    faint, strong = (belt(world, line_gain=gain) for gain in (0.25, 1.0))
    assert np.all(strong >= faint)
    assert np.all(strong <= 2.0 * faint * (1.0 + 1e-9))


def test_more_of_the_texture_that_does_not_repeat_shows_fainter_lines(world):
    shares = [belt(world, unrepeated_share=share)[0] for share in (0.0, 0.2, 0.4, 0.9)]
    assert shares == sorted(shares, reverse=True)


def test_a_side_to_side_motion_softens_belt_lines_and_one_too_fast_by_half_the_power_at_most(world):
    still = belt(world)
    slow = world.situation(31, setup=replace(world.setup, dither=2e-3, dither_length=50.0))
    quick = world.situation(31, setup=replace(world.setup, dither=2e-3, dither_length=0.02))
    assert np.all(slow[1].dither_slow)
    assert not np.any(quick[1].dither_slow)
    assert np.all(slow[1].lines.visibility < still)
    assert quick[1].lines.visibility == pytest.approx(np.sqrt(0.5 * (slow[1].lines.visibility ** 2 + still**2)))
    assert np.all(quick[1].lines.visibility >= math.sqrt(0.5) * still * (1.0 - 1e-9))


def test_the_noise_the_eye_meets_across_is_that_of_the_belts_own_texture(world):
    state, eye = world.situation(5)
    assert eye.noise_across is eye.lines.noise
    assert eye.distance == state.setup.distance


def test_the_same_state_gives_the_same_bytes(world, same_bytes):
    state, eye = world.situation(5)
    assert same_bytes(eye, eye_of(state, light_of(state.setup, state.unknowns)))
