from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from evenlay.physics.lines import (
    BeltLines,
    BeltMotion,
    GrainTrace,
    RoundSet,
    belt_line_visibility,
    filtered_power,
    line_frequencies,
    mixed_power,
    texture_amplitudes,
)
from evenlay.physics.viewing import (
    APERTURE_LENGTH,
    LINE_GAIN,
    contrast_gains,
    contrast_sensitivity,
    degrees_per_metre,
    grating_visibility,
    noise_scale,
)

MOTION = BeltMotion(belt_length=[1.5], speed=18.0, feed=0.12, patch_length=0.02)
GRAINS = GrainTrace(active_density=3.6e6, fill_depth=21e-6, takeover_depth=0.6e-6, unrepeated_share=0.2)
ROUNDS = RoundSet(removal=[3e-6], offsets=[0.0], line_gain=0.28)
GAINS = contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=0.05)


def seen(**change: object) -> BeltLines:
    given = {"motion": MOTION, "grains": GRAINS, "rounds": ROUNDS, "gains": GAINS, "distance": 0.6, **change}
    return belt_line_visibility(**given)  # type: ignore[arg-type]


def value(**change: object) -> float:
    return float(seen(**change).visibility[0])


def test_one_round_agrees_with_a_plain_loop() -> None:
    """Second way: one draw, one frequency at a time, harmonics of a box-like patch memory summed by hand."""
    removal, takeover, fill, epsilon = 3e-6, 0.6e-6, 21e-6, 0.2
    angle = float(degrees_per_metre(0.6))
    repeat = 0.12 * 1.5 / 18.0 * angle
    base = 2.0 / (3.6e6 * 1.5)
    owned = 1.0 - np.exp(-removal / takeover)
    own = owned**2 * 0.28
    level = owned * 0.28
    relief = fill * (1.0 - np.exp(-removal / fill))
    theta_t = theta_r = 0.0
    for m in range(1, 6):
        passed = 2.0 * np.exp(-((2.0 * np.pi * 0.6273 * m / repeat) ** 2))
        turns = 2.0 * np.pi * 0.02 * m / (repeat / angle)
        x = np.linspace(0.0, 1.0, 20001)
        memory = np.exp(-removal / takeover * x)
        theta_t += passed * np.abs(np.trapezoid(memory * np.exp(-1j * turns * x), x) / np.trapezoid(memory, x)) ** 2
        theta_r += passed * np.sinc(m * 0.02 * angle / repeat) ** 2
    total = 0.0
    frequency = np.geomspace(0.1, 60.0, 3000)
    for f, width in zip(frequency, np.gradient(frequency), strict=True):
        on_face = f * angle
        texture = base * float(GAINS.sigma) ** 2
        tilt = base * float(GAINS.theta) ** 2 * (2.0 * np.pi * on_face) ** 2 * relief**2
        signal = (1.0 - epsilon) * (texture * own + tilt)
        rest = texture * level * ((1.0 - epsilon) * theta_t + epsilon * repeat / APERTURE_LENGTH)
        rest += tilt * ((1.0 - epsilon) * theta_r + epsilon * repeat / APERTURE_LENGTH)
        noise = 0.5 * APERTURE_LENGTH * angle * rest
        gain = float(contrast_sensitivity(f))
        total += signal * angle * gain**2 / (1.0 + gain**2 * noise / float(noise_scale())) * width
    assert value() == pytest.approx(LINE_GAIN * np.sqrt(total), rel=5e-3)


def test_more_frequencies_do_not_change_the_number() -> None:
    coarse = seen()
    area = np.trapezoid(
        coarse.contrast_density[0] * contrast_sensitivity(coarse.frequency / float(degrees_per_metre(0.6))) ** 2, coarse.frequency
    )
    assert float(coarse.plain_visibility[0]) == pytest.approx(LINE_GAIN * np.sqrt(area), rel=0.01)


def test_masking_only_lowers_and_a_perfect_short_repeat_is_not_masked() -> None:
    masked = seen()
    assert masked.visibility[0] < masked.plain_visibility[0]
    perfect = seen(grains=replace(GRAINS, unrepeated_share=0.0))
    assert float(perfect.visibility[0]) == pytest.approx(float(perfect.plain_visibility[0]), rel=1e-3)


def test_a_texture_that_never_repeats_prints_no_line() -> None:
    assert value(grains=replace(GRAINS, unrepeated_share=1.0)) == 0.0


def test_a_longer_belt_a_slower_belt_and_a_faster_feed_print_fainter_lines() -> None:
    assert value(motion=replace(MOTION, belt_length=[3.0])) < value()
    assert value(motion=replace(MOTION, speed=9.0)) < value()
    assert value(motion=replace(MOTION, feed=0.24)) < value()


def test_lines_of_equal_speed_ratio_are_equal() -> None:
    assert value(motion=replace(MOTION, speed=9.0, feed=0.06)) == pytest.approx(value(), rel=1e-12)


def test_where_the_texture_limits_the_light_hardly_matters() -> None:
    long = replace(MOTION, belt_length=[20.0], speed=5.0, feed=0.2)
    dim, bright = (contrast_gains(slope_rms=0.09, facet_spread=0.03, floor=floor) for floor in (0.10, 0.02))
    plain = seen(motion=long, gains=bright).plain_visibility / seen(motion=long, gains=dim).plain_visibility
    masked = seen(motion=long, gains=bright).visibility / seen(motion=long, gains=dim).visibility
    assert float(masked[0]) - 1.0 < 0.5 * (float(plain[0]) - 1.0)


def test_a_face_shorter_than_two_repeats_shows_no_belt_line() -> None:
    assert value(face_length=0.019) == 0.0
    assert value(face_length=0.021) > 0.0
    with pytest.raises(ValueError, match="face_length"):
        seen(face_length=0.0)


def test_a_nearer_eye_sees_more_of_fine_lines() -> None:
    assert value(distance=0.3) > value() > value(distance=3.0)


def test_shifted_rounds_show_less_than_rounds_in_one_place() -> None:
    light = RoundSet(line_gain=0.28, removal=[0.6e-6] * 4, offsets=[0.0, 0.003, 0.007, 0.012])
    together = replace(light, offsets=[0.0] * 4)
    assert value(rounds=light) < value(rounds=together)
    loose = replace(together, offset_error=0.003)
    assert value(rounds=loose) < value(rounds=together)


def test_dither_wander_and_a_light_last_round_lower_the_lines() -> None:
    assert value(rounds=replace(ROUNDS, dither=0.001)) < value()
    assert value(rounds=replace(ROUNDS, wander=0.002)) < value()
    assert value(rounds=replace(ROUNDS, removal=[0.3e-6])) < value()


def test_the_chain_carries_shares_and_densities() -> None:
    lines = seen(rounds=RoundSet(line_gain=0.28, removal=[0.6e-6, 0.3e-6], offsets=[0.0, 0.004]))
    first, last = 1.0 - np.exp(-1.0), 1.0 - np.exp(-0.5)
    assert float(lines.last_share[0]) == pytest.approx(last)
    assert float(lines.owned_share[0]) == pytest.approx(last + first * np.exp(-0.5))
    assert float(lines.repeat_length[0]) == pytest.approx(0.01)
    contrast = float(GAINS.sigma) ** 2 * lines.texture_density + float(GAINS.theta) ** 2 * lines.relief_density
    np.testing.assert_allclose(lines.contrast_density, contrast, rtol=1e-12)


def test_draws_do_not_mix() -> None:
    grains = GrainTrace(
        active_density=np.asarray([3e6, 6e6, 3e6]),
        fill_depth=np.asarray([20e-6, 30e-6, 20e-6]),
        takeover_depth=np.asarray([0.6e-6, 0.8e-6, 0.6e-6]),
        unrepeated_share=np.asarray([0.1, 0.3, 0.1]),
    )
    rounds = RoundSet(
        line_gain=0.28, removal=np.asarray([[2e-6, 1e-6], [3e-6, 2e-6], [2e-6, 1e-6]]), offsets=[0.0, 0.005], offset_error=[0.0, 1e-3, 0.0]
    )
    all_three = seen(grains=grains, rounds=rounds)
    assert all_three.visibility.shape == (3,)
    assert all_three.noise.density.shape == (3, all_three.frequency.size) == all_three.noise_along.density.shape
    assert all_three.visibility[0] == all_three.visibility[2] != all_three.visibility[1]
    alone = seen(
        grains=GrainTrace(6e6, 30e-6, 0.8e-6, 0.3),
        rounds=RoundSet(line_gain=0.28, removal=[3e-6, 2e-6], offsets=[0.0, 0.005], offset_error=1e-3),
    )
    assert float(alone.visibility[0]) == pytest.approx(float(all_three.visibility[1]), rel=1e-12)


def test_marks_along_the_grain_are_masked_and_a_repeat_longer_than_the_mark_masks_fully() -> None:
    lines = seen()
    plain = float(grating_visibility([0.02], pitch=0.004, distance=0.6)[0])
    masked = float(grating_visibility([0.02], pitch=0.004, distance=0.6, noise=lines.noise_along)[0])
    assert masked < plain
    angle = float(degrees_per_metre(0.6))
    high = lines.noise_along.density[0, -1]
    level = float(GAINS.sigma) ** 2 * 2.0 / (3.6e6 * 1.5)
    low_gain = 0.5 * angle * level * 0.01 * angle
    assert 0.2 * low_gain < high < 0.7 * low_gain
    assert lines.noise_along.density[0, 0] == pytest.approx(0.2 * high, rel=0.01), "below the repeat only what does not repeat masks"


def test_frequencies_span_the_eye() -> None:
    f = line_frequencies(0.6) / float(degrees_per_metre(0.6))
    assert f[0] == pytest.approx(0.1) and f[-1] == pytest.approx(60.0)


@pytest.mark.parametrize("share", [-0.1, 1.1, np.nan])
def test_an_impossible_share_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match="unrepeated_share"):
        seen(grains=replace(GRAINS, unrepeated_share=share))


def test_relief_that_every_contact_averages_over_a_whole_repeat_makes_no_noise() -> None:
    only_tilt = replace(GAINS, sigma=np.zeros(1), theta=np.full(1, 500.0))
    grains = replace(GRAINS, unrepeated_share=0.0)
    motion = BeltMotion(belt_length=[1.0], speed=5.0, feed=0.2, patch_length=0.04)
    whole = seen(gains=only_tilt, grains=grains, motion=motion)
    part = seen(gains=only_tilt, grains=grains, motion=replace(motion, patch_length=0.01))
    assert float(whole.visibility[0]) == pytest.approx(float(whole.plain_visibility[0]), rel=1e-9)
    assert part.visibility[0] < 0.9 * part.plain_visibility[0]


def test_two_light_rounds_print_through_the_filter_and_all_of_their_texture_masks() -> None:
    flat = replace(GAINS, theta=np.zeros(1))
    removal, gain = [20e-6, 0.6e-6 * np.log(2.0)], np.asarray([[0.5, 0.25]])
    rounds = RoundSet(removal=removal, offsets=[0.0, 0.005], line_gain=gain)
    base = 2.0 / (3.6e6 * 1.5)
    fresh = seen(gains=flat, rounds=rounds, grains=replace(GRAINS, unrepeated_share=1.0))
    angle = float(degrees_per_metre(0.6))
    expected = 0.5 * angle**2 * 0.01 * base * float(GAINS.sigma) ** 2 * (0.5 * 0.5 + 0.5 * 0.25)
    np.testing.assert_allclose(fresh.noise.density[0], expected, rtol=1e-6)
    held = seen(gains=flat, rounds=rounds, grains=replace(GRAINS, unrepeated_share=0.0))
    f = held.frequency
    tap = texture_amplitudes(removal=removal, takeover=0.6e-6) * np.sqrt(gain)
    ideal = filtered_power(tap, offsets=[0.0, 0.005], frequency=f, bandwidth=f * np.log(600.0) / 95.0)
    np.testing.assert_allclose(held.texture_density, base * mixed_power(ideal=ideal, own=np.sum(tap**2, axis=-1)), rtol=1e-5, atol=1e-30)


@pytest.mark.parametrize("gain", [0.0, np.nan, np.inf])
def test_an_impossible_gain_is_refused(gain: float) -> None:
    with pytest.raises(ValueError, match="line_gain"):
        seen(rounds=replace(ROUNDS, line_gain=gain))
