"""Numbers of heights on even surfaces, and the seven-point slope."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from evenlay.physics.surface_numbers.heights import kurtosis, mean_deviation, measured_heights, rms_deviation, skewness, slopes

FORMS = tomllib.loads((Path(__file__).parents[3] / "reference" / "surface_closed_forms.toml").read_text(encoding="utf-8"))
SINE = np.sin(2 * np.pi * (np.arange(4096) + 0.5) / 4096)
TRIANGLE = 2 * np.abs(2 * (np.arange(4096) + 0.5) / 4096 - 1) - 1
SQUARE = np.where(np.arange(4096) < 2048, 1.0, -1.0)


@pytest.mark.parametrize(
    ("z", "Ra", "Rq", "Rku"),
    [
        pytest.param(SINE, 2 / np.pi, 1 / np.sqrt(2), 1.5, id="sine"),
        pytest.param(TRIANGLE, 0.5, 1 / np.sqrt(3), 1.8, id="triangle"),
        pytest.param(SQUARE, 1.0, 1.0, 1.0, id="square"),
    ],
)
def test_even_waves_have_their_closed_forms(z, Ra, Rq, Rku):
    # midpoint sums over n = 4096 points: for the triangle they differ by 2/n² in the second and 20/3n² in the fourth power at most,
    # which makes 16/3n² of the kurtosis
    tolerance = 6 / 4096**2
    assert mean_deviation(z) == pytest.approx(Ra, rel=tolerance)
    assert rms_deviation(z) == pytest.approx(Rq, rel=tolerance)
    assert skewness(z) == pytest.approx(0.0, abs=1e-12)
    assert kurtosis(z) == pytest.approx(Rku, rel=tolerance)


@pytest.mark.parametrize(("points", "Ra"), FORMS["sampled_Ra"])
def test_a_sampled_sine_has_the_ra_of_its_points_not_of_the_wave(points, Ra):
    place = np.arange(10 * points)
    assert mean_deviation(np.sin(2 * np.pi * place / points)) == pytest.approx(Ra, abs=FORMS["tolerance"])
    shifted = mean_deviation(np.sin(2 * np.pi * (place + 0.5) / points))
    assert shifted == pytest.approx(2 / points / np.sin(np.pi / points), rel=1e-12)


def test_gaussian_heights_have_their_moments():
    z = np.random.default_rng(1).normal(size=1_000_000)
    assert mean_deviation(z) / rms_deviation(z) == pytest.approx(FORMS["gaussian_Ra"], abs=2e-3)
    assert skewness(z) == pytest.approx(0.0, abs=4 * np.sqrt(6 / z.size))
    assert kurtosis(z) == pytest.approx(3.0, abs=4 * np.sqrt(24 / z.size))


def test_deep_valleys_make_the_skewness_negative_and_turning_the_surface_over_turns_its_sign():
    z = np.random.default_rng(2).exponential(size=10_000)
    z -= z.mean()
    assert skewness(-z) == -skewness(z) < 0
    assert kurtosis(-z) == kurtosis(z)
    assert skewness(7 * z) == pytest.approx(skewness(z))


def test_missing_points_weigh_nothing():
    z = np.array([[1.0, np.nan], [-1.0, np.nan]])
    assert (mean_deviation(z), rms_deviation(z), kurtosis(z)) == (1.0, 1.0, 1.0)


@pytest.mark.parametrize("wrong", [[], [np.nan, np.nan], [1.0, np.inf]])
def test_no_heights_and_infinite_heights_are_refused(wrong):
    with pytest.raises(ValueError, match="heights must be finite, and at least one must be measured"):
        measured_heights(wrong)


def test_a_flat_has_no_shape():
    for number in (skewness, kurtosis):
        with pytest.raises(ValueError, match="all heights are zero: their distribution has no shape"):
            number([0.0, 0.0])


def test_the_slope_is_exact_for_polynomials_up_to_the_sixth_degree():
    x = np.arange(12.0) / 3
    for power in range(7):
        assert slopes(x**power, spacing=1 / 3) == pytest.approx(power * x[3:-3] ** max(power - 1, 0), abs=1e-9)


@pytest.mark.parametrize("points", [4, 6, 9, 16, 32])
def test_the_slope_of_a_sine_keeps_the_share_its_weights_give(points):
    step = 2 * np.pi / points
    share = (45 * np.sin(step) - 9 * np.sin(2 * step) + np.sin(3 * step)) / (30 * step)
    found = slopes(np.sin(step * np.arange(50) + 0.3), spacing=1.0)
    assert found == pytest.approx(share * step * np.cos(step * np.arange(3, 47) + 0.3), abs=1e-12)
    assert points < 9 or share > 0.999


def test_a_missing_point_takes_the_seven_slopes_that_use_it():
    z = np.zeros(20)
    z[10] = np.nan
    assert np.isnan(slopes(z, spacing=1.0)).sum() == 7


def test_slopes_need_seven_points_and_a_spacing():
    with pytest.raises(ValueError, match="a slope needs 7 points in a row, there are 6"):
        slopes(np.zeros(6), spacing=1.0)
    with pytest.raises(ValueError, match="spacing must be positive"):
        slopes(np.zeros(9), spacing=0.0)
