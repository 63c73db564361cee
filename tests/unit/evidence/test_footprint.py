import math

import numpy as np
import pytest

from evenlay.evidence.footprint import fit_profile, from_lengths
from evenlay.evidence.outline import trapezoid
from evenlay.physics.contact.profile import profile_widths
from evenlay.quantities.known import Value

RAMP = Value(5e-3, 2e-3, 12e-3, "guess", "day zero")
Y = np.linspace(-0.040, 0.040, 81)


def profile(ramp_left=5e-3, ramp_right=5e-3, *, y=Y, noise=0.0, unevenness=0.0, seed=1, width=0.050, height=3e-6):
    random = np.random.default_rng(seed)
    shape = trapezoid(y, left=-0.5 * width, right=0.5 * width, ramp_left=ramp_left, ramp_right=ramp_right)
    waves = 1.0 + unevenness * np.sin(2.0 * np.pi * y / 0.011 + 6.0 * random.random())
    return height * (shape * waves + noise * random.standard_normal(y.size))


def codes(fit):
    return [remark.code for remark in fit.remarks]


def test_a_clean_trapezoid_comes_back_as_it_was():
    fit = fit_profile(Y, profile(4e-3, 7e-3))
    assert fit.half_depth_width.number == pytest.approx(0.050, abs=2e-5)
    assert fit.ramp_left.number == pytest.approx(4e-3, abs=2e-5)
    assert fit.ramp_right.number == pytest.approx(7e-3, abs=2e-5)
    assert fit.ramp.number == pytest.approx(5.5e-3, abs=2e-5)
    assert fit.asymmetry.number == pytest.approx(3.0 / 11.0, abs=5e-3)
    assert fit.height == pytest.approx(3e-6, rel=1e-3)
    assert fit.baseline == pytest.approx(0.0, abs=1e-8)
    assert fit.remarks == ()
    assert fit.ramp.known == "measured"


def test_width_and_ramp_are_those_of_the_one_definition():
    y = np.linspace(-0.04, 0.04, 401)
    clean = profile(4e-3, 7e-3, y=y)
    width, left, right = profile_widths(y, clean[None, :])
    fit = fit_profile(y, clean)
    # A tenth of a ramp between two points 0.2 mm apart is where the definition reads: half a spacing over a ramp.
    assert fit.half_depth_width.number == pytest.approx(float(width[0]), abs=5e-5)
    assert fit.ramp_left.number == pytest.approx(float(left[0]), abs=1e-4)
    assert fit.ramp_right.number == pytest.approx(float(right[0]), abs=1e-4)


def test_unit_offset_side_and_order_of_the_points_do_not_matter():
    noisy = profile(4e-3, 7e-3, noise=0.03)
    plain = fit_profile(Y, noisy)
    shuffled = np.random.default_rng(2).permutation(Y.size)
    moved = fit_profile(Y[shuffled] + 0.3, 1e6 * noisy[shuffled] - 40.0)
    turned = fit_profile(-Y, noisy)
    assert moved.ramp.number == pytest.approx(plain.ramp.number, rel=1e-6)
    assert moved.centre - 0.3 == pytest.approx(plain.centre, abs=1e-8)
    assert turned.ramp_left.number == pytest.approx(plain.ramp_right.number, rel=0.02)
    assert turned.asymmetry.number == pytest.approx(-plain.asymmetry.number, abs=0.01)


@pytest.mark.parametrize(
    ("noise", "unevenness", "ramps"), [(0.03, 0.0, (5e-3, 5e-3)), (0.10, 0.0, (3e-3, 8e-3)), (0.04, 0.06, (5e-3, 5e-3))]
)
def test_bands_of_noisy_uneven_prints_hold_the_truth_about_nine_times_in_ten(noise, unevenness, ramps):
    random = np.random.default_rng(11)
    runs = 50
    held = {"width": 0, "ramp": 0}
    for run in range(runs):
        # The ramp of a print scatters by 5 % from print to print, and the ruler by 0.5 %: both are in the bands.
        print_to_print = 1.0 + 0.05 * random.standard_normal()
        ruler = 1.0 + 0.005 * random.standard_normal()
        depth = profile(*(ramp * print_to_print for ramp in ramps), noise=noise, unevenness=unevenness, seed=run)
        fit = fit_profile(Y * ruler, depth)
        held["width"] += fit.half_depth_width.low <= 0.050 <= fit.half_depth_width.high
        held["ramp"] += fit.ramp.low <= 0.5 * sum(ramps) <= fit.ramp.high
    print(f"noise {noise}, unevenness {unevenness}, ramps {ramps}: {held} of {runs}")
    # Three standard deviations of 50 runs at 90 % are 13 %; a wave is not the noise the fit assumes, so it may be careful.
    assert held["width"] >= 0.77 * runs
    assert held["ramp"] >= 0.77 * runs


def test_several_prints_narrow_the_ramp():
    one = fit_profile(Y, profile(noise=0.08, seed=1))
    three = fit_profile(Y, [profile(noise=0.08, seed=seed) for seed in (1, 2, 3)])
    assert three.ramp.high - three.ramp.low < one.ramp.high - one.ramp.low
    assert "3 prints" in three.ramp.source


def test_prints_that_differ_show_their_own_scatter():
    alike = fit_profile(Y, [profile(5e-3, 5e-3, noise=0.02, seed=seed) for seed in (1, 2, 3)])
    unlike = fit_profile(Y, [profile(ramp, ramp, noise=0.02, seed=1) for ramp in (3e-3, 5e-3, 7e-3)])
    assert unlike.ramp.high - unlike.ramp.low > 1.5 * (alike.ramp.high - alike.ramp.low)


def test_a_dense_profile_is_averaged_and_gives_the_same_answer():
    dense = np.linspace(-0.04, 0.04, 20_001)
    fit = fit_profile(dense, profile(4e-3, 7e-3, y=dense, noise=0.2))
    assert fit.ramp.number == pytest.approx(5.5e-3, rel=0.05)
    assert fit.half_depth_width.number == pytest.approx(0.050, rel=5e-3)


def test_a_ramp_finer_than_the_spacing_is_bounded_and_doubted():
    fit = fit_profile(Y, profile(2e-4, 2e-4, noise=0.01, width=0.0507))
    assert "footprint-few-points" in codes(fit)
    assert fit.ramp.low <= 2e-4 <= fit.ramp.high
    assert fit.ramp.high < 3e-3


def test_a_profile_that_ends_on_the_ramp_is_doubted():
    assert "footprint-no-baseline" in codes(fit_profile(np.linspace(-0.027, 0.027, 55), profile(y=np.linspace(-0.027, 0.027, 55))))


def test_noise_above_thirty_per_cent_is_doubted():
    assert "footprint-noisy" in codes(fit_profile(Y, profile(noise=0.4, seed=3)))
    assert "footprint-noisy" not in codes(fit_profile(Y, profile(noise=0.2, seed=3)))


def test_two_humps_are_seen_and_noise_is_not_taken_for_them():
    slotted = profile(noise=0.03)
    slotted[np.abs(Y) < 6e-3] *= 0.3
    assert "footprint-two-humps" in codes(fit_profile(Y, slotted))
    alarms = sum("footprint-two-humps" in codes(fit_profile(Y, profile(noise=0.2, seed=seed))) for seed in range(12))
    assert alarms == 0


def test_a_tilted_wheel_is_seen():
    fit = fit_profile(Y, profile(noise=0.02) * (1.0 + 6.0 * Y))
    assert "footprint-tilted" in codes(fit)
    assert fit.tilt == pytest.approx(0.3, abs=0.06)
    assert fit.half_depth_width.number == pytest.approx(0.050, abs=1e-3)


def test_unevenness_widens_the_band():
    even, uneven = fit_profile(Y, profile(noise=0.05)), fit_profile(Y, profile(unevenness=0.07, noise=0.01))
    assert "footprint-uneven" in codes(uneven)
    assert uneven.ramp.high - uneven.ramp.low > even.ramp.high - even.ramp.low


def test_a_footprint_without_a_flat_part_is_doubted():
    assert "footprint-no-plateau" in codes(fit_profile(Y, profile(0.044, 0.044, width=0.046)))


def test_darkness_widens_the_ramp_and_says_so():
    depth, dark = fit_profile(Y, profile()), fit_profile(Y, profile(), from_darkness=True)
    assert "footprint-from-darkness" in codes(dark)
    assert dark.ramp.high / dark.ramp.low > 1.5 * depth.ramp.high / depth.ramp.low


@pytest.mark.parametrize(
    ("y", "depth", "words"),
    [
        (np.arange(5.0), np.arange(5.0), "too few"),
        (np.arange(20.0), np.arange(19.0), "belong together"),
        (np.arange(20.0), np.full(20, math.nan), "finite"),
        (np.zeros(20), np.arange(20.0), "positions of the footprint are the same"),
        (np.arange(20.0), np.zeros(20), "depths are all the same"),
        (np.arange(20.0).reshape(4, 5), np.zeros(20), "belong together"),
    ],
)
def test_what_is_no_footprint_is_refused_in_words(y, depth, words):
    with pytest.raises(ValueError, match=words):
        fit_profile(y, depth)


def test_a_spike_at_the_end_is_no_footprint():
    with pytest.raises(ValueError, match="no footprint stands out"):
        fit_profile(Y, np.r_[1.0, np.zeros(80)])


def test_three_numbers_give_patch_and_half_depth_width():
    sizes = from_lengths(lengths=[0.024], widths=[0.053], ramp=RAMP)
    assert sizes.patch_length.number == 0.024
    assert sizes.half_depth_width.number == pytest.approx(0.053 - 0.7 * 5e-3)
    assert sizes.half_depth_width.noise > sizes.patch_length.noise
    assert sizes.remarks == ()


def test_more_readings_narrow_and_readings_that_differ_widen():
    one = from_lengths(lengths=[0.024], widths=[0.053], ramp=RAMP).patch_length
    three = from_lengths(lengths=[0.024, 0.024, 0.024], widths=[0.053, 0.053], ramp=RAMP).patch_length
    apart = from_lengths(lengths=[0.018, 0.024, 0.030], widths=[0.053], ramp=RAMP).patch_length
    assert three.noise < one.noise < apart.noise
    assert three.freedom == 6.0


def test_a_print_narrower_than_the_ramps_is_doubted():
    sizes = from_lengths(lengths=[0.024], widths=[0.006], ramp=Value(9e-3, 5e-3, 15e-3, "guess", ""))
    assert [remark.code for remark in sizes.remarks] == ["footprint-no-plateau"]
    assert sizes.half_depth_width.number == pytest.approx(0.003)


@pytest.mark.parametrize("wrong", [[], [0.0], [-0.01], [math.nan], [0.02, math.inf]])
def test_sizes_of_a_print_that_cannot_be_are_refused(wrong):
    with pytest.raises(ValueError, match="length must be above zero"):
        from_lengths(lengths=wrong, widths=[0.05], ramp=RAMP)
    with pytest.raises(ValueError, match="width must be above zero"):
        from_lengths(lengths=[0.02], widths=wrong, ramp=RAMP)
