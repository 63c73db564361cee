"""Core, hills and dales: closed forms of distributions, and the two-step filter."""

import numpy as np
import pytest

from evenlay.physics.surface_numbers.material import core, material_ratio, valley_suppressed
from evenlay.quantities.known import normal_score


def test_gaussian_heights_have_the_core_that_quadrature_of_their_curve_gives():
    # curve c(m) = z(1 - m); the flattest 40 % lie at 30 to 70 %; line of least squares through them by quadrature
    m = 0.3 + 0.4 * (np.arange(200_000) + 0.5) / 200_000
    c = normal_score(1 - m)
    slope = np.mean((m - 0.5) * c) / np.mean((m - 0.5) ** 2)
    upper = -0.5 * slope
    # share above `upper` and the area of the hills, by quadrature over the upper tail
    fine = (np.arange(400_000) + 0.5) / 400_000 * 0.25
    tail = normal_score(1 - fine)
    share = np.mean(tail > upper) * 0.25
    area = np.sum(np.clip(tail - upper, 0, None)) * 0.25 / 400_000
    levels = normal_score((np.arange(100_000) + 0.5) / 100_000)
    found = core(np.random.default_rng(1).permutation(levels))
    assert found.core_height == pytest.approx(-slope, rel=1e-4)
    assert found.hill_ratio == pytest.approx(share, abs=1e-4)
    assert found.hill_height == pytest.approx(2 * area / share, rel=1e-3)
    assert found.dale_depth == pytest.approx(found.hill_height, rel=1e-3)
    assert found.dale_ratio == pytest.approx(1 - found.hill_ratio, abs=1e-4)


def test_a_plateau_with_scratches_has_a_thin_core_and_deep_dales():
    z = np.concatenate([np.linspace(-0.05, 0.05, 900), np.linspace(-3.0, -0.05, 100)])
    found = core(z)
    assert found.core_height < 0.15
    assert found.dale_depth > 10 * found.hill_height
    assert found.dale_ratio == pytest.approx(0.9, abs=0.02)


def test_turning_the_surface_over_swaps_hills_and_dales():
    z = np.random.default_rng(2).gamma(2.0, size=5_001)
    up, down = core(z), core(-z)
    assert down.core_height == pytest.approx(up.core_height, rel=1e-9)
    assert (down.hill_height, down.dale_depth) == pytest.approx((up.dale_depth, up.hill_height), rel=1e-9)
    assert down.hill_ratio == pytest.approx(1 - up.dale_ratio, rel=1e-9)


def test_the_core_scales_with_the_heights_and_does_not_move_with_them():
    z = np.random.default_rng(3).gamma(2.0, size=5_000)
    one, two = core(z), core(3 * z + 10)
    assert two.core_height == pytest.approx(3 * one.core_height)
    assert two.hill_height == pytest.approx(3 * one.hill_height)
    assert two.dale_ratio == pytest.approx(one.dale_ratio)


def test_hills_and_dales_have_the_area_of_their_triangles():
    z = np.random.default_rng(4).gamma(3.0, size=20_000)
    found = core(z)
    falling = np.sort(z)[::-1]
    above = falling[: round(found.hill_ratio * z.size)]
    area = np.sum(above - above[-1]) / z.size
    assert 0.5 * found.hill_height * found.hill_ratio == pytest.approx(area, rel=2e-3)


def test_of_equal_secants_the_first_is_taken_and_a_flat_has_nothing():
    found = core(np.zeros(200))
    assert (found.core_height, found.hill_height, found.dale_depth) == (0.0, 0.0, 0.0)


def test_too_few_heights_make_no_curve():
    with pytest.raises(ValueError, match="a material ratio curve needs 100 heights, there are 99"):
        core(np.arange(99.0))


def test_the_ratio_falls_from_one_to_zero_and_counts_a_level_that_is_touched():
    z = [0.0, 1.0, 2.0, np.nan]
    assert material_ratio(z, level=[-1.0, 0.0, 0.5, 1.0, 2.0, 2.1]) == pytest.approx([1.0, 1.0, 2 / 3, 2 / 3, 1 / 3, 0.0])


def test_the_two_step_filter_lifts_the_line_out_of_deep_scratches():
    z = np.zeros(8001)
    z[np.arange(400, 8001, 800)[:, None] + np.arange(40)] = -1.0
    found = valley_suppressed(z, spacing=1e-3, cutoff=0.8)
    # one step leaves the plateau raised by the mean depth of 5 %, two steps by the 5 % of what is left below the first line
    assert np.median(found[2000:6000]) == pytest.approx(0.05 * 0.05, abs=2e-3)


def test_the_two_step_filter_keeps_holes_and_changes_nothing_without_valleys():
    z = np.ones(500)
    z[100] = np.nan
    found = valley_suppressed(z, spacing=1.0, cutoff=80.0)
    assert np.isnan(found[100])
    assert np.nanmax(np.abs(found)) < 1e-12
