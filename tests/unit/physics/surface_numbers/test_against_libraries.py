"""Second way: two independent libraries of surface numbers on the same heights; each tolerance has its reason."""

import warnings

import numpy as np
import pytest

from evenlay.physics.surface_numbers.areal import gradients, texture_direction
from evenlay.physics.surface_numbers.correlation import autocorrelation, decay_lengths
from evenlay.physics.surface_numbers.filters import gaussian_mean, gaussian_mean_surface, levelled
from evenlay.physics.surface_numbers.heights import kurtosis, mean_deviation, rms_deviation, skewness
from evenlay.physics.surface_numbers.material import core
from evenlay.physics.surface_numbers.profile import extremes, rms_slope
from evenlay.physics.surface_numbers.spectrum import height_spectrum

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # one of them warns at import that a parallel library is not there
    import SurfaceTopography
    import surfalize


def random_map(seed, turn):
    """Skewed heights of rms about 1 with a bell correlation of 8 by 24 points, turned."""
    fy, fx = np.fft.fftfreq(400)[:, None], np.fft.fftfreq(500)[None, :]
    u, v = fx * np.cos(turn) + fy * np.sin(turn), -fx * np.sin(turn) + fy * np.cos(turn)
    white = np.fft.fft2(np.random.default_rng(seed).normal(size=(400, 500)))
    z = np.fft.ifft2(np.exp(-((np.pi * u * 8) ** 2 + (np.pi * v * 24) ** 2) / 2) * white).real
    z /= z.std()
    z -= 0.05 * z**2
    return z - z.mean()


@pytest.fixture(scope="module", params=[(1, 0.0), (2, 0.4), (3, 1.3)], ids=["straight", "turned", "steep"])
def heights(request):
    return random_map(*request.param)


@pytest.fixture(scope="module")
def theirs(heights):
    return surfalize.Surface(heights, 1.0, 1.0)


def test_numbers_of_the_heights_are_the_same_to_rounding(heights, theirs):
    assert mean_deviation(heights) == pytest.approx(theirs.Sa(), rel=1e-12)
    assert rms_deviation(heights) == pytest.approx(theirs.Sq(), rel=1e-12)
    assert skewness(heights) == pytest.approx(theirs.Ssk(), rel=1e-12)
    assert kurtosis(heights) == pytest.approx(theirs.Sku(), rel=1e-12)


def test_the_core_is_the_same_to_the_classes_of_the_other_curve(heights, theirs):
    ours = core(heights)
    # the other curve has 10 000 classes: 1e-4 of the ratio; the highest peaks lie within one class, which moves their area by more
    assert ours.core_height == pytest.approx(theirs.Sk(), rel=2e-4)
    assert ours.hill_ratio == pytest.approx(theirs.Smr1() / 100, abs=1e-4)
    assert ours.dale_ratio == pytest.approx(theirs.Smr2() / 100, abs=1e-4)
    assert ours.hill_height == pytest.approx(theirs.Spk(), rel=5e-3)
    assert ours.dale_depth == pytest.approx(theirs.Svk(), rel=5e-3)


def lost_by_differences(z):
    """Slope over what differences between neighbours make of it, by the power of the periodic map."""
    power = np.abs(np.fft.fft2(z)) ** 2
    ky, kx = 2 * np.pi * np.fft.fftfreq(z.shape[0])[:, None], 2 * np.pi * np.fft.fftfreq(z.shape[1])
    return np.sqrt(np.sum(power * (kx**2 + ky**2)) / np.sum(power * 4 * (np.sin(kx / 2) ** 2 + np.sin(ky / 2) ** 2)))


def test_slopes_exceed_differences_by_what_the_sampling_takes(heights, theirs):
    ours, lost = gradients(heights, spacing_x=1.0, spacing_y=1.0), lost_by_differences(heights)
    # three points at each edge have no slope of ours: 2.5 % of a random map, whose mean square they move by a few per mille
    assert 1.002 < lost < 1.006
    assert ours.Sdq / theirs.Sdq() == pytest.approx(lost, abs=3e-3)
    assert ours.Sdr / (theirs.Sdr() / 100) == pytest.approx(lost**2, abs=6e-3)


def test_decay_lengths_agree_within_half_a_per_cent(heights, theirs):
    ours = decay_lengths(autocorrelation(heights, spacing_x=1.0, spacing_y=1.0))
    # straight lines against cubic ones between points; rays to lattice points against rays in every direction
    assert ours.shortest == pytest.approx(theirs.Sal(), rel=5e-3)
    assert ours.aspect == pytest.approx(theirs.Str(), rel=5e-3)


@pytest.mark.parametrize("degrees", [20.0, 64.0, 90.0, 131.0])
def test_the_direction_of_grooves_agrees_within_a_degree(degrees):
    y, x = np.mgrid[0:400, 0:500]
    across = -x * np.sin(np.radians(degrees)) + y * np.cos(np.radians(degrees))
    z = sum(np.sin(2 * np.pi * across / wave) for wave in (9.0, 13.0, 21.0))
    ours = np.degrees(texture_direction(z, spacing_x=1.0, spacing_y=1.0))
    # theirs is the direction in which heights change, ours that of the grain; theirs counts with y upwards on the page, rows downwards;
    # its classes are half a degree wide
    other = (90 - surfalize.Surface(z, 1.0, 1.0).Std()) % 180
    assert (ours - other + 90) % 180 - 90 == pytest.approx(0.0, abs=1.0)
    assert ours == pytest.approx(degrees, abs=0.2)


def test_the_areal_filter_is_the_same_away_from_the_edges(heights, theirs):
    ours = heights - gaussian_mean_surface(heights, spacing_x=1.0, spacing_y=1.0, cutoff=60.0)
    other = theirs.filter("highpass", 60.0).data
    # theirs cuts its bell at four standard deviations, ours at one cut-off, five and a third: 6e-5 of the heights in two dimensions
    assert np.abs(ours - other)[60:-60, 60:-60].max() < 3e-4


@pytest.fixture(scope="module")
def profile():
    z = np.convolve(np.random.default_rng(5).normal(size=8040), np.hanning(41), "valid")[:8000]
    return levelled(z)


def test_profile_numbers_agree(profile):
    theirs = surfalize.Profile(profile, 0.5)
    ours = extremes(profile, count=5)
    assert (ours.Rz, ours.Rt) == pytest.approx((theirs.Rz(), theirs.Rt()), rel=1e-12)
    assert (ours.Rp, ours.Rv) == pytest.approx((theirs.Rp(), theirs.Rv()), rel=1e-12)
    assert mean_deviation(profile) == pytest.approx(theirs.Ra(), rel=1e-12)
    # 8000 heights against 10 000 classes between them
    assert core(profile).core_height == pytest.approx(theirs.Rk(), rel=1e-3)
    # a difference between neighbours against seven points: 0.1 % at these lengths
    assert rms_slope(profile, spacing=0.5) == pytest.approx(theirs.Rdq(), rel=2e-3)


def test_the_profile_filter_is_the_same_away_from_the_ends(profile):
    ours = profile - gaussian_mean(profile, spacing=0.5, cutoff=100.0)
    other = surfalize.Profile(profile, 0.5).filter("highpass", 100.0).data
    assert np.abs(ours - other)[200:-200].max() < 3e-4 * np.ptp(profile)


@pytest.mark.filterwarnings("ignore::DeprecationWarning")  # its scalar numbers are to move to a renamed call
def test_the_second_library_finds_the_same_heights_and_the_slopes_of_neighbours(heights, profile):
    area = SurfaceTopography.Topography(heights, physical_sizes=(400.0, 500.0))
    assert rms_deviation(heights) == pytest.approx(area.rms_height_from_area(), rel=1e-12)
    found = gradients(heights, spacing_x=1.0, spacing_y=1.0).Sdq
    assert found / area.rms_gradient() == pytest.approx(lost_by_differences(heights), abs=3e-3)
    line = SurfaceTopography.UniformLineScan(profile, 4000.0)
    assert rms_deviation(profile) == pytest.approx(line.rms_height_from_profile(), rel=1e-12)
    assert rms_slope(profile, spacing=0.5) == pytest.approx(line.rms_slope_from_profile(), rel=2e-3)


def test_the_spectrum_is_that_of_the_second_library(profile):
    line = SurfaceTopography.UniformLineScan(profile, 4000.0)
    waves, density = line.power_spectrum_from_profile(window="hann", reliable=False, resampling_method=None)
    ours = height_spectrum(profile, spacing=0.5)
    # theirs is two-sided over frequency, its window begins on a point where ours begins half a point before: seen in the first bins
    count = 400
    assert waves[1 : count + 1] / (2 * np.pi) == pytest.approx(ours.frequency[:count])
    assert 2 * density[10 : count + 1] == pytest.approx(ours.density[9:count], rel=0.03)
    assert 2 * np.sum(density[10 : count + 1]) == pytest.approx(np.sum(ours.density[9:count]), rel=1e-3)
