from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate

from evenlay.physics.viewing import (
    APERTURE_LENGTH,
    GRATING_GAIN,
    LINE_GAIN,
    MaskingNoise,
    contrast_sensitivity,
    degrees_per_metre,
    harmonic_orders,
    masked_sensitivity,
    noise_scale,
    random_line_visibility,
    repeat_harmonics,
    texture_limited_visibility,
)
from evenlay.physics.viewing.sensitivity import APERTURE

FREQUENCY = np.geomspace(0.1, 60.0, 96) * float(degrees_per_metre(0.6))


def flat_noise(level: float, rows: int = 1) -> MaskingNoise:
    return MaskingNoise(frequency=FREQUENCY, density=np.full((rows, FREQUENCY.size), level), scale=noise_scale())


def test_no_noise_gives_the_plain_observer_exactly() -> None:
    f = np.geomspace(0.1, 60.0, 50)
    np.testing.assert_array_equal(masked_sensitivity(f, 0.0), contrast_sensitivity(f))
    density = np.full((1, 96), 1e-6)
    plain = random_line_visibility(frequency=FREQUENCY, contrast_density=density, distance=0.6)
    masked = random_line_visibility(frequency=FREQUENCY, contrast_density=density, distance=0.6, noise=flat_noise(0.0))
    np.testing.assert_array_equal(masked, plain)


def test_threshold_energy_rises_in_a_straight_line_with_the_noise() -> None:
    """Second way: the linear amplifier written in energies, with the efficiency seen as the slope."""
    noise = np.asarray([0.0, 1e-5, 3e-5, 1e-4])
    amplitude = 1.0 / (GRATING_GAIN * masked_sensitivity(4.0, noise))
    energy = amplitude**2 * np.pi * APERTURE**2 / 2.0
    slope = np.diff(energy) / np.diff(noise)
    np.testing.assert_allclose(slope, 2.0 / 0.35, rtol=1e-9)


def test_the_scale_follows_efficiency_and_can_be_given() -> None:
    assert float(noise_scale()) == pytest.approx(0.20, abs=5e-4)
    assert float(noise_scale(efficiency=0.70) / noise_scale()) == pytest.approx(2.0)
    assert float(masked_sensitivity(4.0, 1e-3, scale=0.4)) > float(masked_sensitivity(4.0, 1e-3))


def test_harmonics_of_a_repeat_sum_to_what_the_aperture_passes() -> None:
    """Second way: average a periodic comb of independent points under the aperture, by quadrature of its autocorrelation."""
    for repeat in (1.0, 2.5, 6.0, 30.0, 200.0):
        k = np.arange(-400, 401)
        passed = np.exp(-((2.0 * np.pi * APERTURE * k / repeat) ** 2)).sum() if repeat < 100 else repeat / APERTURE_LENGTH
        assert 1.0 + float(repeat_harmonics(repeat)) == pytest.approx(passed, rel=1e-9)


def test_a_long_white_repeat_is_noise_over_its_whole_length() -> None:
    assert 1.0 + float(repeat_harmonics(40.0)) == pytest.approx(40.0 / APERTURE_LENGTH, rel=1e-12)


def test_weights_take_harmonics_out() -> None:
    order = harmonic_orders([3.0, 5.0])
    assert float(repeat_harmonics([3.0, 5.0], weights=np.zeros(order.size)).max()) == 0.0
    half = repeat_harmonics([3.0, 5.0], weights=np.full((2, order.size), 0.5))
    np.testing.assert_allclose(half, 0.5 * repeat_harmonics([3.0, 5.0]))


def test_noise_between_its_points_is_straight_in_the_logarithm_of_frequency() -> None:
    noise = MaskingNoise(frequency=np.asarray([1.0, 100.0]), density=np.asarray([[0.0, 2.0], [1.0, 1.0]]), scale=noise_scale())
    np.testing.assert_allclose(noise.at(np.asarray([0.0, 10.0, 1e5])), [[0.0, 1.0, 2.0], [1.0, 1.0, 1.0]])
    np.testing.assert_allclose(noise.at(np.asarray([[10.0], [10.0]])), [[1.0], [1.0]])


def test_random_lines_are_summed_as_an_adaptive_quadrature_does() -> None:
    angle = float(degrees_per_metre(0.6))

    def integrand(f: float) -> float:
        gain = float(contrast_sensitivity(f))
        return 2e-6 * angle * gain**2 / (1.0 + gain**2 * 3e-5 / float(noise_scale()))

    exact = LINE_GAIN * np.sqrt(integrate.quad(integrand, 0.1, 60.0, limit=200)[0])
    ours = random_line_visibility(frequency=FREQUENCY, contrast_density=np.full((3, 96), 2e-6), distance=0.6, noise=flat_noise(3e-5, 3))
    np.testing.assert_allclose(ours, exact, rtol=3e-3)


def test_drawn_random_lines_agree_with_the_closed_form() -> None:
    """Second way: draw 400 lines' profiles of white contrast and pool their filtered response by hand."""
    rng = np.random.default_rng(4)
    step, count, density = 0.0002, 4096, 1e-6
    angle = float(degrees_per_metre(0.6))
    rows = rng.normal(0.0, np.sqrt(density / (2.0 * step)), (400, count))
    frequency = np.fft.rfftfreq(count, step) / angle
    response = np.fft.irfft(np.fft.rfft(rows) * contrast_sensitivity(frequency), count)
    mean = np.mean(np.abs(response) ** 2.4081) * 2.0 * np.pi * APERTURE**2 / 2.4081
    closed = random_line_visibility(frequency=FREQUENCY, contrast_density=np.full((1, 96), density), distance=0.6)
    assert float(closed[0]) == pytest.approx(mean ** (1.0 / 2.4081), rel=0.01)


def test_where_texture_limits_the_short_form_agrees_and_the_light_does_not_matter() -> None:
    repeat = 20.0
    angle = float(degrees_per_metre(0.6))
    found = []
    for density in (1e-3, 1e-2):
        theta = float(repeat_harmonics(repeat))
        level = 0.5 * density * angle * APERTURE_LENGTH * theta
        found.append(
            float(
                random_line_visibility(
                    frequency=FREQUENCY, contrast_density=np.full((1, 96), density), distance=0.6, noise=flat_noise(level)
                )[0]
            )
        )
        limited = contrast_sensitivity(np.linspace(0.1, 60.0, 6000)) ** 2 * level / float(noise_scale()) > 1.0
        band = 59.9 * float(np.mean(limited))
        assert found[-1] == pytest.approx(float(texture_limited_visibility(band=band, repeat=repeat)), rel=0.12)
    assert found[1] / found[0] < 1.25, "ten times the contrast power hardly changes the number"


def test_the_short_form_is_refused_where_it_does_not_hold() -> None:
    with pytest.raises(ValueError, match="repeat"):
        texture_limited_visibility(band=20.0, repeat=3.0)
    ratio = texture_limited_visibility(band=20.0, repeat=APERTURE_LENGTH + 4.0) / texture_limited_visibility(
        band=20.0, repeat=APERTURE_LENGTH + 16.0
    )
    assert float(ratio) == pytest.approx(2.0)


def test_distance_may_differ_from_draw_to_draw() -> None:
    both = random_line_visibility(frequency=FREQUENCY, contrast_density=np.full((2, 96), 1e-6), distance=np.asarray([0.6, 1.2]))
    one = random_line_visibility(frequency=FREQUENCY, contrast_density=np.full((1, 96), 1e-6), distance=0.6)
    assert both[0] == one[0] != both[1]
