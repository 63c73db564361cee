from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate

from evenlay.physics.viewing import (
    GRATING_GAIN,
    LINE_GAIN,
    contrast_sensitivity,
    cycles_per_degree,
    degrees_per_metre,
    oblique_effect,
    visible_band,
)
from evenlay.physics.viewing.sensitivity import APERTURE, POOLING


def test_doubling_the_distance_doubles_cycles_per_degree() -> None:
    near = cycles_per_degree(pitch=0.002, distance=0.6)
    assert float(cycles_per_degree(pitch=0.002, distance=1.2) / near) == pytest.approx(2.0, rel=1e-5)


@pytest.mark.parametrize(("pitch", "distance", "cpd"), [(0.010, 0.6, 1.0472), (0.020, 1.0, 0.8727), (0.002, 0.5, 4.3633)])
def test_three_pitches_have_the_printed_frequency(pitch: float, distance: float, cpd: float) -> None:
    assert float(cycles_per_degree(pitch=pitch, distance=distance)) == pytest.approx(cpd, abs=6e-5)


def test_a_small_pitch_has_the_frequency_of_the_flat_scale() -> None:
    assert float(cycles_per_degree(pitch=1e-4, distance=0.6)) == pytest.approx(1e4 / float(degrees_per_metre(0.6)), rel=1e-8)


def test_a_grating_of_unit_response_is_pooled_by_its_gain() -> None:
    mean = integrate.quad(lambda t: abs(np.cos(t)) ** POOLING, 0.0, np.pi / 2)[0] * 2.0 / np.pi
    area = integrate.quad(lambda r: 2.0 * np.pi * r * np.exp(-POOLING * r * r / (2.0 * APERTURE**2)), 0.0, 8.0)[0]
    assert pytest.approx((mean * area) ** (1.0 / POOLING), rel=1e-9) == GRATING_GAIN
    assert pytest.approx(0.541, abs=5e-4) == GRATING_GAIN**2


def test_random_lines_of_unit_response_are_pooled_by_their_gain() -> None:
    mean = integrate.quad(lambda u: abs(u) ** POOLING * np.exp(-0.5 * u * u), -12.0, 12.0)[0] / np.sqrt(2.0 * np.pi)
    area = 2.0 * np.pi * APERTURE**2 / POOLING
    assert pytest.approx((mean * area) ** (1.0 / POOLING), rel=1e-8) == LINE_GAIN
    assert pytest.approx(1.084, abs=5e-4) == LINE_GAIN


def test_the_visible_band_grows_with_distance_and_shrinks_with_its_share() -> None:
    near, far = visible_band(0.6), visible_band(3.0)
    assert far.most_visible == pytest.approx(5.0 * near.most_visible, rel=1e-9)
    assert near.shortest < near.most_visible < near.longest
    tight = visible_band(0.6, share=0.9)
    assert near.shortest < tight.shortest < tight.longest < near.longest


def test_the_eye_is_best_at_two_to_five_millimetres_at_arm_length_and_ten_to_twenty_six_at_three_metres() -> None:
    near, far = visible_band(0.6, share=0.85), visible_band(3.0, share=0.85)
    assert 0.0015 < near.shortest < near.longest < 0.006
    assert 0.008 < far.shortest < far.longest < 0.028


def test_the_ends_of_the_band_have_the_asked_share() -> None:
    band = visible_band(0.6, share=0.3)
    peak = contrast_sensitivity(cycles_per_degree(pitch=band.most_visible, distance=0.6))
    ends = contrast_sensitivity(cycles_per_degree(pitch=[band.shortest, band.longest], distance=0.6))
    np.testing.assert_allclose(ends / peak, 0.3, rtol=2e-3)


@pytest.mark.parametrize("share", [0.0, 1.0, np.nan])
def test_a_share_outside_nought_to_one_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match="share"):
        visible_band(0.6, share=share)


def test_sensitivity_never_falls_below_nought_and_refuses_a_negative_frequency() -> None:
    assert np.all(contrast_sensitivity(np.geomspace(1e-4, 1e6, 200)) >= 0.0)
    with pytest.raises(ValueError, match="frequency"):
        contrast_sensitivity(-1.0)


def test_the_oblique_effect_is_the_same_for_both_diagonals() -> None:
    assert float(oblique_effect(7.0, -7.0)) == float(oblique_effect(-7.0, 7.0)) < 1.0
    assert float(oblique_effect(0.0, 0.0)) == 1.0
