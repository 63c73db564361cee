from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.viewing import (
    APERTURE_LENGTH,
    LINE_GAIN,
    Repeat,
    contrast_sensitivity,
    degrees_per_metre,
    masked_sensitivity,
    repeat_harmonics,
    repeating_visibility,
    shown_lines,
)

ACROSS, ALONG, DISTANCE = 1e-4, 4e-4, 0.6
ANGLE = float(degrees_per_metre(DISTANCE))


def seen(picture: np.ndarray, repeat: float = 0.02, follow: float = 0.0):
    return repeating_visibility(picture, pixel_across=ACROSS, pixel_along=ALONG, repeat=repeat, distance=DISTANCE, follow=follow)


def closed_form(density: float, noise: float) -> float:
    """Lines of a level density [m] in front of a level noise [deg2], by a plain sum."""
    f = np.arange(0.25, 5000.0, 0.5)
    gain = masked_sensitivity(f / ANGLE, np.full(f.size, noise))
    return float(LINE_GAIN * np.sqrt(np.sum(density * gain * gain) * 0.5))


def lines(columns: int, density: float, seed: int = 1) -> np.ndarray:
    """White lines with a one-sided density [m]."""
    return np.sqrt(density / (2.0 * ACROSS)) * np.random.default_rng(seed).standard_normal(columns)


def ground(rows: int, columns: int, sd: float, seed: int = 2) -> np.ndarray:
    return sd * np.random.default_rng(seed).standard_normal((rows, columns))


@pytest.mark.parametrize(("density", "sd"), [(1e-9, 0.0), (1e-8, 0.05), (1e-7, 0.05), (1e-7, 0.3)])
def test_planted_lines_on_known_noise_have_the_visibility_of_the_closed_form(density: float, sd: float) -> None:
    scale = Repeat(ACROSS, ALONG, 0.02, DISTANCE)
    results = [shown_lines(ground(250, 4000, sd, seed + 50) + lines(4000, density, seed), scale) for seed in range(6)]
    noise = sd**2 * ACROSS * ALONG * ANGLE**2
    # one picture scatters by 4 %, because its lines hold some 400 frequencies that count; six of them by 1.6 %
    assert float(np.mean(results)) == pytest.approx(closed_form(density, noise), rel=0.04)
    alone = seen(ground(250, 1000, sd) + lines(1000, density))
    assert alone.found and alone.blocks == 5


def test_lines_alone_have_the_visibility_of_their_own_spectrum() -> None:
    """Second way: the spectrum of the very row, frequency by frequency, with the constant of the observer written out."""
    row = lines(400, 1e-8)
    place = np.arange(400)
    rest = row - np.polyval(np.polyfit(place, row, 1), place)
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * place / 399)
    power = 0.0
    for order in range(1, 201):
        f = order / (400 * ACROSS)
        wave = np.sum(rest * window * np.exp(-2j * np.pi * order * place / 400))
        seen_at = float(contrast_sensitivity(f / ANGLE)) if 0.05 <= f / ANGLE <= 60.0 else 0.0
        power += 2.0 * ACROSS * abs(wave) ** 2 / np.sum(window**2) * seen_at**2 / (400 * ACROSS)
    still = np.tile(row, (100, 1))
    assert seen(still).visibility == pytest.approx(1.084 * np.sqrt(power), rel=1e-3)


@pytest.mark.parametrize("turn", [0.02, 0.04, 0.08])
def test_a_texture_that_repeats_exactly_is_masked_by_its_own_harmonics(turn: float) -> None:
    """The closed form of the noise of a perfect robot: half the density times the aperture's length times theta."""
    rows = round(turn / ALONG)
    texture = np.tile(ground(rows, 4000, 0.3), (2, 1))
    density = 2.0 * ACROSS * 0.3**2 / rows
    noise = 0.5 * density * APERTURE_LENGTH * ANGLE * float(repeat_harmonics(turn * ANGLE))
    assert shown_lines(texture, Repeat(ACROSS, ALONG, turn, DISTANCE)) == pytest.approx(closed_form(density, noise), rel=0.06)


def test_slower_belts_hide_lines_though_the_texture_stays_the_same() -> None:
    """One texture, row for row of the same statistics; only the length after which it comes back grows with 1/v."""
    shown = [seen(np.tile(ground(round(turn / ALONG), 2000, 0.3), (2, 1)), turn).visibility for turn in (0.02, 0.04, 0.08)]
    assert shown[0] > 1.6 * shown[1] > 1.6 * 1.2 * shown[2]


def test_noise_alone_is_not_found_and_its_floor_is_near_a_third() -> None:
    results = [seen(ground(250, 600, 0.3, seed)) for seed in range(10)]
    assert sum(result.found for result in results) == 0
    assert 0.2 < float(np.mean([result.control for result in results])) < 0.4
    assert max(result.visibility for result in results) < 0.6


def test_following_noise_raises_its_floor() -> None:
    results = [seen(ground(250, 600, 0.3, seed), follow=1e-3) for seed in range(6)]
    assert 0.35 < float(np.mean([result.control for result in results])) < 0.8
    assert sum(result.found for result in results) <= 1


def test_turns_with_fresh_lines_each_have_nothing_that_repeats() -> None:
    """The control a belt grown anew for each turn would give: strong lines inside a turn, none beyond it."""
    fresh = np.concatenate([np.tile(lines(1000, 1e-6, seed), (50, 1)) for seed in range(5)])
    kept = np.tile(lines(1000, 1e-6), (250, 1))
    fresh_seen, kept_seen = seen(fresh + ground(250, 1000, 0.3)), seen(kept + ground(250, 1000, 0.3))
    assert not fresh_seen.found
    assert kept_seen.found and kept_seen.visibility > 5.0 * fresh_seen.visibility
    # the control from the picture itself says the same of the picture whose turns do repeat
    assert kept_seen.control == pytest.approx(fresh_seen.control, rel=0.6)


def wandering(drift: float, seed: int = 4) -> np.ndarray:
    """Lines that move sideways by about ``drift`` a turn."""
    row = np.convolve(lines(3000, 3e-7, seed), np.ones(5) / 5.0, mode="same")
    steps = np.random.default_rng(seed).standard_normal(260) * drift / np.sqrt(50.0)
    place = np.round(np.cumsum(steps) / ACROSS).astype(int)
    return np.stack([np.roll(row, shift)[1000:2000] for shift in place[:250]]) + ground(250, 1000, 0.1)


def test_a_line_that_wanders_is_found_when_followed_and_lost_in_place() -> None:
    pictures = [wandering(0.5e-3, seed) for seed in range(4, 8)]
    straight = np.mean([seen(wandering(0.0, seed)).visibility for seed in range(4, 8)])
    still = np.mean([seen(picture).visibility for picture in pictures])
    followed = [seen(picture, follow=3e-3) for picture in pictures]
    assert all(one.found for one in followed)
    assert still < 0.5 * straight
    # what is lost for good is the drift inside a turn, which blurs the finest lines
    assert np.mean([one.visibility for one in followed]) > 0.65 * straight


def test_a_straight_line_is_followed_as_it_is() -> None:
    picture = ground(250, 1000, 0.1) + lines(1000, 1e-7)
    assert seen(picture, follow=2e-3).visibility == pytest.approx(seen(picture).visibility, rel=0.02)


def test_a_face_shorter_than_two_turns_shows_no_belt_line() -> None:
    result = seen(ground(99, 200, 0.1) + lines(200, 1e-6))
    assert (result.visibility, result.found, result.blocks) == (0.0, False, 0)
    assert not result.converged
    assert seen(ground(100, 200, 0.1) + lines(200, 1e-6)).blocks == 2


def test_short_turns_are_gathered_into_blocks_of_enough_rows() -> None:
    assert seen(np.tile(lines(200, 1e-8), (100, 1)), repeat=0.001).blocks == 20
    assert seen(np.tile(lines(200, 1e-8), (5, 1)), repeat=0.0005).blocks == 2


def test_rows_that_are_too_coarse_are_told() -> None:
    fine = seen(np.tile(lines(1000, 1e-7), (100, 1)) + np.repeat(ground(50, 1000, 0.05), 2, axis=0))
    coarse = seen(np.tile(lines(1000, 1e-7), (100, 1)) + ground(100, 1000, 0.5))
    assert fine.converged and not coarse.converged
    assert coarse.half_rows < coarse.visibility


def test_the_number_from_every_other_row_is_that_of_a_picture_with_half_the_rows() -> None:
    picture = ground(250, 1000, 0.3) + lines(1000, 1e-7)
    half = repeating_visibility(picture[::2], pixel_across=ACROSS, pixel_along=2.0 * ALONG, repeat=0.02, distance=DISTANCE)
    assert seen(picture).half_rows == pytest.approx(half.visibility, rel=1e-12)
    assert half.visibility != pytest.approx(seen(picture).visibility, rel=1e-3)


def test_every_row_may_be_tilted_without_a_line() -> None:
    slope = np.linspace(-0.2, 0.2, 1000)
    picture = ground(250, 1000, 0.1) + lines(1000, 1e-7)
    assert seen(picture + slope + 0.3).visibility == pytest.approx(seen(picture).visibility, rel=1e-9)


def test_lights_are_compared_by_what_repeats_or_without_a_repeat_by_the_mean() -> None:
    picture = ground(250, 1000, 0.1) + lines(1000, 1e-7)
    scale = Repeat(ACROSS, ALONG, 0.02, DISTANCE)
    assert shown_lines(picture, scale) == pytest.approx(seen(picture).visibility, rel=1e-12)
    still = np.tile(lines(1000, 1e-9), (40, 1))
    assert shown_lines(still, Repeat(ACROSS, ALONG, 0.5, DISTANCE)) == pytest.approx(closed_form(1e-9, 0.0), rel=0.1)
    assert float(contrast_sensitivity(3.0)) > 0.0


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan")])
def test_scales_that_cannot_be_are_refused(value: float) -> None:
    good = {"pixel_across": ACROSS, "pixel_along": ALONG, "repeat": 0.02, "distance": DISTANCE}
    for name in good:
        with pytest.raises(ValueError, match=name):
            repeating_visibility(np.zeros((10, 20)), **(good | {name: value}))
    if value != 0.0:
        with pytest.raises(ValueError, match="follow"):
            repeating_visibility(np.zeros((10, 20)), **good, follow=value)


def test_pictures_without_columns_or_with_missing_points_are_refused() -> None:
    with pytest.raises(ValueError, match="at least 16"):
        seen(np.zeros((100, 8)))
    with pytest.raises(ValueError, match="contrast"):
        seen(np.full((100, 20), np.nan))
