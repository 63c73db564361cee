from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenlay.physics.viewing import (
    GRATING_GAIN,
    MaskingNoise,
    contrast_sensitivity,
    cycles_per_degree,
    degrees_per_metre,
    edge_threshold_second_opinion,
    grating_visibility,
    masked_sensitivity,
    noise_scale,
    observer_visibility,
    picture_visibility,
)
from evenlay.physics.viewing.sensitivity import APERTURE, POOLING

STEP = 0.00025
Y = np.arange(1200) * STEP


def flat_noise(level: float, rows: int = 1) -> MaskingNoise:
    frequency = np.geomspace(1.0, 1e5, 20)
    return MaskingNoise(frequency=frequency, density=np.full((rows, 20), level), scale=noise_scale())


def naive_visibility(profile: np.ndarray, step: float, distance: float, noise: float = 0.0) -> float:
    """Second way: cosine transform by explicit sums, pooling window by explicit sums."""
    count = profile.size
    angle = float(degrees_per_metre(distance))
    level = profile - profile.mean()
    folded = np.concatenate((level, level[::-1]))
    spectrum = np.fft.fft(folded)
    frequency = np.abs(np.fft.fftfreq(2 * count, step)) / angle
    response = np.fft.ifft(spectrum * masked_sensitivity(frequency, noise)).real[:count]
    y = np.arange(count) * step * angle
    best = 0.0
    for centre in y:
        window = np.exp(-POOLING * (y - centre) ** 2 / (2.0 * APERTURE**2))
        best = max(best, float(np.sum(np.abs(response) ** POOLING * window)) * step * angle)
    return (best * np.sqrt(2.0 * np.pi / POOLING) * APERTURE) ** (1.0 / POOLING)


def test_a_profile_is_seen_as_explicit_sums_see_it() -> None:
    profile = 0.01 * np.tanh((Y - 0.1) / 0.004) + 0.004 * np.cos(2.0 * np.pi * Y / 0.0037)
    for noise in (0.0, 5e-5):
        ours = observer_visibility(profile, spacing=STEP, distance=0.6, noise=flat_noise(noise))
        assert float(ours) == pytest.approx(naive_visibility(profile, STEP, 0.6, noise), rel=1e-9)


@pytest.mark.parametrize("pitch", [0.001, 0.002, 0.003, 0.005])
def test_a_one_per_cent_grating_at_arm_length_is_seen_by_the_plain_observer(pitch: float) -> None:
    step = pitch / 12.0
    profile = 0.01 * np.cos(2.0 * np.pi * np.arange(1200) * step / pitch)
    expected = GRATING_GAIN * 0.01 * float(contrast_sensitivity(1.0 / pitch / float(degrees_per_metre(0.6))))
    assert float(observer_visibility(profile, spacing=step, distance=0.6)) == pytest.approx(expected, rel=0.005)
    assert float(grating_visibility([0.01], pitch=pitch, distance=0.6)[0]) == pytest.approx(expected, rel=0.005)


def test_no_noise_gives_the_plain_observer_exactly() -> None:
    profile = np.asarray([0.01 * np.cos(2.0 * np.pi * Y / p) for p in (0.002, 0.004)])
    np.testing.assert_array_equal(
        observer_visibility(profile, spacing=STEP, distance=0.6, noise=flat_noise(0.0, 2)),
        observer_visibility(profile, spacing=STEP, distance=0.6),
    )
    np.testing.assert_array_equal(
        grating_visibility([[0.01], [0.02]], pitch=[0.003, 0.004], distance=0.6, noise=flat_noise(0.0, 2)),
        grating_visibility([[0.01], [0.02]], pitch=[0.003, 0.004], distance=0.6),
    )


def test_a_picture_of_lines_is_seen_as_their_profile() -> None:
    """The two-dimensional observer looks at the centre; the profile has its middle there too."""
    per_degree = 40.0
    count = 320
    x = (np.arange(count) - (count - 1) / 2.0) / per_degree
    line = 0.02 * np.exp(-0.5 * (x / 0.05) ** 2)
    picture = np.tile(line, (count, 1))
    metre_step = 1.0 / per_degree / float(degrees_per_metre(0.6))
    seen = float(observer_visibility(line, spacing=metre_step, distance=0.6))
    whole = picture_visibility(np.tile(line, (count, 1)) * np.ones_like(picture), pixels_per_degree=per_degree, oblique=False)
    assert seen == pytest.approx(whole, rel=0.01)


@given(scale=st.floats(0.01, 100.0))
@settings(max_examples=20, deadline=None)
def test_without_noise_visibility_is_proportional_to_contrast(scale: float) -> None:
    profile = 0.001 * np.cos(2.0 * np.pi * Y / 0.003)
    one = float(observer_visibility(profile, spacing=STEP, distance=0.6))
    assert float(observer_visibility(scale * profile, spacing=STEP, distance=0.6)) == pytest.approx(scale * one, rel=1e-9)


def test_noise_only_lowers_visibility() -> None:
    profile = 0.01 * np.cos(2.0 * np.pi * Y / 0.003)
    levels = [float(observer_visibility(profile, spacing=STEP, distance=0.6, noise=flat_noise(n))) for n in (0.0, 1e-5, 1e-4, 1e-3)]
    assert levels == sorted(levels, reverse=True)


def test_an_even_face_shows_nothing() -> None:
    assert float(observer_visibility(np.full(200, 0.3), spacing=STEP, distance=0.6)) == pytest.approx(0.0, abs=1e-9)
    assert float(grating_visibility([0.0], pitch=0.003, distance=0.6)[0]) == 0.0


def test_a_steady_slope_makes_no_line_at_the_end_of_the_face() -> None:
    ramp = np.linspace(-0.01, 0.01, 800)
    step_in_the_middle = np.where(np.arange(800) < 400, -0.01, 0.01)
    seen = observer_visibility(np.stack((ramp, step_in_the_middle)), spacing=STEP, distance=0.6)
    wrapped = np.concatenate((ramp[400:], ramp[:400]))
    assert seen[0] < 0.6 * seen[1]
    assert float(observer_visibility(wrapped, spacing=STEP, distance=0.6)) > 0.8 * seen[1]


def test_a_long_pitch_is_seen_at_its_best_point() -> None:
    """A grating of pitch far above the aperture, against the profile observer that searches the point of view."""
    pitch = 0.08
    y = np.arange(3200) * STEP
    sharp = sum(0.01 * np.cos(2.0 * np.pi * k * y / pitch) for k in range(1, 9))
    exact = float(observer_visibility(sharp, spacing=STEP, distance=0.6))
    ours = float(grating_visibility([0.01] * 8, pitch=pitch, distance=0.6)[0])
    assert ours == pytest.approx(exact, rel=0.01)


def test_shifted_phases_of_one_harmonic_do_not_matter() -> None:
    plain = grating_visibility([0.01], pitch=0.003, distance=0.6)
    np.testing.assert_allclose(grating_visibility([0.01], pitch=0.003, distance=0.6, shifts=[1.0]), plain, rtol=1e-3)


def test_a_masked_grating_has_the_masked_gain() -> None:
    noise = flat_noise(1e-4)
    expected = GRATING_GAIN * 0.01 * float(masked_sensitivity(cycles_per_degree(pitch=0.002, distance=0.6), 1e-4))
    assert float(grating_visibility([0.01], pitch=0.002, distance=0.6, noise=noise)[0]) == pytest.approx(expected, rel=1e-3)


def test_each_draw_has_its_own_pitch() -> None:
    both = grating_visibility([0.01], pitch=[0.002, 0.004], distance=0.6)
    one = [float(grating_visibility([0.01], pitch=p, distance=0.6)[0]) for p in (0.002, 0.004)]
    np.testing.assert_allclose(both, one, rtol=1e-12)


def test_wrong_shapes_and_numbers_are_refused() -> None:
    with pytest.raises(ValueError, match="two points"):
        observer_visibility([0.1], spacing=STEP, distance=0.6)
    with pytest.raises(ValueError, match="profile"):
        observer_visibility([0.1, np.nan], spacing=STEP, distance=0.6)
    with pytest.raises(ValueError, match="harmonics"):
        grating_visibility(np.ones(17), pitch=0.003, distance=0.6)
    with pytest.raises(ValueError, match="distance"):
        grating_visibility([0.01], pitch=0.003, distance=-1.0)


def test_the_second_opinion_on_one_edge_lies_between_its_two_values_and_not_far_from_the_observer() -> None:
    thresholds = edge_threshold_second_opinion([0.5, 1.0, 2.0, 5.0, 9.0])
    assert thresholds[0] == thresholds[1] == pytest.approx(0.005)
    assert 0.003 < thresholds[2] < 0.005
    assert thresholds[3] == thresholds[4] == pytest.approx(0.003)
    edge = np.where(np.arange(1200) < 600, -1.0, 1.0)
    ours = 1.0 / float(observer_visibility(edge, spacing=STEP, distance=0.6))
    assert 0.3 < ours / 0.005 < 3.0
