"""Smoothing of a step: measured per band, laid on a drawn surface."""

from itertools import pairwise

import numpy as np
import pytest

from evenlay.physics.smoothing import SMOOTHING_BANDS, SmoothingFactor, measured_smoothing, smoothed, transmission
from evenlay.physics.surface_numbers.spectrum import BANDS, OPTICAL_BAND
from evenlay.physics.surface_numbers.surface import Surface, trace

SPACING = 4e-6
POINTS = 20000


def factors(values):
    return tuple(SmoothingFactor(*band, value, 0.1) for band, value in zip(SMOOTHING_BANDS, values, strict=True))


FALLING = factors((0.3, 0.45, 0.6, 0.7, 0.8, 0.9, 1.0))


@pytest.fixture
def rough():
    return np.random.default_rng(3).normal(size=(3, POINTS)).cumsum(axis=1) * 1e-9


def test_the_bands_go_from_the_light_to_the_widest_lines_without_a_gap():
    assert SMOOTHING_BANDS[0] == OPTICAL_BAND
    assert SMOOTHING_BANDS[2:] == BANDS
    assert all(left[1] == right[0] for left, right in pairwise(SMOOTHING_BANDS))


def test_factors_of_one_change_nothing(rough):
    assert smoothed(rough, spacing=SPACING, factors=factors([1.0] * 7)) == pytest.approx(rough, abs=1e-12 * np.ptp(rough))


def test_the_step_done_twice_is_the_step_of_the_squares(rough):
    one_band_each = tuple(SmoothingFactor(pitch, pitch, value, 0.0) for pitch, value in ((1e-4, 0.5), (1e-2, 0.8)))
    twice = smoothed(smoothed(rough, spacing=SPACING, factors=one_band_each), spacing=SPACING, factors=one_band_each)
    pitch = 2.0 * POINTS * SPACING / np.arange(1, POINTS + 1)
    squares = transmission(pitch, one_band_each) ** 2
    exact = tuple(SmoothingFactor(one, one, value, 0.0) for one, value in zip(pitch, squares, strict=True))
    assert twice == pytest.approx(smoothed(rough, spacing=SPACING, factors=exact), abs=1e-9 * np.ptp(rough))


@pytest.mark.parametrize(("index", "band"), list(enumerate(SMOOTHING_BANDS)))
def test_a_sine_in_the_middle_of_a_band_is_reduced_by_its_factor(index, band):
    waves = round(POINTS * SPACING / np.sqrt(band[0] * band[1]))
    row = np.cos(2.0 * np.pi * waves * (np.arange(POINTS) + 0.5) / POINTS)
    exact = transmission(POINTS * SPACING / waves, FALLING)
    assert exact == pytest.approx(FALLING[index].factor, abs=0.02)  # the nearest whole number of waves is not the very middle
    assert smoothed(row, spacing=SPACING, factors=FALLING) == pytest.approx(exact * row, abs=1e-9)


def test_the_mean_height_is_kept_and_what_is_longer_than_every_band_goes_as_the_longest(rough):
    half = factors([0.5] * 7)
    after = smoothed(rough + 3e-6, spacing=SPACING, factors=half)
    assert after.mean(axis=1) == pytest.approx((rough + 3e-6).mean(axis=1), rel=1e-9)
    assert after - after.mean(axis=1)[:, None] == pytest.approx(0.5 * (rough - rough.mean(axis=1)[:, None]), abs=1e-12 * np.ptp(rough))


def test_between_bands_it_is_straight_in_the_logarithm_of_pitch_and_level_beyond():
    ends = (SmoothingFactor(1e-4, 1e-4, 0.2, 0.0), SmoothingFactor(1e-2, 1e-2, 0.8, 0.0))
    assert transmission([1e-9, 1e-4, 1e-3, 1e-2, 1.0, np.inf], ends) == pytest.approx([0.2, 0.2, 0.5, 0.8, 0.8, 0.8])
    assert transmission([1e-3], ends[::-1]) == pytest.approx([0.5])


def test_what_is_measured_before_and_after_is_what_was_done():
    z = np.random.default_rng(9).normal(size=(40, POINTS)) * 1e-7
    before = Surface(z, SPACING, 1e-3, along="y")
    after = Surface(smoothed(z, spacing=SPACING, factors=FALLING), SPACING, 1e-3, along="y")
    found = measured_smoothing(before, after)
    # the mean over a band of a factor that bends at its middle is not the factor there: 0.04 in the widest band
    wanted = [each.factor for each in FALLING]
    assert [each.factor for each in found.factors] == pytest.approx(wanted, abs=0.04)
    assert [each.shortest for each in found.factors] == [band[0] for band in SMOOTHING_BANDS]
    assert not found.reasons


def test_chance_between_two_places_is_as_large_as_the_scatter_says():
    drawn = np.random.default_rng(11)
    found = [
        measured_smoothing(*(trace(drawn.normal(size=POINTS) * 1e-7, spacing=SPACING, along="y") for _ in range(2))).factors
        for _ in range(60)
    ]
    for index, one in enumerate(found[0][:-1]):
        spread = np.std(np.log([each[index].factor for each in found]))
        assert spread == pytest.approx(one.scatter, rel=0.45)  # 60 draws: 9 %; few bins in the long bands are not Gaussian
    assert found[0][0].scatter < found[0][-1].scatter


def test_bands_that_a_surface_cannot_speak_of_are_named_with_the_reason():
    short = trace(np.random.default_rng(1).normal(size=2500) * 1e-7, spacing=SPACING, along="y")
    coarse = trace(np.random.default_rng(2).normal(size=2500) * 1e-7, spacing=2e-5, along="y")
    found = measured_smoothing(coarse, short)
    reasons = dict(found.reasons)
    assert reasons[OPTICAL_BAND] == "the surface before the step has points 20 µm apart: 4 µm at most"
    assert reasons[(10e-3, 30e-3)].endswith("the surface after the step is 10 mm long: 60 mm at least")
    assert [each.longest for each in found.factors] == [0.5e-3, 1e-3, 2e-3, 5e-3]
    with pytest.raises(ValueError, match="no band of pitch can be compared"):
        measured_smoothing(trace(np.arange(20.0) % 3, spacing=1e-3), short)


def test_a_trace_along_the_grain_and_a_flat_surface_are_refused():
    flat, noise = trace(np.zeros(5000), spacing=SPACING), trace(np.random.default_rng(1).normal(size=5000), spacing=SPACING, along="x")
    with pytest.raises(ValueError, match="the trace after the step runs along the grain"):
        measured_smoothing(flat, noise)
    with pytest.raises(ValueError, match="has no height in this band"):
        measured_smoothing(flat, flat)


@pytest.mark.parametrize(
    ("height", "spacing", "given", "words"),
    [
        ([0.0, np.nan], 1e-6, FALLING, "bridge the holes"),
        ([0.0], 1e-6, FALLING, "two points"),
        ([0.0, 1.0], np.nan, FALLING, "spacing"),
        ([0.0, 1.0], 1e-6, (), "at least one band"),
        ([0.0, 1.0], 1e-6, factors([np.nan] * 7), "finite and not negative"),
        ([0.0, 1.0], 1e-6, factors([-0.1] * 7), "finite and not negative"),
        ([0.0, 1.0], 1e-6, (*FALLING, FALLING[0]), "same middle"),
    ],
)
def test_what_cannot_be_is_refused(height, spacing, given, words):
    with pytest.raises(ValueError, match=words):
        smoothed(height, spacing=spacing, factors=given)
    with pytest.raises(ValueError, match="pitch must be"):
        transmission([np.nan], FALLING)
