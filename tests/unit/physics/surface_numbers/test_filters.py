"""Gaussian filters against the plain sum, form removal, holes and ends."""

import numpy as np
import pytest

from evenlay.physics.surface_numbers.filters import (
    fast_length,
    gaussian_mean,
    gaussian_mean_surface,
    gaussian_weight,
    levelled,
    long_wave_transmission,
)


def summed_mean(z, spacing, cutoff):
    """The same mean as a plain sum over the points that are there."""
    out = np.full(z.size, np.nan)
    for i in range(z.size):
        top = bottom = 0.0
        for k in range(z.size):
            distance = (k - i) * spacing
            if abs(distance) <= cutoff * (1 + 1e-12) and np.isfinite(z[k]):
                weight = float(gaussian_weight(distance, cutoff=cutoff))
                top, bottom = top + weight * z[k], bottom + weight
        if bottom > 0:
            out[i] = top / bottom
    return out


@pytest.mark.parametrize("holes", [(), (0, 1, 40, 41, 42, 99)])
def test_the_mean_line_is_the_weighted_sum_over_the_points_that_are_there(holes):
    z = np.random.default_rng(1).normal(size=100)
    z[list(holes)] = np.nan
    assert gaussian_mean(z, spacing=0.1, cutoff=1.5) == pytest.approx(summed_mean(z, 0.1, 1.5), abs=1e-12)


def test_a_gap_wider_than_the_reach_has_no_mean():
    z = np.concatenate([np.ones(5), np.full(30, np.nan), np.ones(5)])
    mean = gaussian_mean(z, spacing=0.1, cutoff=0.5)
    assert np.isnan(mean[20])
    assert mean[:5].tolist() == pytest.approx([1.0] * 5)
    surface = gaussian_mean_surface(np.tile(z, (4, 1)), spacing_x=0.1, spacing_y=0.1, cutoff=0.5)
    assert np.isnan(surface[:, 20]).all()
    assert surface[:, :5] == pytest.approx(1.0)


def test_a_sine_comes_through_with_the_share_the_transmission_says():
    x = np.arange(40_001) * 1e-6
    for wavelength in (0.4e-3, 0.8e-3, 2.5e-3):
        wave = np.sin(2 * np.pi * x / wavelength)
        mean = gaussian_mean(wave, spacing=1e-6, cutoff=0.8e-3)
        kept = np.sum(mean[2000:-2000] * wave[2000:-2000]) / np.sum(wave[2000:-2000] ** 2)
        assert kept == pytest.approx(float(long_wave_transmission(wavelength, cutoff=0.8e-3)), abs=2e-4)


def test_profile_is_roughness_plus_waviness_and_a_constant_passes_whole():
    z = np.random.default_rng(2).normal(size=500)
    waviness = gaussian_mean(z, spacing=1.0, cutoff=50.0)
    assert waviness + (z - waviness) == pytest.approx(z)
    assert gaussian_mean(np.full(500, 3.0), spacing=1.0, cutoff=50.0) == pytest.approx(3.0)


def test_filtering_is_linear_and_rows_of_a_map_are_filtered_each_for_itself():
    one, two = np.random.default_rng(3).normal(size=(2, 300))
    both = gaussian_mean(np.stack([one, two]), spacing=1.0, cutoff=20.0)
    assert both[0] == pytest.approx(gaussian_mean(one, spacing=1.0, cutoff=20.0))
    assert gaussian_mean(one + 2 * two, spacing=1.0, cutoff=20.0) == pytest.approx(both[0] + 2 * both[1])


def test_many_rows_are_filtered_in_blocks_without_a_seam():
    rows = np.tile(np.random.default_rng(4).normal(size=70_000), (130, 1))
    mean = gaussian_mean(rows, spacing=1.0, cutoff=300.0)
    assert np.ptp(mean, axis=0).max() == 0.0


@pytest.mark.parametrize("hole", [False, True])
def test_the_mean_surface_is_the_plain_double_sum(hole):
    z = np.random.default_rng(5).normal(size=(12, 15))
    if hole:
        z[4:6, 7] = np.nan
    found = gaussian_mean_surface(z, spacing_x=0.1, spacing_y=0.2, cutoff=0.6)
    for i, j in ((0, 0), (5, 7), (11, 3)):
        top = bottom = 0.0
        for k in range(12):
            for m in range(15):
                dy, dx = (k - i) * 0.2, (m - j) * 0.1
                if abs(dx) <= 0.6 + 1e-9 and abs(dy) <= 0.6 + 1e-9 and np.isfinite(z[k, m]):
                    weight = float(gaussian_weight(dx, cutoff=0.6) * gaussian_weight(dy, cutoff=0.6))
                    top, bottom = top + weight * z[k, m], bottom + weight
        assert found[i, j] == pytest.approx(top / bottom, abs=1e-12)


def test_levelling_takes_off_a_plane_and_a_bow_and_leaves_what_is_perpendicular_to_them():
    y, x = np.mgrid[0:40, 0:60]
    rest = np.random.default_rng(6).normal(size=x.shape)
    rest[3, 4] = np.nan
    plane, bow = 3.0 + 0.2 * x - 0.1 * y, 0.01 * x**2 - 0.02 * y**2 + 0.003 * x * y
    assert levelled(rest + plane) == pytest.approx(levelled(rest), abs=1e-10, nan_ok=True)
    assert levelled(rest + plane + bow, degree=2) == pytest.approx(levelled(rest, degree=2), abs=1e-10, nan_ok=True)
    assert np.nanmean(levelled(rest + 5.0, degree=0)) == pytest.approx(0.0, abs=1e-12)
    assert np.isnan(levelled(rest)[3, 4])


def test_levelling_a_line_equals_numpys_fit():
    z = np.random.default_rng(7).normal(size=200) + np.linspace(0, 5, 200)
    place = np.arange(200)
    assert levelled(z) == pytest.approx(z - np.polyval(np.polyfit(place, z, 1), place))


def test_one_row_of_a_map_is_levelled_along_itself_only():
    assert levelled(np.arange(5.0)[None, :]) == pytest.approx(0.0, abs=1e-12)


def test_fast_lengths_are_the_smallest_products_of_two_three_and_five():
    smooth = sorted(2**i * 3**j * 5**k for i in range(13) for j in range(9) for k in range(7) if 2**i * 3**j * 5**k <= 5000)
    for needed in (1, 2, 7, 11, 13, 97, 1025, 3077, 4097):
        assert fast_length(needed) == next(each for each in smooth if each >= needed)


@pytest.mark.parametrize("wrong", [0.0, -1.0, np.nan, np.inf])
def test_spacings_and_cutoffs_that_are_no_lengths_are_refused(wrong):
    for call in (
        lambda: gaussian_weight(0.0, cutoff=wrong),
        lambda: long_wave_transmission(1.0, cutoff=wrong),
        lambda: gaussian_mean([1.0, 2.0], spacing=wrong, cutoff=1.0),
        lambda: gaussian_mean([1.0, 2.0], spacing=1.0, cutoff=wrong),
    ):
        with pytest.raises(ValueError, match="positive and finite"):
            call()


def test_what_cannot_be_levelled_or_transmitted_is_refused():
    with pytest.raises(ValueError, match="degree must be >= 0"):
        levelled([1.0, 2.0], degree=-1)
    with pytest.raises(ValueError, match="2 measured points are needed to level, there are 1"):
        levelled([1.0, np.nan, np.nan])
    with pytest.raises(ValueError, match="wavelength must be > 0"):
        long_wave_transmission(np.nan, cutoff=1.0)
