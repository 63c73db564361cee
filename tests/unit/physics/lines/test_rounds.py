from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import special

from evenlay.physics.lines import (
    bessel_zero,
    dither_is_slow,
    dither_power,
    filtered_power,
    mixed_power,
    relief_amplitudes,
    round_weights,
    texture_amplitudes,
)


@given(depths=st.lists(st.floats(0.0, 5e-6), min_size=1, max_size=8), scale=st.floats(0.1e-6, 5e-6))
@settings(max_examples=50, deadline=None)
def test_shares_of_the_rounds_and_of_the_incoming_finish_make_one(depths: list[float], scale: float) -> None:
    weights = round_weights(removal=depths, takeover=scale)
    assert np.all(weights >= 0.0)
    assert float(weights.sum()) + np.exp(-sum(depths) / scale) == pytest.approx(1.0, abs=1e-12)


def test_shares_follow_the_passes_one_by_one() -> None:
    """Second way: let each pass take over its part of whatever is there."""
    depths, scale = [0.4e-6, 1.1e-6, 0.2e-6], 0.6e-6
    owned = np.zeros(4)
    owned[3] = 1.0
    for index, depth in enumerate(depths):
        taken = 1.0 - np.exp(-depth / scale)
        owned *= 1.0 - taken
        owned[index] += taken
    np.testing.assert_allclose(round_weights(removal=depths, takeover=scale)[0], owned[:3], rtol=1e-12)


def test_equal_shares_need_each_later_round_lighter() -> None:
    depths = [-0.6e-6 * np.log1p(-share) for share in (0.999999, 1 / 2, 1 / 3, 1 / 4)]
    weights = round_weights(removal=depths, takeover=0.6e-6)[0]
    np.testing.assert_allclose(weights, 0.25, rtol=1e-4)
    assert depths == sorted(depths, reverse=True)


def test_lines_of_an_earlier_texture_fade_faster_than_it_and_those_of_the_last_round_do_not() -> None:
    weights = round_weights(removal=[3e-6, 0.3e-6], takeover=0.6e-6)[0]
    lines = texture_amplitudes(removal=[3e-6, 0.3e-6], takeover=0.6e-6)[0]
    assert lines[1] == weights[1]
    assert lines[0] == pytest.approx((1.0 - np.exp(-5.0)) * np.exp(-0.5 / 0.6))
    assert lines[0] < weights[0]


@pytest.mark.parametrize(("light", "zeros", "maxima"), [(0.3, 0.43, 0.57), (0.6, 0.18, 0.40), (1.0, 0.25, 0.40), (1.8, 0.51, 0.56)])
def test_a_heavy_round_and_a_light_one_keep_the_power_that_the_simulation_kept(light: float, zeros: float, maxima: float) -> None:
    """Fitted to: a pin of the fit, not evidence. Over the power of a heavy round alone; the simulation is sure to 0.1."""
    tap = texture_amplitudes(removal=[10.0, light], takeover=1.1)
    ideal = filtered_power(tap, offsets=[0.0, 0.002], frequency=[250.0, 500.0])
    kept = mixed_power(ideal=ideal, own=np.sum(tap**2, axis=-1))[0]
    print(f"light {light}: zeros {kept[0]:.2f} ({zeros}), maxima {kept[1]:.2f} ({maxima})")
    assert kept[0] == pytest.approx(zeros, abs=0.15)
    assert kept[1] == pytest.approx(maxima, abs=0.15)


def test_three_takeover_depths_hide_the_earlier_texture_but_not_its_relief() -> None:
    texture = round_weights(removal=[3e-6, 3e-6], takeover=0.6e-6)[0]
    relief = relief_amplitudes(removal=[3e-6, 3e-6], fill_depth=20e-6)[0]
    assert texture[0] < 0.01 < 0.5 < relief[0] / relief[1]


def test_one_round_leaves_its_removal_less_what_it_has_filled_again() -> None:
    removal, fill = 12e-6, 20e-6
    expected = removal * (1.0 - np.exp(-removal / fill)) / (removal / fill)
    assert float(relief_amplitudes(removal=[removal], fill_depth=fill)[0, 0]) == pytest.approx(expected, rel=1e-12)
    assert float(relief_amplitudes(removal=[1e-9], fill_depth=fill)[0, 0]) == pytest.approx(1e-9, rel=1e-4)


def test_the_filter_is_the_transform_of_its_taps() -> None:
    rng = np.random.default_rng(3)
    taps, places = rng.random((5, 4)), rng.random(4) * 0.03
    f = np.linspace(0.0, 2000.0, 77)
    direct = np.abs(np.sum(taps[:, :, None] * np.exp(-2j * np.pi * places[:, None] * f), axis=1)) ** 2
    np.testing.assert_allclose(filtered_power(taps, offsets=places, frequency=f), direct, atol=1e-12)


def test_rounds_in_one_place_add_up_and_far_errors_leave_the_sum_of_squares() -> None:
    taps = [0.2, 0.3, 0.5]
    f = np.asarray([300.0, 3000.0])
    np.testing.assert_allclose(filtered_power(taps, offsets=[0.0, 0.0, 0.0], frequency=f), 1.0)
    loose = filtered_power(taps, offsets=[0.0, 0.0, 0.0], frequency=f, offset_error=0.01)
    np.testing.assert_allclose(loose, 0.38)


def test_drawn_errors_average_to_the_closed_form() -> None:
    rng = np.random.default_rng(5)
    taps, places, error, f = np.asarray([0.5, 0.3, 0.2]), np.asarray([0.0, 0.002, 0.005]), 0.0004, np.asarray([150.0, 400.0])
    moved = places + rng.normal(0.0, error, (40_000, 3))
    drawn = np.mean(np.abs(np.sum(taps[None, :, None] * np.exp(-2j * np.pi * moved[:, :, None] * f), axis=1)) ** 2, axis=0)
    np.testing.assert_allclose(filtered_power(taps, offsets=places, frequency=f, offset_error=error)[0], drawn, atol=0.005)


def test_a_band_of_frequencies_averages_the_fringes() -> None:
    f, width = 400.0, 120.0
    fine = np.linspace(f - width / 2.0, f + width / 2.0, 20001)
    mean = filtered_power([0.6, 0.4], offsets=[0.0, 0.011], frequency=fine).mean()
    ours = filtered_power([0.6, 0.4], offsets=[0.0, 0.011], frequency=[f], bandwidth=[width])
    assert float(ours[0, 0]) == pytest.approx(mean, abs=1e-4)


def test_one_round_is_not_filtered() -> None:
    f = np.asarray([0.0, 100.0, 5000.0])
    ideal = filtered_power([1.0], offsets=[0.01], frequency=f)
    np.testing.assert_allclose(mixed_power(ideal=ideal, own=np.asarray([1.0])), 1.0)


@pytest.mark.parametrize(
    "change", [{"offsets": [0.0]}, {"frequency": [-1.0]}, {"offset_error": -1.0}, {"offsets": [0.0, np.nan]}, {"offset_error": np.nan}]
)
def test_a_filter_without_sense_is_refused(change: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="one offset per round"):
        filtered_power([0.5, 0.5], **{"offsets": [0.0, 0.1], "frequency": [1.0], **change})  # type: ignore[arg-type]


@pytest.mark.parametrize(("removal", "takeover"), [([-1e-6], 1e-6), ([np.nan], 1e-6), ([1e-6], 0.0)])
def test_shares_of_impossible_rounds_are_refused(removal: list[float], takeover: float) -> None:
    with pytest.raises(ValueError, match="removal"):
        round_weights(removal=removal, takeover=takeover)


def test_the_bessel_function_agrees_with_a_library() -> None:
    x = np.linspace(-80.0, 80.0, 4001)
    np.testing.assert_allclose(bessel_zero(x), special.j0(x), atol=1e-7)
    with pytest.raises(ValueError, match="x must"):
        bessel_zero(np.nan)


def test_dither_leaves_the_mean_of_the_turning_phase() -> None:
    phase = np.linspace(0.0, 2.0 * np.pi, 20001)[:-1]
    mean = np.abs(np.mean(np.exp(2j * np.pi * 300.0 * 0.0008 * np.sin(phase)))) ** 2
    assert float(dither_power(frequency=[300.0], amplitude=0.0008)[0, 0]) == pytest.approx(mean, abs=1e-6)
    assert float(dither_power(frequency=[300.0], amplitude=0.0)[0, 0]) == 1.0


def test_a_fast_swing_is_not_a_slow_one() -> None:
    slow = dither_is_slow(amplitude=0.001, length=np.asarray([5.0, 0.2]), patch_length=0.02, groove_width=50e-6)
    assert slow.tolist() == [True, False]
    with pytest.raises(ValueError, match="length"):
        dither_is_slow(amplitude=0.001, length=0.0, patch_length=0.02, groove_width=50e-6)
