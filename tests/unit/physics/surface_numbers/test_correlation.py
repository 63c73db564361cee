"""Autocorrelation against the plain sum; Sal and Str of closed forms."""

import numpy as np
import pytest

from evenlay.physics.surface_numbers import correlation as module
from evenlay.physics.surface_numbers.correlation import Correlation, autocorrelation, decay_lengths


def bell(lx, ly, spacing=0.05, turn=0.0, half=(160, 160)):
    y, x = (np.arange(-each, each + 1) * spacing for each in half)
    y = y[:, None]
    u, v = x * np.cos(turn) + y * np.sin(turn), -x * np.sin(turn) + y * np.cos(turn)
    return Correlation(np.exp(-((u / lx) ** 2) - (v / ly) ** 2), spacing, spacing)


@pytest.mark.parametrize("holes", [False, True])
def test_the_autocorrelation_is_the_mean_product_of_the_pairs_that_are_there(holes):
    z = np.random.default_rng(1).normal(size=(7, 10))
    if holes:
        z[2, 3] = z[6, 0] = np.nan
    found = autocorrelation(z, spacing_x=1.0, spacing_y=2.0)
    own = z - np.nanmean(z)
    for m in range(-3, 4):
        for k in range(-5, 6):
            products = [
                own[i, j] * own[i + m, j + k]
                for i in range(7)
                for j in range(10)
                if 0 <= i + m < 7 and 0 <= j + k < 10 and np.isfinite(own[i, j] * own[i + m, j + k])
            ]
            assert found.value[3 + m, 5 + k] == pytest.approx(np.mean(products) / np.nanmean(own**2), abs=1e-12)
    assert (found.spacing_x, found.spacing_y) == (1.0, 2.0)


def test_a_bell_decays_in_its_closed_form():
    # straight lines between points 0.05 apart: h²/8 times curvature over slope is 4e-4 of a unit
    for lx, ly in ((1.0, 1.0), (1.0, 3.0), (2.0, 0.8)):
        found = decay_lengths(bell(lx, ly))
        assert found.shortest == pytest.approx(min(lx, ly) * np.sqrt(np.log(5)), rel=6e-4)
        assert found.aspect == pytest.approx(min(lx, ly) / max(lx, ly), rel=6e-4)
        assert found.bounded
    assert decay_lengths(bell(1.0, 2.0), value=0.5).shortest == pytest.approx(np.sqrt(np.log(2)), rel=6e-4)


@pytest.mark.parametrize("turn", [0.0, 0.1, 0.7, 1.9, 3.0])
def test_a_narrow_ridge_is_found_in_any_direction(turn):
    found = decay_lengths(bell(0.3, 4.0, turn=turn))
    assert found.longest == pytest.approx(4.0 * np.sqrt(np.log(5)), rel=0.01)
    assert (found.longest_direction - turn - np.pi / 2 + 0.01) % np.pi == pytest.approx(0.01, abs=0.004)
    assert (found.shortest_direction - turn + 0.2) % np.pi == pytest.approx(0.2, abs=0.1)


def test_what_does_not_decay_in_one_direction_has_only_a_bound():
    x = np.arange(-200, 201) * 0.01
    found = decay_lengths(Correlation(np.tile(np.cos(2 * np.pi * x), (41, 1)), 0.01, 0.01))
    assert found.shortest == pytest.approx(np.arccos(0.2) / (2 * np.pi), rel=1e-3)
    assert not found.bounded
    assert found.aspect < 0.9


def test_what_decays_in_no_direction_is_refused():
    with pytest.raises(ValueError, match="the map is too small: its autocorrelation does not fall"):
        decay_lengths(Correlation(np.ones((5, 5)), 1.0, 1.0))


@pytest.mark.parametrize("wrong", [0.0, 1.0, np.nan])
def test_the_decay_value_lies_between_nought_and_one(wrong):
    with pytest.raises(ValueError, match="the decay value must lie between 0 and 1"):
        decay_lengths(bell(1.0, 1.0), value=wrong)


@pytest.mark.parametrize("seed", range(3))
def test_a_random_surface_made_with_a_bell_shows_its_lengths(seed):
    rng = np.random.default_rng(seed)
    shape, lx, ly = (512, 512), 5.0, 20.0
    fy, fx = np.fft.fftfreq(shape[0])[:, None], np.fft.fftfreq(shape[1])[None, :]
    power = np.exp(-((np.pi * fx * lx) ** 2) - (np.pi * fy * ly) ** 2)
    z = np.fft.ifft2(np.sqrt(power) * np.fft.fft2(rng.normal(size=shape))).real
    found = decay_lengths(autocorrelation(z, spacing_x=1.0, spacing_y=1.0))
    # chance: 512 x 512 over about 16 x 63 makes some 260 independent patches, hence 5 to 10 %
    assert found.shortest == pytest.approx(lx * np.sqrt(np.log(5)), rel=0.08)
    assert found.aspect == pytest.approx(lx / ly, rel=0.25)


def test_of_a_map_that_is_too_large_the_middle_is_taken(monkeypatch):
    z = np.random.default_rng(4).normal(size=(40, 60))
    monkeypatch.setattr(module, "MOST_POINTS", 600)
    found = autocorrelation(z, spacing_x=1.0, spacing_y=1.0)
    monkeypatch.setattr(module, "MOST_POINTS", 10_000)
    assert found.value == pytest.approx(autocorrelation(z[10:30, 15:45], spacing_x=1.0, spacing_y=1.0).value)


@pytest.mark.parametrize("z", [np.zeros((5, 5)), np.full((5, 5), np.nan), np.full((5, 5), 3.0)])
def test_a_flat_has_nothing_to_correlate(z):
    with pytest.raises(ValueError, match="all heights are equal: nothing to correlate"):
        autocorrelation(z, spacing_x=1.0, spacing_y=1.0)


def test_two_rows_are_no_map():
    with pytest.raises(ValueError, match="at least three rows and three columns"):
        autocorrelation(np.zeros((2, 9)), spacing_x=1.0, spacing_y=1.0)
