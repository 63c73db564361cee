from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.viewing import (
    FacetFinish,
    Lighting,
    contrast_gains,
    luminance_contrast,
    repeating_visibility,
    surface_picture,
    worst_lighting,
)

STEP, ROWS = 4e-6, 4e-4
FINISH = FacetFinish(slope_along=0.06, facet_spread=0.03, floor=0.05)


def waves(count: int, slope: float | np.ndarray = 0.09) -> np.ndarray:
    """One row whose slopes have a given rms, which may change along it; whole waves of 40 um to a group of facets."""
    y = np.arange(count) * STEP
    return np.sqrt(2.0) * slope * 40e-6 / (2.0 * np.pi) * np.sin(2.0 * np.pi * y / 40e-6)


def pictured(face: np.ndarray, *, pixel: float = 1.6e-4, light: Lighting | None = None):
    return surface_picture(face, spacing=STEP, row_spacing=ROWS, pixel=pixel, light=light or Lighting(0.2), material=FINISH)


def test_picture_elements_tile_the_face_and_say_their_size() -> None:
    picture = pictured(np.tile(waves(2000), (11, 1)), pixel=8e-4)
    assert picture.luminance.shape == (5, 10)
    assert (picture.pixel_across, picture.pixel_along) == pytest.approx((8e-4, 8e-4))
    fine = pictured(np.tile(waves(2000), (11, 1)), pixel=1e-4)
    assert fine.luminance.shape == (11, 80)
    assert (fine.pixel_across, fine.pixel_along) == pytest.approx((1e-4, ROWS))


def test_light_is_added_up_so_larger_elements_keep_it() -> None:
    draw = np.random.default_rng(3)
    face = waves(4000) * (1.0 + 0.3 * draw.standard_normal((8, 1))) + np.cumsum(draw.standard_normal((8, 4000)), axis=1) * 2e-8
    small, large = (pictured(face, pixel=pixel).luminance for pixel in (1.6e-4, 8e-4))
    np.testing.assert_allclose(small.reshape(4, 2, 20, 5).mean(axis=(1, 3)), large, rtol=1e-12)


def test_two_stripes_have_the_contrast_of_the_closed_form() -> None:
    """Second way: the luminance of a line of known slopes, as the plan uses it."""
    slope = np.where(np.arange(4000) < 2000, 0.09, 0.10)
    picture = pictured(np.tile(waves(4000, slope), (4, 1)), light=Lighting(0.22))
    passed = 2.0 ** -((16.0 / 40.0) ** 2)
    rms = float(np.sqrt(np.mean((slope * passed) ** 2)))
    expected = luminance_contrast(
        slope_rms=[[0.09 * passed, 0.10 * passed]], local_tilt=0.0, lamp_tilt=[0.22], facet_spread=[0.03], floor=[0.05], reference=[rms]
    )[0]
    seen = picture.contrast[:, [20, 80]]
    np.testing.assert_allclose(seen, np.tile(expected, (4, 1)), atol=0.02 * float(np.ptp(expected)))


def test_a_small_tilt_of_the_relief_has_the_gain_of_the_closed_form() -> None:
    passed = 2.0 ** -((16.0 / 40.0) ** 2)
    y = np.arange(4000) * STEP
    wave = 1e-3 * 4e-3 / (2.0 * np.pi) * np.sin(2.0 * np.pi * y / 4e-3)
    picture = pictured(np.tile(waves(4000) + wave, (4, 1)), light=Lighting(0.12))
    gain = float(contrast_gains(slope_rms=0.09 * passed, facet_spread=0.03, floor=0.05, tilt=0.12).theta)
    assert float(np.ptp(picture.contrast[0])) == pytest.approx(2e-3 * gain, rel=0.03)


def lopsided(rows: int = 100) -> np.ndarray:
    """Rows with facets that lean to one side, and lines that repeat every 20 mm in how rough they are."""
    draw = np.random.default_rng(5)
    swing = 1.0 + 0.1 * np.convolve(draw.standard_normal(100), np.ones(4) / 2.0, mode="same").repeat(50)
    y = np.arange(5000) * STEP
    lean = 0.5 * np.sin(4.0 * np.pi * y / 40e-6 + 0.6)
    row = np.sqrt(2.0) * 0.08 * 40e-6 / (2.0 * np.pi) * (np.sin(2.0 * np.pi * y / 40e-6) + lean) * swing
    grain = 1.0 + 0.2 * draw.standard_normal((rows // 2, 100)).repeat(50, axis=1)
    return np.tile(row * grain, (2, 1)) + 0.02 * 2e-3 / (2.0 * np.pi) * np.sin(2.0 * np.pi * y / 2e-3) * (swing - 1.0)


def seen_under(face: np.ndarray, tilt: float) -> float:
    contrast = pictured(face, pixel=8e-5, light=Lighting(tilt)).contrast
    return repeating_visibility(contrast, pixel_across=8e-5, pixel_along=ROWS, repeat=0.02, distance=0.6).visibility


def test_the_worst_light_beats_a_search_over_both_signs() -> None:
    face = lopsided()
    worst = worst_lighting(face, spacing=STEP, row_spacing=ROWS, material=FINISH, distance=0.6, repeat=0.02)
    searched = [seen_under(face, tilt) for tilt in np.linspace(-0.35, 0.35, 36)]
    assert seen_under(face, worst.tilt_across) >= 0.97 * max(searched)
    assert min(searched) < 0.8 * max(searched), "the light matters here"


def test_the_mirrored_face_has_the_mirrored_worst_light() -> None:
    face = lopsided()
    here, there = (
        worst_lighting(one, spacing=STEP, row_spacing=ROWS, material=FINISH, distance=0.6, repeat=0.02) for one in (face, face[:, ::-1])
    )
    assert here.tilt_across == pytest.approx(-there.tilt_across, rel=1e-6)
    assert here.tilt_across != 0.0


def test_a_face_shorter_than_two_repeats_still_has_a_worst_light() -> None:
    face = lopsided()[:50]
    light = worst_lighting(face, spacing=STEP, row_spacing=ROWS, material=FINISH, distance=0.6, repeat=0.08)
    assert abs(light.tilt_across) > 0.02
    endless = worst_lighting(face, spacing=STEP, row_spacing=ROWS, material=FINISH, distance=0.6, repeat=float("inf"))
    assert endless == light


def test_a_very_rough_face_is_searched_as_far_as_a_light_can_stand() -> None:
    face = np.tile(waves(2000, 0.9), (4, 1))
    light = worst_lighting(face, spacing=STEP, row_spacing=ROWS, material=FINISH, distance=0.6, repeat=1.0)
    assert abs(light.tilt_across) <= 1.2


def test_pictures_of_nothing_are_refused() -> None:
    with pytest.raises(ValueError, match="pixel"):
        pictured(np.zeros((4, 100)), pixel=1e-6)
    with pytest.raises(ValueError, match="smaller than one picture element"):
        pictured(np.zeros((4, 1000)), pixel=2e-3)
    with pytest.raises(ValueError, match="floor"):
        worst_lighting(np.zeros((4, 100)), spacing=STEP, row_spacing=ROWS, material=FacetFinish(0.06, 0.03, 0.0), distance=0.6, repeat=0.1)
