from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.grains import GrainPass, GrainPopulation, Pressing, Strip, Track, dither, even_pressing, fits_strip, grow_belt
from evenlay.physics.grains.passes import row_spacing, sample_spacing


def test_a_strip_counts_its_rows_and_samples() -> None:
    strip = Strip(0.01, 0.02, 0.5e-3, 4e-6, start_along=0.1, start_across=-0.01)
    assert (strip.row_count, strip.sample_count, strip.margin_samples) == (20, 5000, 25)
    assert strip.along[0] == pytest.approx(0.10025) and strip.across[-1] == pytest.approx(0.01 - 2e-6)


@pytest.mark.parametrize("wrong", [{"length": 0.0}, {"samples": np.nan}, {"margin": -1.0}])
def test_a_strip_refuses_what_it_cannot_be(wrong) -> None:
    with pytest.raises(ValueError, match=next(iter(wrong))):
        Strip(**{"length": 0.01, "width": 0.01, "rows": 1e-3, "samples": 4e-6, **wrong})


def test_rows_divide_the_shortest_repeat() -> None:
    for repeat in (2e-3, 7.5e-3, 0.01, 0.4):
        step = row_spacing([repeat, 0.5])
        assert (repeat / step) == pytest.approx(round(repeat / step))
        assert step <= 0.4e-3
    assert row_spacing([0.02]) == pytest.approx(0.4e-3)
    with pytest.raises(ValueError, match="repeats"):
        row_spacing([np.nan])
    with pytest.raises(ValueError, match="grain_size"):
        sample_spacing(np.inf)


def test_a_level_pressure_carries_its_force() -> None:
    press = even_pressing(pressure=1e5, width=0.05, patch_length=0.02, contact_modulus=6e6, ramp=0.005)
    assert float(np.sum(press.pressure) * (press.place[1] - press.place[0])) == pytest.approx(1e5 * 0.05, rel=1e-3)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"place": np.array([0.0])}, "two or more"),
        ({"place": np.array([0.0, 1.0, 3.0])}, "rise evenly"),
        ({"pressure": np.array([0.0, np.nan, 1.0])}, "pressure"),
        ({"pressure": np.zeros(3)}, "pressure"),
        ({"patch_length": 0.0}, "patch_length"),
        ({"along": ()}, "along"),
        ({"along": (1.0, 2.0)}, "along"),
    ],
)
def test_a_pressing_refuses_what_it_cannot_be(wrong, message: str) -> None:
    right = {"place": np.array([0.0, 1.0, 2.0]), "pressure": np.ones(3), "patch_length": 0.02, "contact_modulus": 6e6}
    with pytest.raises(ValueError, match=message):
        Pressing(**{**right, **wrong})


def test_a_pass_knows_its_arc_and_repeat_and_refuses_what_it_cannot_be() -> None:
    belt = grow_belt(GrainPopulation(1e6, 30e-6, 60e-6, 15e-6), length=0.5, width=0.01, seed=1)
    press = even_pressing(pressure=1e5, width=0.01, patch_length=0.02, contact_modulus=6e6)
    one = GrainPass(belt, press, 1e-11, 25.0)
    assert one.arc == pytest.approx(0.5) and one.repeat == pytest.approx(0.02)
    for wrong in ({"removal_coefficient": 0.0}, {"speed_over_feed": np.nan}, {"centre": np.inf}):
        with pytest.raises(ValueError, match=next(iter(wrong))):
            GrainPass(**{"belt": belt, "pressing": press, "removal_coefficient": 1e-11, "speed_over_feed": 25.0, **wrong})


def test_a_track_is_straight_between_its_points_and_level_beyond() -> None:
    np.testing.assert_allclose(Track(np.array([0.0, 1.0]), np.array([0.0, 2.0])).at(np.array([-1.0, 0.25, 3.0])), [0.0, 0.5, 2.0])


def test_a_dither_swings_evenly() -> None:
    track = dither(amplitude=1e-3, wavelength=0.05, length=0.2)
    along = np.linspace(0.0, 0.2, 401)
    np.testing.assert_allclose(track.at(along), 1e-3 * np.sin(2 * np.pi * along / 0.05), atol=1e-5)
    with pytest.raises(ValueError, match="wavelength"):
        dither(amplitude=1e-3, wavelength=0.0, length=0.2)


def test_the_range_of_a_belt_that_meets_a_strip_covers_its_margins_and_shifts() -> None:
    low, high = fits_strip(Strip(0.01, 0.02, 1e-3, 4e-6, start_across=0.03), 0.035, sideways=0.002)
    assert low == pytest.approx(-0.0071) and high > 0.017
    with pytest.raises(ValueError, match="sideways"):
        fits_strip(Strip(0.01, 0.02, 1e-3, 4e-6), 0.0, sideways=-1.0)
