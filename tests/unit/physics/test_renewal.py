"""Renewal of the texture in closed form, against the grains themselves."""

from __future__ import annotations

import math

import numpy as np
import pytest

from evenlay.job.shipped import grain_values
from evenlay.physics.grains import GrainPass, Strip, cut_surface, even_pressing, graded_population, grow_belt
from evenlay.physics.grains.persistence import OPTICAL, band_density, persistent_density, slope_power, texture_swing
from evenlay.physics.renewal import groove_coefficient, takeover_depth, texture_line_gain
from evenlay.physics.texture import grain_engagement
from evenlay.quantities.grit import Grit

MODULUS, PRESSURE, LENGTH, WIDTH = 5e6 / 0.75, 1e5, 0.5, 0.02
HARDNESS = 129 * 9.80665e6
K = 1e-11
WHEEL = even_pressing(pressure=PRESSURE, width=0.06, patch_length=0.02, contact_modulus=MODULUS)


def belt(size: float, seed: int, length: float = LENGTH):
    return grow_belt(graded_population(size, strength=1.0), length=length, width=0.05, seed=seed, low=-0.0145, high=0.0145)


def groove(size: float) -> float:
    return groove_coefficient(attack_angle=graded_population(size, strength=1.0).attack_angle, hardness=HARDNESS)


def slopes(height: np.ndarray, samples: float) -> np.ndarray:
    frequency = np.fft.rfftfreq(height.shape[1], samples)
    passed = 2.0 ** -((frequency * OPTICAL[0]) ** 2) - 2.0 ** -((frequency * OPTICAL[1]) ** 2)
    return np.fft.irfft(np.fft.rfft(height.astype(float), axis=1) * 2j * np.pi * frequency * passed, height.shape[1], axis=1)


@pytest.mark.parametrize(("number", "k"), [(120, 1e-11), (180, 1e-11), (120, 3e-11)])
def test_old_slopes_are_forgotten_with_the_metal_that_is_moved_not_with_what_comes_off(number: int, k: float) -> None:
    values = grain_values(Grit("P", number))
    size, memory = values["belt.median_grain"].number, values["belt.texture_memory"]
    strip = Strip(6e-3, WIDTH, 1e-3, size / 30.0, start_across=-0.5 * WIDTH)
    moved = 1.2e-6
    before = cut_surface(strip, (GrainPass(belt(size, 1, 3.0), WHEEL, k, 75.0, groove_coefficient=groove(size)),))
    light = GrainPass(belt(size, 2), WHEEL, k, moved / (groove(size) * PRESSURE * 0.02), groove_coefficient=groove(size))
    after = cut_surface(strip, (light,), incoming=before.height)
    old, new = slopes(before.height, strip.samples), slopes(after.height, strip.samples)
    left = float(np.sum(old * new) / np.sqrt(np.sum(old * old) * np.sum(new * new)))
    found = -moved / np.log(left)
    print(f"P{number}, k {k}: {left:.2f} of the slopes are left after {moved * 1e6:.1f} um moved, memory {found * 1e6:.2f} um")
    assert memory.low <= found <= memory.high
    taken = float(takeover_depth(texture_memory=found, removal_coefficient=k, groove_coefficient=groove(size)))
    assert after.removal - before.removal == pytest.approx(-np.log(left) * taken, rel=0.02)


@pytest.mark.parametrize(("number", "length"), [(80, 0.5), (120, 0.5), (120, 1.0), (180, 0.5)])
def test_texture_lines_follow_the_closed_form(number: int, length: float) -> None:
    """One heavy round of one belt; rows four to the arc that renews the texture, 0.5 to 10 mm, within 25 %."""
    values = grain_values(Grit("P", number))
    size, memory = values["belt.median_grain"].number, values["belt.texture_memory"].number
    grains = graded_population(size, strength=1.0)
    law = grain_engagement(
        pressure=PRESSURE,
        grain_density=grains.density,
        height_sd=grains.height_sd,
        tip_radius=grains.base_radius,
        contact_modulus=MODULUS,
    )
    density = float(law.active_density)
    rows = math.ceil(4.0 * length / (memory / (groove(size) * PRESSURE)))
    ratio = 8e-6 / (groove(size) * PRESSURE * 0.02)
    width = 0.028
    strip = Strip(length / ratio, width, length / ratio / rows, size / 30.0, start_across=-0.5 * width)
    found = []
    for seed in range(1, 9):
        one = grow_belt(grains, length=length, width=0.05, seed=seed, low=-0.0145, high=0.0145)
        done = cut_surface(strip, (GrainPass(one, WHEEL, K, ratio, groove_coefficient=groove(size)),), balance=np.inf, threads=2)
        points = round(100e-6 / strip.samples)
        swing = texture_swing(slope_power(done.height, strip.samples, points))
        found.append(band_density(*persistent_density(swing[::2], swing[1::2], points * strip.samples), ((0.5e-3, 10e-3),))[0])
    gain = texture_line_gain(texture_memory=memory, moved_per_arc=groove(size) * PRESSURE, active_density=density, belt_length=length)
    share = np.array(found) / (float(gain) * 2.0 / (density * length))
    print(f"P{number}, belt {length} m: simulation over closed form {share.mean():.2f} +- {share.std(ddof=1) / np.sqrt(len(found)):.2f}")
    assert share.mean() == pytest.approx(1.0, abs=0.25)


def test_the_number_of_grains_does_not_stand_in_the_density_of_texture_lines() -> None:
    given = {"texture_memory": 1.1e-6, "moved_per_arc": 2.3e-5, "belt_length": 1.5}
    few, many = (float(texture_line_gain(active_density=n, **given)) * 2.0 / (n * 1.5) for n in (1e6, 7e6))
    assert few == pytest.approx(many, rel=1e-12)


def test_a_texture_that_repeats_completely_is_the_most() -> None:
    given = {"moved_per_arc": 2.3e-5, "active_density": 2e6, "belt_length": 0.1}
    assert float(texture_line_gain(texture_memory=1e-3, **given)) == float(texture_line_gain(texture_memory=1e-2, **given))


def test_where_nothing_is_ploughed_the_memory_is_that_of_what_comes_off() -> None:
    assert float(takeover_depth(texture_memory=1e-6, removal_coefficient=3e-10, groove_coefficient=1e-10)) == 1e-6


@pytest.mark.parametrize("name", ["texture_memory", "moved_per_arc", "active_density", "belt_length"])
def test_what_is_no_line_is_refused(name: str) -> None:
    given = {"texture_memory": 1e-6, "moved_per_arc": 2e-5, "active_density": 2e6, "belt_length": 1.0, name: math.nan}
    with pytest.raises(ValueError, match=name):
        texture_line_gain(**given)
    with pytest.raises(ValueError, match="texture_memory"):
        takeover_depth(texture_memory=0.0, removal_coefficient=1e-11, groove_coefficient=1e-10)
    with pytest.raises(ValueError, match="hardness"):
        groove_coefficient(attack_angle=20.0, hardness=0.0)
