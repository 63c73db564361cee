"""Tips, grooves, bounds and laws of the kernels, each against bisection or the plain function."""

from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.grains import GrainPass, GrainPopulation, Strip, even_pressing, grow_belt, kernel
from evenlay.physics.grains import tip as tips
from evenlay.physics.grains.surface import _course, _work


def plain(function):
    """The function before it was compiled."""
    return getattr(function, "py_func", function)


def tip(at=8.3, free=-40e-6, kappa=2e-3, curve=None, reach=1.0, slope=1.07e-6):
    return tips.Tip(
        np.float32(at), np.float32(slope / reach if curve is None else curve), np.float32(reach), np.float32(free), np.float32(kappa)
    )


def rough(seed: int, samples: int = 16, scale: float = 1e-6) -> np.ndarray:
    return (scale * np.random.default_rng(seed).standard_normal(samples)).astype(np.float32)


def by_bisection(heights, one) -> float:
    """Second way: chip area less spring travel changes sign once."""
    away = np.abs(np.arange(heights.size) - float(one.at))
    near = np.minimum(away, float(one.reach))
    under = heights.astype(float) - float(one.curve) * near * (away - 0.5 * near)

    def excess(apex: float) -> float:
        return float(np.sum(np.maximum(under - apex, 0.0)) - float(one.kappa) * (apex - float(one.free)))

    low, high = float(one.free), max(float(np.max(under)), float(one.free))
    for _ in range(200):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if excess(middle) > 0.0 else (low, middle)
    return 0.5 * (low + high)


@pytest.mark.parametrize("seed", range(30))
@pytest.mark.parametrize("kappa", [1e-4, 2e-3, 0.3, 20.0])
def test_a_tip_is_solved_as_by_bisection(seed: int, kappa: float) -> None:
    heights = rough(seed)
    one = tip(at=5.0 + 0.2 * seed, free=-5e-6 - 1e-6 * seed, kappa=kappa, reach=0.3 + 0.1 * seed)
    exact = by_bisection(heights, one)
    top = tips.touch_near(heights, 0, one)
    for start in (0.0, 1e-7, 3e-6):
        apex, good = tips.apex_near(heights, 0, one, top - np.float32(start))
        assert good
        assert float(apex) == pytest.approx(exact, abs=3e-12)
    wide, good = tips.apex_wide(heights, (0, 16), one)
    assert good and float(wide) == pytest.approx(exact, abs=3e-12)


@pytest.mark.parametrize("keep", [False, True])
def test_a_groove_takes_away_the_chip_that_its_spring_pays_for(keep: bool) -> None:
    heights = rough(4)
    before = heights.astype(float)
    owner = np.full(16 if keep else 0, -1, np.int16)
    one = tip()
    apex, _ = tips.apex_wide(heights, (0, 16), one)
    tips.groove_wide(heights, owner, (0, 16), one, (apex, 3))
    assert float(np.sum(before - heights)) == pytest.approx(float(one.kappa) * float(apex - one.free), rel=1e-4)
    if keep:
        np.testing.assert_array_equal(owner == 3, heights < before)


def test_near_and_wide_grooves_are_the_same() -> None:
    near, wide = rough(5), rough(5)
    one = tip()
    apex, _ = tips.apex_wide(wide, (0, 16), one)
    tips.groove_near(near, 0, one, apex)
    tips.groove_wide(wide, np.empty(0, np.int16), (0, 16), one, (apex, 0))
    np.testing.assert_array_equal(near, wide)


@pytest.mark.parametrize("middle", [60.0, 61.3, 63.5, 64.0])
@pytest.mark.parametrize("area", [1e-7, 2e-6, 3e-5])
def test_ridges_hold_what_is_no_chip_on_both_sides_and_raise_the_bounds(area: float, middle: float) -> None:
    height = np.zeros(200, np.float32)
    bound = np.zeros(4, np.float32)
    tips.heap(height, bound, (np.float32(area), np.float32(middle)), np.float32(1.07e-6), np.float32(0.9))
    place = np.arange(200) - middle
    assert float(np.sum(height, dtype=np.float64)) == pytest.approx(0.9 * area, rel=1e-4)
    assert abs(float(np.sum(height * place))) < 0.3 * 0.9 * area  # its middle is that of the groove, to a third of a sample
    half = np.sqrt(area / 1.07e-6)
    assert np.all(height[np.abs(place) < half] == 0.0)
    assert np.all(height[np.abs(place) > half + 2.0 * max(half, 1.0)] == 0.0)
    for block in range(4):
        assert bound[block] >= np.max(height[max(block - 1, 0) * 64 : (block + 2) * 64])


def test_a_tip_above_everything_stays_where_it_is() -> None:
    apex, good = tips.apex_wide(rough(1), (0, 16), tip(free=1e-4))
    assert good and apex == np.float32(1e-4)


def test_bounds_cover_each_block_and_its_neighbours() -> None:
    height = rough(2, 300)
    bound = np.zeros(5, np.float32)
    kernel.find_bounds(height, bound)
    for block in range(5):
        assert bound[block] == np.max(height[max(block - 1, 0) * 64 : (block + 2) * 64])


def one_pass(**more):
    population = GrainPopulation(15e6, 30e-6, 60e-6, 15e-6)
    belt = grow_belt(population, length=0.02, width=0.006, seed=1)
    wheel = even_pressing(pressure=1e5, width=0.02, patch_length=2e-3, contact_modulus=6.67e6)
    return GrainPass(**{"belt": belt, "pressing": wheel, "removal_coefficient": 1e-10, "speed_over_feed": 10.0, **more})


def test_every_kernel_does_the_same_as_its_plain_function(monkeypatch) -> None:
    """The whole row, with every kernel replaced by the function that was compiled; fine samples take the wide window too."""
    compiled = [(module, name, value) for module in (kernel, tips) for name, value in vars(module).items() if hasattr(value, "py_func")]
    for keep in (False, True):
        for samples in (8e-6, 1e-6):
            strip = Strip(1e-3, 0.4e-3, 1e-3, samples, start_across=-0.2e-3)
            beyond = (
                one_pass(centre=0.1e-3, groove_coefficient=3e-10)
                if keep
                else one_pass(pressing=even_pressing(pressure=1e5, width=0.3e-3, patch_length=2e-3, contact_modulus=6.67e6))
            )
            grains, press, cut, courses = _work(strip, beyond, 0, 12e-3)
            size = strip.sample_count + 2 * strip.margin_samples + 2 * kernel.PAD
            made = []
            for form in ("compiled", "plain"):
                for module, name, value in compiled:
                    monkeypatch.setattr(module, name, value if form == "compiled" else value.py_func)
                height = rough(3, size, 2e-6)
                height[: kernel.PAD] = height[-kernel.PAD :] = -1.0
                owner = np.full(size if keep else 0, -1, np.int16)
                tally = np.zeros(kernel.TALLIES)
                kernel.cut_row(height, owner, grains, press, cut, _course(courses, 0), tally)
                made.append((height, owner, tally))
            np.testing.assert_allclose(made[0][0], made[1][0], atol=2e-10)
            assert np.mean(made[0][1] != made[1][1]) < 0.02 if keep else made[1][1].size == 0
            np.testing.assert_allclose(made[0][2], made[1][2], rtol=1e-4)
            assert made[0][2][kernel.WIDE] > 0 or samples > 4e-6


def test_the_small_kernels_do_the_same_as_their_plain_functions() -> None:
    heights, one = rough(7), tip()
    for function, given in (
        (tips.depth_below, (3, one)),
        (tips.touch_near, (heights, 0, one)),
        (tips.apex_near, (heights, 0, one, np.float32(-1e-6))),
        (tips.apex_wide, (heights, (0, 16), one)),
        (tips.apex_wide, (heights, (0, 16), tip(free=1e-4))),
        (tips.half_window, (np.float32(2e-6), np.float32(-1e-6), one)),
    ):
        np.testing.assert_allclose(function(*given), plain(function)(*given), rtol=1e-5)
    made = []
    for function in (tips.heap, plain(tips.heap)):
        height, bound = rough(8, 64), np.zeros(1, np.float32)
        function(height, bound, (np.float32(2e-6), np.float32(30.2)), np.float32(1.07e-6), np.float32(0.5))
        made.append(np.append(height, bound))
    np.testing.assert_allclose(made[0], made[1], atol=1e-12)
    apex, good = plain(tips.apex_near)(heights, 0, one._replace(kappa=np.float32(np.nan)), np.float32(0.0))
    assert np.isnan(apex) or not good
