from __future__ import annotations

import numpy as np
import pytest

from evenlay.physics.lines import persistent_line_psd, repeat_length, row_line_psd, shared_arc, wander_coherence


def test_drawn_needles_have_the_persistent_density() -> None:
    """Second way: put grains at random on a belt, count them in narrow strips, take the periodogram."""
    rng = np.random.default_rng(11)
    density, belt, width, strip = 3.6e6, 0.05, 0.1, 50e-6
    strips = int(width / strip)
    power = np.zeros(strips // 2 + 1)
    for _ in range(60):
        count = rng.poisson(density * belt * strip, strips) / (density * belt * strip)
        power += np.abs(np.fft.rfft(count - 1.0)) ** 2 * 2.0 * strip / strips
    assert power[1:-1].mean() / 60 == pytest.approx(float(persistent_line_psd(active_density=density, belt_length=belt)), rel=0.02)


def test_unequal_grains_count_by_their_active_density() -> None:
    rng = np.random.default_rng(12)
    density, belt, strip, strips = 15e6, 0.05, 50e-6, 2000
    total = 0.0
    for _ in range(20):
        number = rng.poisson(density * belt * strip, strips)
        force = np.asarray([np.maximum(rng.normal(size=k) - 0.3, 0.0).sum() for k in number])
        relative = force / force.mean() - 1.0
        total += float(relative.var()) * 2.0 * strip
    sample = np.maximum(rng.normal(size=400_000) - 0.3, 0.0)
    active = density * sample.mean() ** 2 / np.mean(sample**2)
    assert total / 20 == pytest.approx(float(persistent_line_psd(active_density=active, belt_length=belt)), rel=0.03)


@pytest.mark.parametrize("belt", [0.3, 0.5, 2.0])
def test_a_row_has_the_power_of_a_belt_turn_times_how_often_the_arc_fits(belt: float) -> None:
    arc = 0.5
    ratio = row_line_psd(active_density=3.6e6, belt_length=belt, arc=arc) / persistent_line_psd(active_density=3.6e6, belt_length=belt)
    assert float(ratio) == pytest.approx(max(belt / arc, 1.0))


def test_harmonics_of_the_repeat_hold_the_power_of_a_row() -> None:
    patch, belt = 0.02, 2.0
    repeat = float(repeat_length(belt_length=belt, speed=5.0, feed=0.2))
    orders = np.arange(-200_000, 200_001)
    total = np.sum(np.sinc(orders * patch / repeat) ** 2)
    assert total == pytest.approx(belt / (patch * 5.0 / 0.2), rel=1e-4)


def test_shared_arc_is_a_triangle_whose_transform_is_the_square_of_sinc() -> None:
    x = np.linspace(-0.02, 0.02, 40001)
    share = shared_arc(shift=x, patch_length=0.02)
    transform = np.trapezoid(share * np.cos(2.0 * np.pi * 30.0 * x), x) / 0.02
    assert transform == pytest.approx(np.sinc(30.0 * 0.02) ** 2, abs=1e-6)


def test_equal_speed_ratios_have_equal_repeats() -> None:
    assert float(repeat_length(belt_length=1.5, speed=18.0, feed=0.12)) == pytest.approx(
        float(repeat_length(belt_length=1.5, speed=9.0, feed=0.06))
    )


def test_a_robot_keeps_its_lines_and_a_hand_loses_the_finer_ones_first() -> None:
    f = np.asarray([50.0, 200.0, 800.0])
    kept, seen = wander_coherence(frequency=f, wander=[0.0, 0.002], repeat=[0.02, 0.02], aperture=0.0066)
    np.testing.assert_allclose(kept[0], 1.0)
    np.testing.assert_allclose(seen[0], 1.0, rtol=2e-7)
    assert np.all(np.diff(kept[1]) < 0.0)
    assert kept[1, 2] < 1e-6
    assert np.all(kept <= seen)


def test_drawn_wanderings_lose_the_coherence_that_the_closed_form_says() -> None:
    rng = np.random.default_rng(2)
    step, count, wander, f, repeat, aperture = 0.0005, 161, 0.002, 150.0, 0.02, 0.0066
    drift = np.cumsum(rng.normal(0.0, wander * np.sqrt(2.0 * step / 0.1), (6000, count)), axis=1)
    phasor = np.exp(2j * np.pi * f * drift)
    apart = round(repeat / step)
    turns = np.mean(phasor[:, apart:] * np.conj(phasor[:, :-apart])).real
    window = np.exp(-0.5 * ((np.arange(count) - count // 2) * step / aperture) ** 2)
    held = np.mean(np.abs(np.sum(phasor * window, axis=1) / window.sum()) ** 2)
    kept, seen = wander_coherence(frequency=[f], wander=wander, repeat=repeat, aperture=aperture)
    assert float(kept[0, 0]) == pytest.approx(turns, abs=0.01)
    assert float(seen[0, 0]) == pytest.approx(held, abs=0.01)


@pytest.mark.parametrize("change", [{"wander": -1.0}, {"wander": np.nan}, {"repeat": 0.0}, {"aperture": 0.0}])
def test_impossible_wanderings_are_refused(change: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=next(iter(change))):
        wander_coherence(**{"frequency": [1.0], "wander": 0.0, "repeat": 0.02, "aperture": 0.006, **change})  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["belt_length", "speed", "feed"])
def test_a_belt_that_stands_still_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match=name):
        repeat_length(**{"belt_length": 1.5, "speed": 18.0, "feed": 0.12, name: 0.0})
