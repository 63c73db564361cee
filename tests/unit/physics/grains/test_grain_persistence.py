from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.grains.persistence import averaged_columns, band_density, persistent_density, slope_power, texture_swing


def test_the_density_of_white_noise_is_twice_its_variance_times_the_spacing() -> None:
    draw = np.random.default_rng(1)
    found = []
    for _ in range(30):
        rows = draw.standard_normal((1, 10000))
        frequency, one = persistent_density(rows, rows, 1e-4)
        found.append(np.mean(one))
    density = np.asarray(found)
    assert np.mean(density) == pytest.approx(2e-4, rel=0.02)
    assert frequency[-1] == pytest.approx(5000.0)


def test_what_two_sets_do_not_share_averages_out() -> None:
    draw = np.random.default_rng(2)
    shared = draw.standard_normal(20000)
    sets = [shared + draw.standard_normal((4, 20000)) for _ in range(2)]
    _, common = persistent_density(*sets, 1e-4)
    _, own = persistent_density(sets[0], sets[0], 1e-4)
    assert np.mean(common) == pytest.approx(2e-4, rel=0.05)
    assert np.mean(own) == pytest.approx(2e-4 * 1.25, rel=0.05)


def test_a_mean_and_a_slope_are_no_line() -> None:
    rows = (3.0 + 0.1 * np.arange(64.0))[None, :]
    assert np.max(np.abs(persistent_density(rows, rows, 1.0)[1])) < 1e-20


def test_bands_that_cannot_be_shown_are_not_given() -> None:
    frequency = np.linspace(10.0, 900.0, 90)
    found = band_density(frequency, np.full(90, 2.0), ((0.5e-3, 1e-3), (2e-3, 5e-3), (10.0, 30.0)))
    assert np.isnan(found[0]) and found[1] == 2.0 and np.isnan(found[2])


def test_columns_are_plain_means() -> None:
    np.testing.assert_allclose(averaged_columns(np.arange(14, dtype=np.float32).reshape(2, 7), 3), [[1, 4], [8, 11]])
    with pytest.raises(ValueError, match="points"):
        averaged_columns(np.zeros((1, 3), np.float32), 4)


def test_slope_power_of_a_wave_is_that_of_its_slope_and_half_at_the_ends_of_the_band() -> None:
    place = np.arange(8000) * 1e-6
    for wavelength, kept in ((40e-6, None), (80e-6, 2.0**-0.04 - 0.5), (16e-6, 0.5 - 2.0 ** -((80 / 16) ** 2))):
        share = 2.0 ** -((16e-6 / wavelength) ** 2) - 2.0 ** -((80e-6 / wavelength) ** 2) if kept is None else kept
        wave = (1e-6 * np.sin(2 * np.pi * place / wavelength))[None, :].astype(np.float32)
        expected = 0.5 * (share * 2 * np.pi * 1e-6 / wavelength) ** 2
        assert float(np.mean(slope_power(wave, 1e-6, 400))) == pytest.approx(expected, rel=1e-3)
    with pytest.raises(ValueError, match="band"):
        slope_power(np.zeros((1, 100), np.float32), 1e-6, 10, (2e-5, 1e-5))


def test_a_swing_of_slopes_is_half_that_of_their_power() -> None:
    np.testing.assert_allclose(texture_swing(np.array([[1.1, 0.9]])), [[0.05, -0.05]])


def test_too_few_points_are_refused() -> None:
    with pytest.raises(ValueError, match="at least 8"):
        persistent_density(np.zeros((1, 4)), np.zeros((1, 4)), 1.0)
