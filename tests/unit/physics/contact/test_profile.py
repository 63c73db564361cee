"""Profiles: the one definition of half-depth width and full ramp, and softened edges."""

from __future__ import annotations

from math import inf, nan

import numpy as np
import pytest

from evenlay.physics.contact.profile import LoadProfile, profile_grid, profile_widths, softened_profile, trapezoid_profile

Y = profile_grid(0.05)


@pytest.mark.parametrize(("width", "left", "right"), [(0.05, 0.005, 0.005), (0.05, 0.002, 0.008), (0.03, 0.02, 0.01), (0.044, 0.012, 0.02)])
def test_widths_read_off_a_trapezoid_are_those_it_was_made_with(width: float, left: float, right: float) -> None:
    fine = np.linspace(-0.06, 0.06, 4801)
    shape = trapezoid_profile(half_depth_width=width, ramp_left=left, ramp_right=right, y=fine)
    found = [float(value[0]) for value in profile_widths(fine, shape[None, :])]
    assert found == pytest.approx([width, left, right], rel=1e-6)


def test_a_ramp_from_10_to_90_per_cent_is_0_8_of_the_full_ramp() -> None:
    fine = np.linspace(-0.06, 0.06, 4801)
    shape = trapezoid_profile(half_depth_width=0.05, ramp_left=0.01, ramp_right=0.01, y=fine)
    rising = fine[(fine < 0.0) & (shape > 0.1) & (shape < 0.9)]
    assert rising[-1] - rising[0] == pytest.approx(0.8 * 0.01, abs=6e-5)
    assert profile_widths(fine, shape[None, :])[1][0] == pytest.approx(0.01)


def test_the_area_of_a_trapezoid_is_its_half_depth_width() -> None:
    fine = np.linspace(-0.06, 0.06, 12001)
    shape = trapezoid_profile(half_depth_width=0.05, ramp_left=0.005, ramp_right=0.009, y=fine)
    assert np.sum(shape) * (fine[1] - fine[0]) == pytest.approx(0.05, rel=1e-5)


def test_a_trapezoid_without_ramps_is_a_box() -> None:
    shape = trapezoid_profile(half_depth_width=0.05, ramp_left=0.0, ramp_right=0.0, y=np.array([-0.03, -0.025, 0.0, 0.025, 0.03]))
    assert shape.tolist() == [0.0, 0.5, 1.0, 0.5, 0.0]


@pytest.mark.parametrize("ramp", [0.001, 0.005, 0.012, 0.03])
def test_a_hard_edge_becomes_a_straight_full_ramp_of_the_asked_length(ramp: float) -> None:
    profile = softened_profile(width=0.05, hard=np.ones((1, 101)), ramp=np.array([ramp]))
    wanted = trapezoid_profile(half_depth_width=0.05, ramp_left=ramp, ramp_right=ramp, y=Y) / 0.05
    assert profile.shape[0] == pytest.approx(wanted, abs=1e-9)
    assert profile.half_depth_width[0] == pytest.approx(0.05, rel=1e-6)
    # the 10 and 90 % points are read between points 0.5 mm apart
    assert profile.ramp[0] == pytest.approx(ramp, abs=0.0003)
    assert profile.asymmetry[0] == pytest.approx(0.0, abs=1e-9)


def test_softening_is_a_running_mean() -> None:
    rng = np.random.default_rng(5)
    hard = rng.uniform(0.5, 1.0, size=(2, 101))
    ramp = np.array([0.0073, 0.02])
    found = softened_profile(width=0.05, hard=hard, ramp=ramp)
    fine = np.linspace(-0.04, 0.04, 160001)
    for row in range(2):
        value = np.interp(fine, Y[30:131], hard[row], left=0.0, right=0.0)
        total = np.concatenate([[0.0], np.cumsum(0.5 * (value[1:] + value[:-1]))]) * (fine[1] - fine[0])
        mean = (np.interp(Y + ramp[row] / 2, fine, total) - np.interp(Y - ramp[row] / 2, fine, total)) / ramp[row]
        # between points the running integral is taken as straight: 1 % on a profile as rough as this one
        assert found.shape[row] == pytest.approx(mean / (np.sum(mean) * found.dy), abs=0.012 * np.max(found.shape[row]))


def test_the_load_is_kept_and_its_centre_stays() -> None:
    hard = np.linspace(1.0, 0.2, 101)[None, :]
    found = softened_profile(width=0.05, hard=hard, ramp=np.array([0.01]))
    assert np.sum(found.shape) * found.dy == pytest.approx(1.0)
    assert found.centre[0] == pytest.approx(np.trapezoid(hard[0] * Y[30:131]) / np.trapezoid(hard[0]), abs=2e-6)
    assert found.centre[0] < 0.0
    assert found.asymmetry[0] > 0.0


def test_the_grid_depends_on_the_belt_width_alone_and_holds_its_edges() -> None:
    assert Y.size == 161
    assert np.min(np.abs(Y - 0.025)) < 1e-12
    with pytest.raises(ValueError, match="belt width"):
        profile_grid(0.0)


def test_a_profile_that_starts_at_the_end_of_the_grid_is_read_from_there() -> None:
    width, left, right = profile_widths(np.arange(5.0), np.array([[1.0, 1.0, 1.0, 0.5, 0.0]]))
    assert (width[0], left[0]) == (3.0, 0.0)
    assert right[0] == pytest.approx(1.6 / 0.8)


@pytest.mark.parametrize("shape", [[0.0, 0.0], [1.0, -1.0], [1.0, nan], [1.0, inf]])
def test_profiles_that_are_none_are_refused(shape: list[float]) -> None:
    with pytest.raises(ValueError, match="profile"):
        profile_widths(np.arange(2.0), np.array([shape]))


@pytest.mark.parametrize(("width", "ramp"), [(0.0, 0.0), (0.05, -0.001), (nan, 0.0), (0.05, inf), (0.005, 0.01)])
def test_trapezoids_that_are_none_are_refused(width: float, ramp: float) -> None:
    with pytest.raises(ValueError, match=r"trapezoid|ramps"):
        trapezoid_profile(half_depth_width=width, ramp_left=ramp, ramp_right=ramp, y=Y)


def test_ramp_is_the_mean_of_both() -> None:
    one = np.array([1.0])
    assert LoadProfile(Y, np.ones((1, 161)), one, one, 3 * one).ramp[0] == 2.0
