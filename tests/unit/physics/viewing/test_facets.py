from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.viewing import FacetFinish, Lighting, facet_groups, facet_luminance, facet_slopes

STEP = 2e-6
FINISH = FacetFinish(slope_along=0.06, facet_spread=0.03, floor=0.05)


def waves(count: int, *, wavelength: float = 40e-6, slope: float = 0.09) -> np.ndarray:
    """One row whose slopes have a given rms, 20 samples of 2 um to a wave."""
    y = np.arange(count) * STEP
    return np.sqrt(2.0) * slope * wavelength / (2.0 * np.pi) * np.sin(2.0 * np.pi * y / wavelength)


def chance(rows: int, count: int, seed: int = 1) -> np.ndarray:
    """Gaussian rows with waves of 20 to 400 um."""
    draw = np.random.default_rng(seed)
    frequency = np.fft.rfftfreq(count, STEP)
    inside = (frequency > 1.0 / 400e-6) & (frequency < 1.0 / 20e-6)
    size = inside / np.maximum(frequency, 1.0)
    rows_of = np.fft.irfft(size * (draw.standard_normal((rows, size.size)) + 1j * draw.standard_normal((rows, size.size))), count)
    slopes = np.gradient(rows_of, STEP, axis=1)
    return rows_of * 0.09 / np.std(slopes)


def test_a_wave_in_the_band_gives_its_own_mean_square_slope() -> None:
    groups = facet_groups(waves(4000)[None, :], spacing=STEP, row_spacing=4e-4)
    passed = 2.0 ** -((16.0 / 40.0) ** 2)
    np.testing.assert_allclose(groups.variance[:, :-1], (0.09 * passed) ** 2, rtol=2e-3)
    # the wave is not at its zero at the last sample, so its image beyond has a kink
    np.testing.assert_allclose(groups.variance[:, -1], (0.09 * passed) ** 2, rtol=2e-2)
    np.testing.assert_allclose(groups.tilt, 0.0, atol=1e-3)
    assert groups.width == pytest.approx(80e-6)
    assert groups.slope_rms == pytest.approx(0.09 * passed, rel=2e-3)


def test_a_tilted_face_has_its_slope_everywhere_up_to_its_ends() -> None:
    row = 0.02 * np.arange(1000) * STEP
    np.testing.assert_allclose(facet_slopes(row, STEP), 0.02, atol=1e-9)


def test_a_step_at_one_end_does_not_reach_the_other() -> None:
    row = np.zeros(1000)
    row[:20] = 5e-6
    assert np.abs(facet_slopes(row, STEP)[500:]).max() < 1e-7


def test_tilt_and_spread_of_groups_keep_all_of_the_slopes() -> None:
    rows = chance(6, 40000)
    groups = facet_groups(rows, spacing=STEP, row_spacing=4e-4)
    slopes = np.stack([facet_slopes(row, STEP) for row in rows])
    assert groups.slope_rms == pytest.approx(float(np.std(slopes)), rel=1e-9)
    coarse = facet_groups(rows, spacing=STEP, row_spacing=4e-4, width=400e-6)
    assert float(np.var(coarse.tilt)) < float(np.var(groups.tilt)) < 0.3 * float(np.mean(groups.variance))


def test_slopes_are_those_of_the_derivative_of_a_gaussian_mean() -> None:
    """Second way: the weights of the standard's filter summed point by point, then differences of neighbours."""
    row = chance(1, 2000)[0]
    reach = np.arange(-20, 21) * STEP
    constant = np.sqrt(np.log(2.0) / np.pi)
    weight = np.exp(-np.pi * (reach / (constant * 16e-6)) ** 2)
    smooth = np.convolve(row, weight / weight.sum(), mode="same")
    slopes = facet_slopes(row, STEP)
    differences = (smooth[2:] - smooth[:-2]) / (2.0 * STEP)
    assert float(np.std(slopes[101:-101] - differences[100:-100])) < 0.03 * float(np.std(slopes))


@pytest.mark.parametrize("tilt", [0.0, 0.08, 0.15, 0.22])
def test_groups_give_the_light_of_their_facets_taken_one_by_one(tilt: float) -> None:
    """Second way: each sample a small mirror with the facet spread about its slope; the sum needs no Gaussian."""
    rows = chance(60, 40000)
    groups = facet_groups(rows, spacing=STEP, row_spacing=4e-4)
    finish = FacetFinish(slope_along=0.06, facet_spread=0.03, floor=0.0)
    seen = float(np.mean(facet_luminance(groups, light=Lighting(tilt), material=finish)))
    slopes = np.stack([facet_slopes(row, STEP) for row in rows])
    peak = np.hypot(groups.slope_rms, 0.03)
    one_by_one = float(np.mean(peak / 0.03 * np.exp(-0.5 * ((np.tan(tilt) - slopes) / 0.03) ** 2)))
    # 80 um hold few independent slopes, so the spread inside a group is itself a chance: a tenth on the flank of the lobe
    assert seen == pytest.approx(one_by_one, rel=0.12)
    wide = facet_groups(rows, spacing=STEP, row_spacing=4e-4, width=4e-3)
    broad = float(np.mean(facet_luminance(wide, light=Lighting(tilt), material=finish)))
    assert broad == pytest.approx(one_by_one, rel=0.03), "a wide group of Gaussian slopes is a Gaussian lobe"


def test_light_along_the_grain_is_damped_by_the_slopes_along() -> None:
    groups = facet_groups(waves(4000)[None, :], spacing=STEP, row_spacing=4e-4)
    level, tilted = (facet_luminance(groups, light=Lighting(0.1, along), material=FINISH) - FINISH.floor for along in (0.0, 0.08))
    np.testing.assert_allclose(tilted / level, np.exp(-0.5 * np.tan(0.08) ** 2 / (0.06**2 + 0.03**2)), rtol=1e-12)


def test_light_from_the_other_side_sees_the_mirrored_face() -> None:
    rows = chance(4, 4000)
    here, there = (facet_groups(face, spacing=STEP, row_spacing=4e-4) for face in (rows, rows[:, ::-1]))
    left = facet_luminance(here, light=Lighting(0.15), material=FINISH)
    right = facet_luminance(there, light=Lighting(-0.15), material=FINISH)
    np.testing.assert_allclose(left, right[:, ::-1], rtol=1e-6)


def test_the_peak_is_one_at_the_reference_and_the_floor_is_added() -> None:
    groups = facet_groups(waves(4000)[None, :], spacing=STEP, row_spacing=4e-4)
    np.testing.assert_allclose(facet_luminance(groups, light=Lighting(0.0), material=FINISH), 1.05, rtol=1e-2)
    other = FacetFinish(slope_along=0.06, facet_spread=0.03, floor=0.05, reference_slope=2.0 * groups.slope_rms)
    brighter = np.hypot(2.0 * groups.slope_rms, 0.03) / np.hypot(groups.slope_rms, 0.03)
    np.testing.assert_allclose(facet_luminance(groups, light=Lighting(0.0), material=other) - 0.05, brighter, rtol=1e-2)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"spacing": 9e-6}, "spacing"),
        ({"spacing": float("nan")}, "spacing"),
        ({"row_spacing": 0.0}, "row_spacing"),
        ({"width": 1e-6}, "width"),
        ({"width": 1.0}, "shorter than one group"),
    ],
)
def test_maps_that_do_not_show_slopes_are_refused(change: dict[str, float], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        facet_groups(np.zeros((2, 100)), **({"spacing": STEP, "row_spacing": 4e-4} | change))


def test_missing_points_are_refused_and_the_row_is_named() -> None:
    face = np.zeros((3, 100))
    face[1, 50] = np.nan
    with pytest.raises(ValueError, match="row 1 has missing points"):
        facet_groups(face, spacing=STEP, row_spacing=4e-4)
    with pytest.raises(ValueError, match="at least 8 samples"):
        facet_groups(np.zeros((3, 4)), spacing=STEP, row_spacing=4e-4)


def test_a_mirror_without_facets_has_no_picture() -> None:
    flat = facet_groups(np.zeros((1, 100)), spacing=STEP, row_spacing=4e-4)
    with pytest.raises(ValueError, match="facet_spread"):
        facet_luminance(flat, light=Lighting(0.0), material=FacetFinish(0.06, 0.0, 0.05))
    groups = facet_groups(waves(400)[None, :], spacing=STEP, row_spacing=4e-4)
    with pytest.raises(ValueError, match="slope_along"):
        facet_luminance(groups, light=Lighting(0.0, 0.1), material=FacetFinish(0.0, 0.0, 0.05))


@pytest.mark.parametrize("value", [-0.1, float("nan"), float("inf")])
def test_finishes_and_lights_that_cannot_be_are_refused(value: float) -> None:
    for name in ("slope_along", "facet_spread", "floor", "reference_slope"):
        with pytest.raises(ValueError, match=name):
            FacetFinish(**({"slope_along": 0.06, "facet_spread": 0.03, "floor": 0.05} | {name: value}))
    for name in ("tilt_across", "tilt_along"):
        with pytest.raises(ValueError, match=name):
            Lighting(**({"tilt_across": 0.0} | {name: value if value > 0 or value != value else -1.3}))
