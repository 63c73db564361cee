"""
Trial simulation of belt lines, grain by grain: figures read; the order must hold, levels by the printed band.

The set-up was read except for the stock removed per pass. 40 um, where the table of gains ends, gives the unmasked figure (12-14) and is
used for all the others.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from evenlay.physics.lines import BeltLines, BeltMotion, GrainTrace, RoundSet, belt_line_visibility, mixed_power, texture_amplitudes
from evenlay.physics.texture import grain_engagement
from evenlay.physics.viewing import contrast_gains, observer_visibility

TRIAL = tomllib.loads((Path(__file__).parents[1] / "reference" / "line_trial.toml").read_text(encoding="utf-8"))
SETUP = TRIAL["setup"]
SHIFTED = [0.0, 0.011, 0.023, 0.007, 0.031, 0.017]
"""Offsets of six rounds; any that are not multiples of each other give the same order. [m]"""


def TRIAL_GAIN(removal) -> list[float]:  # noqa: N802 - the trial's table
    """Power of texture lines by removal, as read: 0.23 at 2 um, 0.60 above 40 um, straight in the logarithm between."""
    points = TRIAL["line_gain"]
    return [float(np.interp(np.log(depth), np.log(points["removal"]), points["gain"])) for depth in removal]


def grains():
    modulus = SETUP["young_modulus"] / (1.0 - SETUP["poisson"] ** 2)
    return grain_engagement(
        pressure=SETUP["pressure"],
        grain_density=SETUP["grain_density"],
        height_sd=SETUP["height_sd"],
        tip_radius=SETUP["tip_radius"],
        contact_modulus=modulus,
    )


def seen(
    *,
    length: float,
    feed: float = SETUP["feed"],
    speed: float = SETUP["speed"],
    removal=(SETUP["removal"],),
    offsets=(0.0,),
    unrepeated=0.0,
    **more,
) -> BeltLines:
    engaged = grains()
    return belt_line_visibility(
        motion=BeltMotion([length], speed, feed, SETUP["patch_length"]),
        grains=GrainTrace(engaged.active_density, engaged.fill_depth, SETUP["takeover_depth"], unrepeated),
        rounds=RoundSet(list(removal), list(offsets), TRIAL_GAIN(removal), **more),
        gains=contrast_gains(slope_rms=SETUP["slope_rms"], facet_spread=SETUP["facet_spread"], floor=SETUP["floor"]),
        distance=0.6,
    )


def tapering() -> list[float]:
    """Six rounds that end with equal shares of the texture."""
    return [-SETUP["takeover_depth"] * float(np.log1p(-share)) for share in (0.999, 1 / 2, 1 / 3, 1 / 4, 1 / 5, 1 / 6)]


def test_the_base_set_has_the_printed_active_grains() -> None:
    assert float(grains().active_density) == pytest.approx(
        TRIAL["active_grains"]["per_square_metre"], rel=TRIAL["active_grains"]["tolerance"]
    )


def test_softer_wheels_set_more_grains_to_work_within_the_printed_range() -> None:
    density = [
        float(
            grain_engagement(
                pressure=0.1e6, grain_density=15e6, height_sd=30e-6, tip_radius=60e-6, contact_modulus=modulus / 0.75
            ).active_density
        )
        for modulus in (0.5e6, 1e6, 5e6, 25e6)
    ]
    assert density == sorted(density, reverse=True)
    assert min(density) > 0.9e6 and max(density) < 17e6


def test_a_longer_belt_prints_fainter_lines() -> None:
    visibility = [float(seen(length=length).visibility[0]) for length in TRIAL["belts"]["length"]]
    assert visibility == sorted(visibility, reverse=True)


def test_single_passes_lie_in_the_printed_band_around_the_closed_form() -> None:
    low_ratio, high_ratio = TRIAL["ratio"]
    slack = 1.0 + TRIAL["print_rounding"]
    belts = TRIAL["belts"]
    for length, low, high in zip(belts["length"], belts["low"], belts["high"], strict=True):
        closed = float(seen(length=length).visibility[0])
        print(f"belt {length} m: closed form {closed:.2f}, simulation {low}-{high}, ratio {low / closed:.2f}-{high / closed:.2f}")
        assert high / closed >= low_ratio / slack
        assert low / closed <= high_ratio * slack


def test_without_masking_a_short_belt_shows_twelve_to_fourteen_times() -> None:
    plain = float(seen(length=TRIAL["unmasked"]["length"]).plain_visibility[0])
    assert TRIAL["ratio"][0] <= TRIAL["unmasked"]["high"] / plain
    assert TRIAL["unmasked"]["low"] / plain <= TRIAL["ratio"][1] * (1.0 + TRIAL["print_rounding"])


def test_a_faster_feed_lowers_the_lines_to_the_printed_figure() -> None:
    row = TRIAL["faster_feed"]
    fast = float(seen(length=row["length"], feed=row["times"] * SETUP["feed"]).visibility[0])
    assert fast < float(seen(length=row["length"]).visibility[0])
    assert TRIAL["ratio"][0] / (1 + TRIAL["print_rounding"]) <= row["high"] / fast <= TRIAL["ratio"][1] * (1 + TRIAL["print_rounding"])


def test_at_usual_satin_settings_the_share_that_does_not_repeat_rules_the_number() -> None:
    row = TRIAL["usual_satin"]
    for share, about in zip(row["unrepeated"], row["about"], strict=True):
        value = float(seen(length=row["length"], feed=row["feed"], speed=row["speed"], unrepeated=share).visibility[0])
        print(f"usual satin, epsilon {share}: {value:.2f} (about {about})")
        assert value == pytest.approx(about, rel=row["tolerance"])


def test_tapering_shifted_rounds_show_less_than_heavy_shifted_ones() -> None:
    heavy = float(seen(length=0.5, removal=[SETUP["removal"]] * 6, offsets=SHIFTED).visibility[0])
    light = float(seen(length=0.5, removal=tapering(), offsets=SHIFTED).visibility[0])
    long = float(seen(length=2.0, removal=tapering(), offsets=SHIFTED).visibility[0])
    single = float(seen(length=0.5).visibility[0])
    assert light < 0.75 * heavy
    assert long < 0.5 * light
    # the last heavy round owns the texture; earlier ones add a little relief
    assert single <= heavy < 1.05 * single


def test_a_hand_stays_below_every_robot_pass_with_a_belt_up_to_two_metres() -> None:
    for removal in (0.5e-6, 1e-6, 2e-6, 10e-6, SETUP["removal"]):
        hand = float(seen(length=0.5, removal=[removal] * 6, offsets=SHIFTED, wander=0.002, offset_error=0.002).visibility[0])
        robot = [float(seen(length=length, removal=[removal]).visibility[0]) for length in (0.3, 0.5, 1.0, 2.0)]
        assert hand < min(robot)
    strokes = seen(length=0.5, removal=tapering(), offsets=SHIFTED, wander=0.002, offset_error=0.002)
    assert float(strokes.visibility[0]) < 1.0


def test_two_rounds_keep_less_power_than_the_trial_kept_and_that_is_known() -> None:
    """The trial had no ploughing. Ours, with it, fades earlier lines faster: 0.6 of the trial's power, 0.77 in visibility."""
    row = TRIAL["two_rounds"]
    last = 0.5 - np.sqrt(0.5 * row["sum_of_squares"] - 0.25)
    tap = texture_amplitudes(removal=[1.0, -np.log1p(-last)], takeover=1.0) / np.array([1.0 - np.exp(-1.0), 1.0])
    own = float(np.sum(tap**2))
    kept = mixed_power(ideal=np.array([[(tap[0, 0] - tap[0, 1]) ** 2, (tap[0, 0] + tap[0, 1]) ** 2]]), own=np.array([own]))[0]
    print("power kept at zeros and maxima:", kept.round(2), "trial:", row["kept"])
    assert np.all(kept < np.array(row["kept"]))
    assert np.all(kept > 0.4 * np.array(row["kept"]))


def test_an_overlap_edge_grows_from_one_arm_length_to_three_metres() -> None:
    y = np.arange(0.0, 0.24, 0.0005)
    edge = 0.01 * np.tanh((y - 0.12) / 0.005)
    near, far = (
        float(observer_visibility(edge, spacing=0.0005, distance=distance, noise=noise.noise))
        for distance, noise in ((0.6, seen(length=0.5)), (3.0, far_lines(3.0)))
    )
    print(f"overlap edge: {near:.2f} at 0.6 m, {far:.2f} at 3 m")
    assert far > 1.2 * near


def far_lines(distance: float) -> BeltLines:
    engaged = grains()
    return belt_line_visibility(
        motion=BeltMotion([0.5], SETUP["speed"], SETUP["feed"], SETUP["patch_length"]),
        grains=GrainTrace(engaged.active_density, engaged.fill_depth, SETUP["takeover_depth"]),
        rounds=RoundSet([SETUP["removal"]], [0.0], TRIAL_GAIN([SETUP["removal"]])),
        gains=contrast_gains(slope_rms=SETUP["slope_rms"], facet_spread=SETUP["facet_spread"], floor=SETUP["floor"]),
        distance=distance,
    )
