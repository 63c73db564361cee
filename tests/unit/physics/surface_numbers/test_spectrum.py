"""Spectra against the plain sum; bands and slopes of sines and of random surfaces."""

import numpy as np
import pytest

from evenlay.physics.surface_numbers.spectrum import (
    BANDS,
    Spectrum,
    band_amplitudes,
    band_power,
    bridged,
    height_spectrum,
    holds_band,
    optical_slope,
)


@pytest.mark.parametrize("n", [40, 41])
def test_the_spectrum_is_the_plain_sum_of_the_levelled_windowed_row(n):
    z = np.random.default_rng(1).normal(size=n) + np.arange(n)
    place = np.arange(n)
    level = z - np.polyval(np.polyfit(place, z, 1), place)
    window = np.sin(np.pi * (place + 0.5) / n) ** 2
    window /= np.sqrt(np.mean(window**2))
    found = height_spectrum(z, spacing=0.5)
    for k, (frequency, density) in enumerate(zip(found.frequency, found.density, strict=True), start=1):
        wave = np.sum(level * window * np.exp(-2j * np.pi * k * place / n))
        assert frequency == pytest.approx(k / (n * 0.5))
        assert density == pytest.approx((1.0 if 2 * k == n else 2.0) * 0.5 / n * abs(wave) ** 2)


def test_the_density_adds_up_to_the_mean_square_height():
    z = np.random.default_rng(2).normal(size=(200, 1000))
    found = height_spectrum(z, spacing=2e-6)
    assert np.sum(found.density) * found.step == pytest.approx(np.var(z), rel=0.01)
    assert (found.length, found.rows, found.spacing) == (pytest.approx(2e-3), 200, 2e-6)


def test_white_heights_have_a_level_spectrum_and_many_rows_go_through_in_blocks():
    z = np.random.default_rng(3).normal(size=(600, 5000))
    found = height_spectrum(z, spacing=1.0)
    thirds = [np.mean(part) for part in np.array_split(found.density[3:], 3)]
    assert thirds == pytest.approx([2.0] * 3, rel=0.01)
    parts = [height_spectrum(z[rows], spacing=1.0).density for rows in (slice(0, 200), slice(200, 600))]
    assert found.density == pytest.approx(parts[0] / 3 + 2 * parts[1] / 3)


def test_a_tilt_leaves_no_trace():
    z = np.random.default_rng(4).normal(size=500)
    tilted = height_spectrum(z + 1000 * np.linspace(0, 1, 500), spacing=1.0).density
    assert tilted == pytest.approx(height_spectrum(z, spacing=1.0).density, rel=1e-6)


def test_holes_are_bridged_straight_and_rows_with_too_many_are_left_out():
    z = np.tile(np.arange(30.0), (3, 1))
    z[0, [4, 5, 29]] = np.nan
    z[1, :4] = np.nan
    found = bridged(z)
    assert found.shape == (2, 30)
    assert found[0, 4:6].tolist() == [4.0, 5.0]
    assert found[0, 29] == 28.0  # nothing beyond to bridge to: the last height goes on
    with pytest.raises(ValueError, match="every row misses more than a tenth of its points"):
        bridged(np.full((2, 10), np.nan))
    with pytest.raises(ValueError, match="a spectrum needs at least 16 points in a row, there are 15"):
        height_spectrum(np.zeros(15), spacing=1.0)


def test_a_band_counts_the_bins_that_its_ends_cut_by_their_part():
    level = Spectrum(np.arange(1.0, 51.0), np.full(50, 3.0), 1.0, 0.01, 1)
    assert band_power(level, shortest=1 / 20.3, longest=1 / 7.8) == pytest.approx(3 * 12.5)
    halves = band_power(level, shortest=1 / 20, longest=1 / 11) + band_power(level, shortest=1 / 11, longest=1 / 5)
    assert halves == pytest.approx(band_power(level, shortest=1 / 20, longest=1 / 5))


def test_the_orders_of_a_band_are_heights_slopes_and_curvatures():
    A, wave = 2.0, 25.0
    found = height_spectrum(A * np.sin(2 * np.pi * np.arange(5000) / wave), spacing=1.0)
    for order in (0, 1, 2):
        expected = A**2 / 2 * (2 * np.pi / wave) ** (2 * order)
        # the three bins of the window lie half a per cent apart: their squares weigh 1.7e-5, their fourth powers 1e-4 more
        assert band_power(found, shortest=20.0, longest=30.0, order=order) == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize(("shortest", "longest"), [(0.0, 1.0), (2.0, 1.0), (1.0, np.inf), (np.nan, 1.0)])
def test_an_empty_band_is_refused(shortest, longest):
    with pytest.raises(ValueError, match="a band needs 0 < shortest < longest"):
        band_power(height_spectrum(np.zeros(20), spacing=0.1), shortest=shortest, longest=longest)


def test_waves_finer_than_the_points_are_refused():
    with pytest.raises(ValueError, match=r"points 0\.1 m apart cannot carry waves of 0\.15 m"):
        band_power(height_spectrum(np.zeros(20), spacing=0.1), shortest=0.15, longest=1.0)


@pytest.mark.parametrize(("index", "pitch"), [(0, 0.7e-3), (1, 1.4e-3), (2, 3.1e-3), (3, 7e-3), (4, 17e-3)])
def test_each_band_holds_the_sine_that_lies_in_it(index, pitch):
    x = np.arange(24_000) * 5e-6
    found = band_amplitudes(height_spectrum(1e-6 * np.sin(2 * np.pi * x / pitch + 1.0), spacing=5e-6))
    assert found[index].rms == pytest.approx(1e-6 / np.sqrt(2), rel=0.02)
    assert all(each.rms < 0.03e-6 for at, each in enumerate(found) if at != index)


def test_the_scatter_of_a_band_is_that_of_random_rows():
    rows = np.random.default_rng(5).normal(size=(300, 20_000))
    found = [band_amplitudes(height_spectrum(row, spacing=5e-6)) for row in rows]
    for band in range(5):
        rms = np.array([each[band].rms for each in found])
        expected = found[0][band].scatter
        assert np.std(rms) / np.mean(rms) == pytest.approx(expected, rel=0.25)


@pytest.mark.parametrize(("length", "held"), [(4.8e-3, 2), (12e-3, 3), (0.04, 4), (0.06, 5)])
def test_bands_that_the_length_cannot_support_are_absent(length, held):
    z = np.random.default_rng(6).normal(size=round(length / 1e-5))
    found = band_amplitudes(height_spectrum(z, spacing=1e-5))
    assert [each is not None for each in found] == [at < held for at in range(len(BANDS))]


def test_bands_that_the_spacing_cannot_support_are_absent():
    assert not holds_band(length=1.0, spacing=0.5e-3, shortest=0.5e-3, longest=1e-3)
    assert holds_band(length=1.0, spacing=0.5e-3, shortest=2e-3, longest=5e-3)


def test_the_optical_slope_sees_only_its_band():
    x = np.arange(20_000) * 2e-6
    inside = 1e-7 * np.sin(2 * np.pi * x / 30e-6)
    outside = 5e-6 * np.sin(2 * np.pi * x / 800e-6) + 1e-7 * np.sin(2 * np.pi * x / 8e-6)
    expected = np.sqrt(2) * np.pi * 1e-7 / 30e-6
    assert optical_slope(height_spectrum(inside + outside, spacing=2e-6)) == pytest.approx(expected, rel=1e-3)


def test_the_optical_slope_needs_its_length_and_its_points():
    with pytest.raises(ValueError, match=r"a trace of 0\.0007 m is shorter than ten waves of 8e-05 m"):
        optical_slope(height_spectrum(np.zeros(700), spacing=1e-6))
    with pytest.raises(ValueError, match="cannot carry waves"):
        optical_slope(height_spectrum(np.zeros(700), spacing=1e-5))
