"""S numbers from maps: closed forms, edges, holes, and what a map cannot support."""

import numpy as np
import pytest

from evenlay.physics.surface_numbers.areal_numbers import SYMBOLS, areal_numbers, scale_limited
from evenlay.physics.surface_numbers.correlation import Correlation, decay_lengths
from evenlay.physics.surface_numbers.settings import setting

USED = setting(0.25e-3)


def random_map(lx, ly, *, seed=1, shape=(700, 700)):
    """Gaussian heights of rms 1 um with a bell correlation, points 1 um apart."""
    fy, fx = np.fft.fftfreq(shape[0], 1e-6)[:, None], np.fft.fftfreq(shape[1], 1e-6)[None, :]
    white = np.fft.fft2(np.random.default_rng(seed).normal(size=shape))
    z = np.fft.ifft2(white * np.exp(-((np.pi * fx * lx) ** 2 + (np.pi * fy * ly) ** 2) / 2)).real
    return 1e-6 * z / z.std()


def test_a_grating_has_its_closed_forms_and_what_has_no_end_is_told_as_a_bound():
    x = np.arange(1500) * 1e-6
    z = np.tile(1e-6 * np.sin(2 * np.pi * x / 50e-6), (800, 1))
    found = areal_numbers(z, spacing_x=1e-6, spacing_y=1e-6, used=USED)
    kept = (1 - 2 ** -(5.0**2)) * 2 ** -((2.5 / 50) ** 2)
    got = {symbol: float(value[0]) for symbol, value in found.values.items()}
    assert got["Sq"] == pytest.approx(kept * 1e-6 / np.sqrt(2), rel=1e-3)
    assert got["Sa"] == pytest.approx(kept * 2e-6 / np.pi, rel=2e-3)
    assert got["Sz"] == pytest.approx(got["Sp"] + got["Sv"]) == pytest.approx(kept * 2e-6, rel=5e-3)
    assert got["Sdq"] == pytest.approx(kept * np.sqrt(2) * np.pi / 50, rel=2e-3)
    # 25 waves are on the map: the means of products over part of a wave move the curve by 1/(4 pi 25) at either end, Sal by 0.5 %
    assert got["Sal"] == pytest.approx(0.217953 * 50e-6, rel=6e-3)
    assert got["Std"] == pytest.approx(np.pi / 2, abs=1e-3)
    assert "Str" not in got
    assert found.reasons["Str"].startswith("heights stay alike over the whole map in one direction: Str is below 0.04")  # half of 550 um


def test_a_bell_correlation_gives_its_lengths_its_ratio_and_its_slope():
    found = areal_numbers(random_map(8e-6, 24e-6), spacing_x=1e-6, spacing_y=1e-6, used=USED)
    got = {symbol: float(value[0]) for symbol, value in found.values.items()}
    # what both filters leave of the bell on average, from its power; chance makes the rest
    f = np.fft.fftfreq(700, 1e-6)
    square = f**2 + f[:, None] ** 2
    passed = 2 ** -((2.5e-6) ** 2 * square) * (1 - 2 ** -((0.25e-3) ** 2 * square))
    power = np.exp(-((np.pi * f * 8e-6) ** 2) - (np.pi * f[:, None] * 24e-6) ** 2) * passed**2
    curve = np.fft.fftshift(np.fft.ifft2(power).real)[1:, 1:]
    expected = decay_lengths(Correlation(curve / curve.max(), 1e-6, 1e-6))
    assert got["Sal"] == pytest.approx(expected.shortest, rel=0.08)
    assert got["Str"] == pytest.approx(expected.aspect, rel=0.2)
    assert got["Sdq"] == pytest.approx(1e-6 * np.sqrt(2 / 8e-6**2 + 2 / 24e-6**2), rel=0.05)
    assert (got["Ssk"], got["Sku"]) == pytest.approx((0.0, 3.0), abs=0.3)
    assert (got["Std"] - np.pi / 2) == pytest.approx(0.0, abs=0.1)
    assert found.reasons == {}
    assert set(got) == set(SYMBOLS)


def test_turning_the_map_turns_the_direction_and_nothing_else():
    z = random_map(8e-6, 24e-6, seed=2)
    one, two = (areal_numbers(each, spacing_x=1e-6, spacing_y=1e-6, used=USED).values for each in (z, np.ascontiguousarray(z.T)))
    for symbol in SYMBOLS:
        if symbol != "Std":
            assert float(two[symbol][0]) == pytest.approx(float(one[symbol][0]), rel=1e-6), symbol
    assert float(one["Std"][0] + two["Std"][0]) % np.pi == pytest.approx(np.pi / 2, abs=1e-6)


def test_a_texture_without_grain_has_no_direction():
    found = areal_numbers(random_map(8e-6, 8e-6), spacing_x=1e-6, spacing_y=1e-6, used=USED)
    assert found.reasons["Std"].startswith("Str is 0.")
    assert found.reasons["Std"].endswith(": there is no grain whose direction could be given")


def test_holes_change_little_and_too_many_are_refused():
    z = random_map(8e-6, 24e-6)
    holed = z.copy()
    holed[100:140, 200:260] = np.nan
    whole, with_hole = (areal_numbers(each, spacing_x=1e-6, spacing_y=1e-6, used=USED).values for each in (z, holed))
    for symbol in ("Sa", "Sq", "Sdq", "Sal", "Sk"):
        assert float(with_hole[symbol][0]) == pytest.approx(float(whole[symbol][0]), rel=0.03), symbol
    holed[:400] = np.nan
    found = areal_numbers(holed, spacing_x=1e-6, spacing_y=1e-6, used=USED)
    assert found.values == {}
    assert found.reasons["Sa"] == "43% of the points are measured: areal numbers need 75%"


def test_a_map_that_the_filter_eats_is_refused():
    found = areal_numbers(np.zeros((400, 900)), spacing_x=1e-6, spacing_y=1e-6, used=USED)
    assert set(found.reasons) == set(SYMBOLS)
    assert found.reasons["Sq"] == "0.9 mm x 0.4 mm are too small: the filter needs twice the cut-off of 0.25 mm each way"


def test_a_flat_has_heights_of_nought_and_nothing_more():
    found = areal_numbers(np.zeros((600, 600)), spacing_x=1e-6, spacing_y=1e-6, used=USED)
    assert {symbol: float(value[0]) for symbol, value in found.values.items()} == dict.fromkeys(("Sa", "Sq", "Sp", "Sv", "Sz"), 0.0)
    assert found.reasons["Str"] == "all heights are zero: their distribution has no shape"


def test_rows_far_apart_have_no_slope_and_no_ratio():
    x = np.random.default_rng(3).normal(size=(40, 1500))
    z = np.stack([np.convolve(row, np.hanning(21), "same") for row in x]) * 1e-7
    found = areal_numbers(z, spacing_x=1e-6, spacing_y=50e-6, used=USED)
    assert found.reasons["Sdq"] == "points 50 µm apart are too far for a slope: 8 µm at most, both ways"
    assert found.reasons["Str"] == "heights change from row to row: rows 50 µm apart are too far"
    assert float(found.values["Sal"][0]) < 20e-6
    white = areal_numbers(x, spacing_x=1e-6, spacing_y=50e-6, used=setting(0.25e-3))
    assert "Sal" in white.values or white.reasons["Sal"].startswith("heights change from one point to the next")


def test_heights_without_any_likeness_have_no_lengths():
    z = np.random.default_rng(4).normal(size=(150, 150)) * 1e-6
    found = areal_numbers(z, spacing_x=5e-6, spacing_y=5e-6, used=USED)
    assert found.reasons["Sal"] == "heights change from one point to the next: points 5 µm apart are too far"
    assert found.reasons["Sku"] == "about 0 independent patches are on the map: the shape of the distribution needs 100"


def test_few_patches_say_nothing_of_the_shape():
    found = areal_numbers(random_map(60e-6, 60e-6, shape=(520, 520)), spacing_x=1e-6, spacing_y=1e-6, used=USED)
    assert found.reasons["Ssk"].endswith("independent patches are on the map: the shape of the distribution needs 100")


def test_the_short_wave_filter_works_along_the_axes_that_are_fine_enough():
    z = np.random.default_rng(5).normal(size=(120, 700))
    both = scale_limited(z, spacing_x=1e-6, spacing_y=5e-6, used=USED)
    assert both.shape == (70, 450)
    across, along = np.var(np.diff(both, axis=1)), np.var(np.diff(both, axis=0))
    assert along > 1.2 * across


def test_a_map_of_scattered_holes_has_no_slopes():
    z = random_map(8e-6, 24e-6)
    z[:, ::6] = np.nan
    found = areal_numbers(z, spacing_x=1e-6, spacing_y=1e-6, used=USED)
    assert found.reasons["Sdq"] == "no point has seven measured points in both directions"


def test_a_map_that_decays_in_no_direction_is_too_small():
    y, x = np.mgrid[0:520, 0:520] / 520
    z = 1e-6 * (np.hypot(x - 0.5, y - 0.5) < 0.45)
    found = areal_numbers(z, spacing_x=1e-6, spacing_y=1e-6, used=setting(0.25e-3))
    assert set(found.values) | set(found.reasons) == set(SYMBOLS)
