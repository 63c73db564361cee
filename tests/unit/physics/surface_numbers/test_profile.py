"""Peaks, pits, widths and slopes of one profile, against closed forms and a plain reading point by point."""

import numpy as np
import pytest

from evenlay.physics.surface_numbers.profile import extremes, mean_spacing, rms_slope, sections


def plain_spacing(z, spacing, section_length, threshold):
    """The same reading as a walk along the profile with a state; widths from rising and falling crossings, both ways."""
    widths, counts = 0.0, 0
    for line in (z, z[::-1]):
        places, state, crossing = [], 0, None
        for i in range(line.size):
            if i and line[i] != 0 and np.sign(line[i]) != np.sign(line[i - 1]):
                crossing = i - 1 + line[i - 1] / (line[i - 1] - line[i])
            side = 1 if line[i] > threshold else -1 if line[i] < -threshold else 0
            if side and side != state:
                if state:
                    if places and crossing - places[-1][0] < 0.01 * section_length / spacing:
                        places.pop()
                    else:
                        places.append((crossing, side))
                state = side
        for kind in (1, -1):
            own = [place for place, side in places if side == kind]
            if len(own) > 1:
                widths, counts = widths + own[-1] - own[0], counts + len(own) - 1
    return spacing * widths / counts


@pytest.mark.parametrize("wavelength", [0.05e-3, 0.0834e-3, 0.25e-3])
def test_a_sine_has_its_own_width_whatever_the_sampling(wavelength):
    z = np.sin(2 * np.pi * np.arange(4000) * 1e-6 / wavelength + 0.4)
    found = mean_spacing(z, spacing=1e-6, section_length=0.8e-3, threshold=0.2)
    assert found.RSm == pytest.approx(wavelength, rel=1e-6)
    assert found.number == pytest.approx(4e-3 / wavelength - 1, abs=1)


@pytest.mark.parametrize("seed", range(6))
def test_widths_of_a_random_profile_equal_the_walk_along_it(seed):
    rng = np.random.default_rng(seed)
    z = np.convolve(rng.normal(size=4100), np.hanning(41), "valid")
    z -= z.mean()
    threshold = 0.1 * np.ptp(z)
    found = mean_spacing(z, spacing=1e-6, section_length=0.8e-3, threshold=threshold)
    assert found.RSm == pytest.approx(plain_spacing(z, 1e-6, 0.8e-3, threshold), rel=1e-12)


def test_ripples_below_the_threshold_and_needles_below_the_width_are_not_counted():
    x = np.arange(4000)
    z = np.sin(2 * np.pi * x / 400) + 0.05 * np.sin(2 * np.pi * x / 10)
    assert mean_spacing(z, spacing=1e-6, section_length=0.8e-3, threshold=0.2).RSm == pytest.approx(4e-4, rel=5e-3)
    z[700:703] = 1.0  # a needle three points wide in a valley; 1 % of the section are eight
    assert mean_spacing(z, spacing=1e-6, section_length=0.8e-3, threshold=0.2).RSm == pytest.approx(4e-4, rel=5e-3)
    assert mean_spacing(z, spacing=1e-6, section_length=0.1e-3, threshold=0.2).RSm < 3.8e-4


def test_reading_backwards_gives_the_same_widths():
    z = np.random.default_rng(9).normal(size=3000)
    forwards, backwards = (mean_spacing(each, spacing=1.0, section_length=100.0, threshold=0.3) for each in (z, z[::-1]))
    assert forwards.RSm == pytest.approx(backwards.RSm, rel=1e-12)
    assert forwards.number == backwards.number


def test_points_that_lie_on_the_mean_line_are_crossings_once():
    z = np.tile([0.0, 1.0, 0.0, -1.0], 50)
    found = mean_spacing(z, spacing=1.0, section_length=100.0, threshold=0.1)
    assert found.RSm == pytest.approx(4.0)


@pytest.mark.parametrize("z", [np.ones(50), np.zeros(50), np.linspace(-1, 1, 50)])
def test_a_profile_without_a_whole_element_has_no_width(z):
    with pytest.raises(ValueError, match="there is no whole profile element"):
        mean_spacing(z, spacing=1.0, section_length=10.0, threshold=0.1)


def test_widths_need_a_whole_row():
    for wrong in ([0.0, np.nan, 1.0], [[0.0, 1.0]]):
        with pytest.raises(ValueError, match="a profile of one row without missing points is needed"):
            mean_spacing(wrong, spacing=1.0, section_length=10.0, threshold=0.1)


def test_extremes_are_the_means_over_sections_and_the_total_height_that_of_all():
    z = np.array([1.0, -2.0, 5.0, -1.0, 3.0, -3.0])
    found = extremes(z, count=3)
    assert (found.Rp, found.Rv, found.Rz, found.Rt) == (3.0, 2.0, 5.0, 8.0)
    assert extremes(z, count=1).Rz == extremes(z, count=1).Rt == 8.0


def test_a_sine_is_as_high_as_twice_its_amplitude_in_every_section():
    z = 3e-6 * np.sin(2 * np.pi * np.arange(4000) / 80)
    found = extremes(z)
    assert (found.Rz, found.Rt, found.Rp) == pytest.approx((6e-6, 6e-6, 3e-6))


def test_sections_without_a_measured_point_are_left_out():
    found = extremes([1.0, -1.0, np.nan, np.nan, 3.0, np.nan], count=3)
    assert (found.Rp, found.Rv) == (2.0, -1.0)
    with pytest.raises(ValueError, match="at least one height must be measured"):
        extremes([np.nan, np.nan], count=2)


def test_sections_are_equal_and_drop_the_rest():
    assert sections(np.arange(11.0), count=5).shape == (5, 2)
    for wrong, count in ((np.zeros(3), 4), (np.zeros(3), 0), (np.zeros((2, 2)), 1)):
        with pytest.raises(ValueError, match="sections cannot be cut"):
            sections(wrong, count=count)


def test_the_slope_of_a_sine_is_its_closed_form():
    A, lam = 1e-6, 80e-6
    z = A * np.sin(2 * np.pi * np.arange(8006) * 0.5e-6 / lam)
    # 160 points to a wave: the seven-point rule keeps all but 2e-9 of it
    assert rms_slope(z, spacing=0.5e-6) == pytest.approx(np.sqrt(2) * np.pi * A / lam, rel=1e-7)


def test_slopes_need_seven_measured_points_in_a_row():
    z = np.zeros(20)
    z[::5] = np.nan
    with pytest.raises(ValueError, match="no seven measured points follow each other"):
        rms_slope(z, spacing=1.0)
