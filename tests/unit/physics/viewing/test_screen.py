from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.viewing import (
    FacetFinish,
    Lighting,
    ScreenPicture,
    contrast_gains,
    grating_visibility,
    repeating_visibility,
    screen_code,
    screen_light,
    screen_luminance,
    screen_picture,
    screen_white,
    shown_profile,
    shown_visibility,
    surface_picture,
)

STEP, ROWS, PITCH, DISTANCE = 4e-6, 4e-4, 3e-3, 0.6
FINISH = FacetFinish(slope_along=0.06, facet_spread=0.03, floor=0.05)
PASSED = 2.0 ** -((16.0 / 40.0) ** 2)
"""Share of a 40 um wave that the facets keep."""


def face(*, roughness: float = 0.0, tilt: float = 0.0, rows: int = 60) -> np.ndarray:
    """Waves of 40 um whose size, or whose slope, swings with a pitch of 3 mm; 48 mm wide."""
    y = np.arange(12000) * STEP
    swing = np.cos(2.0 * np.pi * y / PITCH)
    fine = np.sqrt(2.0) * 0.09 * 40e-6 / (2.0 * np.pi) * np.sin(2.0 * np.pi * y / 40e-6) * (1.0 + roughness * swing)
    return np.tile(fine + tilt * PITCH / (2.0 * np.pi) * np.sin(2.0 * np.pi * y / PITCH), (rows, 1))


def just_visible(**change: float) -> tuple[float, float]:
    """Light and amplitude at which the eye model says that a swing of one kind is just visible, from the plan's own gains."""
    gains = contrast_gains(
        slope_rms=0.09 * PASSED, facet_spread=0.03, floor=0.05, roughness_change=change["roughness"], tilt_change=change["tilt"]
    )
    gain = abs(float(gains.sigma)) if change["roughness"] else float(gains.theta)
    unit = float(grating_visibility([1.0], pitch=PITCH, distance=DISTANCE)[0])
    return float(gains.tilt), 1.0 / (gain * unit)


@pytest.mark.parametrize("kind", ["roughness", "tilt"])
@pytest.mark.parametrize(("scale", "distance"), [(1.0, 0.6), (2.0, 1.2), (4.0, 2.4)])
def test_a_line_that_is_just_visible_by_the_model_is_just_visible_in_the_picture(kind: str, scale: float, distance: float) -> None:
    """From height map to eight bits and back: the picture's own contrast against the number, within a tenth."""
    light, amplitude = just_visible(**({"roughness": 0.0, "tilt": 0.0} | {kind: 1.0}))
    picture = surface_picture(
        face(**{kind: amplitude}), spacing=STEP, row_spacing=ROWS, pixel=1.6e-4, light=Lighting(light), material=FINISH
    )
    shown = screen_picture(picture.luminance, white=1.5 * float(picture.luminance.mean()))
    seen = shown_visibility(shown, pixel_across=picture.pixel_across, scale=scale, distance=distance)
    print(f"{kind}, scale {scale}, {distance} m: {seen:.3f} times just-visible; a code is {100 * shown.step:.2f} %")
    assert seen == pytest.approx(1.0, rel=0.10)


def test_the_wrong_distance_shows_another_number() -> None:
    light, amplitude = just_visible(roughness=1.0, tilt=0.0)
    picture = surface_picture(
        face(roughness=amplitude), spacing=STEP, row_spacing=ROWS, pixel=1.6e-4, light=Lighting(light), material=FINISH
    )
    shown = screen_picture(picture.luminance, white=1.5 * float(picture.luminance.mean()))
    assert shown_visibility(shown, pixel_across=picture.pixel_across, scale=1.0, distance=3.0) < 0.6


def test_a_line_fainter_than_a_code_is_lost_by_rounding_and_kept_by_dither() -> None:
    y = np.arange(480) * 1e-4
    light = 0.4003 * np.tile(1.0 + 0.0015 * np.cos(2.0 * np.pi * y / PITCH), (400, 1))
    rounded, dithered = (screen_picture(light, white=1.0, dither=dither) for dither in (False, True))
    assert 0.003 < dithered.step < 0.02
    wave = np.cos(2.0 * np.pi * y / PITCH)
    lost, kept = (2.0 * float(np.mean(shown_profile(one) * wave)) for one in (rounded, dithered))
    assert lost == pytest.approx(0.0, abs=1e-9)
    assert kept == pytest.approx(0.0015, rel=0.10)


def test_dither_leaves_the_mean_light_where_rounding_moves_it() -> None:
    light = np.full((400, 400), 0.4003)
    means = [float(np.mean(screen_luminance(screen_picture(light, white=1.0, dither=dither).codes, white=1.0))) for dither in (True, False)]
    # a code is 1 %; 160 000 chances leave a thousandth of that
    assert means[0] == pytest.approx(0.4003, rel=1e-4)
    assert means[1] != pytest.approx(0.4003, rel=1e-3)


def test_lines_in_front_of_texture_keep_their_visibility_in_eight_bits() -> None:
    draw = np.random.default_rng(1)
    contrast = 0.3 * draw.standard_normal((100, 600)) + 0.05 * draw.standard_normal(600)
    luminance = np.maximum(0.1 * (1.0 + contrast), 0.0)
    shown = screen_picture(luminance)
    back = screen_luminance(shown.codes, white=shown.white)
    scale = {"pixel_across": 1e-4, "pixel_along": 4e-4, "repeat": 0.02, "distance": DISTANCE}
    before, after = (repeating_visibility(one / one.mean() - 1.0, **scale).visibility for one in (luminance, back))
    assert after == pytest.approx(before, rel=0.02)
    assert before > 1.0


def test_code_and_light_are_each_others_way_back() -> None:
    light = np.concatenate(([0.0], np.geomspace(1e-5, 1.0, 200)))
    np.testing.assert_allclose(screen_light(screen_code(light)), light, rtol=1e-4, atol=1e-12)
    codes = np.arange(256, dtype=np.uint8)
    np.testing.assert_array_equal(screen_picture(screen_luminance(codes[None, :], white=2.0), white=2.0, dither=False).codes[0], codes)


def test_coding_has_the_values_of_the_standard() -> None:
    """Published points of the coding: its toe, middle grey, and the 18 % card. From memory."""
    np.testing.assert_allclose(screen_code([0.0031308, 0.18, 0.5, 1.0]), [0.040450, 0.461356, 0.735357, 1.0], atol=1e-5)


def test_a_middle_grey_has_codes_of_about_one_per_cent() -> None:
    assert 0.007 < screen_picture(np.full((4, 4), 0.5), white=1.0).step < 0.013
    assert screen_picture(np.full((4, 4), 0.02), white=1.0).step > 0.03


def test_what_is_brighter_than_white_is_counted_and_shown_as_white() -> None:
    light = np.array([[0.5, 1.0, 2.0, 3.0]])
    shown = screen_picture(light, white=1.5)
    assert shown.clipped == pytest.approx(0.5)
    assert list(shown.codes[0, 2:]) == [255, 255]
    assert screen_white(np.linspace(0.0, 1.0, 100001)) == pytest.approx(0.999)


def test_the_same_picture_has_the_same_codes_every_time() -> None:
    light = np.random.default_rng(2).random((50, 60))
    np.testing.assert_array_equal(screen_picture(light).codes, screen_picture(light).codes)


@pytest.mark.parametrize("value", [-0.1, float("nan"), float("inf")])
def test_light_that_cannot_be_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match="luminance"):
        screen_picture(np.array([[0.1, value]]))
    with pytest.raises(ValueError, match="white"):
        screen_picture(np.array([[0.1, 0.2]]), white=value)
    with pytest.raises(ValueError, match="white"):
        screen_luminance(np.zeros((1, 2), np.uint8), white=value)


def test_black_pictures_and_other_codes_are_refused() -> None:
    with pytest.raises(ValueError, match="somewhere > 0"):
        screen_white(np.zeros((3, 3)))
    with pytest.raises(ValueError, match="black"):
        shown_profile(ScreenPicture(np.zeros((3, 20), np.uint8), 1.0, 0.0, 0.01))
    with pytest.raises(ValueError, match="eight bits"):
        screen_luminance(np.zeros((1, 2)), white=1.0)  # type: ignore[arg-type]
