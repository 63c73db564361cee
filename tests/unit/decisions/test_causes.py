"""Laws that every cause in the register keeps, and those of each."""

import ast
import importlib
import math
import pkgutil
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from evenlay.decisions import causes
from evenlay.decisions.causes import REGISTER, Cause, Strength, Unmeasured
from evenlay.decisions.situation import UNKNOWN_NAMES
from evenlay.physics.contact.kinds import KINDS
from evenlay.physics.lines.belt import CONTROL_FLOOR, CONTROL_FLOOR_FOLLOWED
from evenlay.quantities.units import format_quantity

BY_KEY = {cause.key: cause for cause in REGISTER}
EVERY = pytest.mark.parametrize("cause", REGISTER, ids=lambda cause: cause.key)

AMPLITUDE = {
    "joint": ("joint_step", (0.0, 10e-6, 30e-6, 80e-6)),
    "wheel": ("wheel_runout", (0.0, 20e-6, 50e-6, 100e-6)),
    "chatter": ("chatter_share", (1e-9, 0.02, 0.05, 0.2)),
    "feed-dip": ("feed_dip", (1e-9, 0.1, 0.2, 0.4)),
    "device": ("force_error", (0.0, 0.5, 2.0, 5.0)),
}
"""The unknown that sets how strong a cause is, rising from (nearly) nothing."""


def strength_of(world, key, *, count=5, setup=None, settings=None, **changes):
    state, eye = world.situation(count, setup=setup, settings=settings, **changes)
    return BY_KEY[key].strength(state, eye)


def modules_with_a_cause():
    found = {}
    for module in pkgutil.iter_modules(causes.__path__):
        loaded = importlib.import_module(f"evenlay.decisions.causes.{module.name}")
        if isinstance(getattr(loaded, "CAUSE", None), Cause):
            found[module.name] = loaded.CAUSE
    return found


def test_every_module_with_a_cause_stands_in_the_register_and_the_register_holds_nothing_else():
    assert set(modules_with_a_cause().values()) == set(REGISTER)
    assert len(REGISTER) == len(set(REGISTER))


def test_a_module_that_defines_a_cause_names_it_cause():
    for path in Path(causes.__path__[0]).glob("*.py"):
        calls = [
            node for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Cause"
        ]
        assert len(calls) == (1 if path.stem in modules_with_a_cause() else 0), path.name


def test_keys_and_labels_are_told_apart_and_keys_can_be_typed():
    assert len(BY_KEY) == len(REGISTER)
    assert len({cause.label for cause in REGISTER}) == len(REGISTER)
    for key in BY_KEY:
        assert key == key.lower()
        assert key.replace("-", "").isalpha()


@EVERY
def test_every_cause_says_where_it_lies_how_long_it_stays_what_helps_what_that_costs_and_how_to_tell(cause):
    assert cause.direction in ("across", "along")
    for words in (cause.label, cause.memory, cause.place, cause.remedy, cause.remedy_cost, cause.check):
        assert words.strip()
    assert "texture" in cause.memory or "relief" in cause.memory
    assert cause.check.endswith(".")


@EVERY
def test_every_spacing_is_a_length_above_zero_for_every_draw_and_named_apart(world, cause):
    patch = np.full(6, 0.02)
    pitches = cause.pitches(world.setup, world.settings, patch)
    assert len({pitch.name for pitch in pitches}) == len(pitches)
    for pitch in pitches:
        assert pitch.value.shape == (6,)
        assert np.all((pitch.value > 0.0) & np.isfinite(pitch.value))


@EVERY
def test_every_strength_is_finite_and_has_a_chain_that_ends_in_it(world, cause):
    state, eye = world.situation(31)
    strength = cause.strength(state, eye)
    assert isinstance(strength, Strength)
    assert strength.visibility.shape == (32,)
    assert np.all(np.isfinite(strength.visibility))
    assert np.all(strength.visibility >= 0.0)
    assert len(strength.chain) >= 4
    last = strength.chain[-1]
    assert last.number is strength.visibility
    assert last.unit == "ratio"
    assert "just-visible" in last.name
    assert any(link.name.startswith("contrast") for link in strength.chain)
    for link in strength.chain:
        assert link.number.shape == (32,)
        assert np.all(np.isfinite(link.number))
        assert set(link.rests_on) <= set(UNKNOWN_NAMES)
        assert link.rests_on
        assert format_quantity(float(link.number[0]), link.unit)
    assert strength.claim[0] <= strength.claim[1]


@EVERY
def test_a_chain_grows_with_what_it_rests_on(world, cause):
    # What a later link rests on is at least what its last one rests on together with nothing forgotten: the way of knowing is inherited.
    state, eye = world.situation(5)
    chain = cause.strength(state, eye).chain
    every = set().union(*(link.rests_on for link in chain[:-1] if link.name.startswith(("contrast", "swing of the slopes"))))
    assert every <= {*chain[-1].rests_on, "texture_memory", "groove_coefficient", "removal_coefficient"}


@EVERY
@pytest.mark.parametrize("name", UNKNOWN_NAMES)
def test_a_strength_moves_with_no_unknown_that_its_chain_does_not_name(world, cause, name):
    base = strength_of(world, cause.key, count=2)
    number = world.values()[name].number
    moved = strength_of(world, cause.key, count=2, **{name: 0.9 * number if number else 1e-3})
    named = set().union(*(link.rests_on for link in base.chain))
    if name not in named and name not in BEHIND:
        assert moved.visibility[0] == pytest.approx(base.visibility[0], rel=1e-9), name


BEHIND = {
    "line_gain", "grain_density", "grain_height_sd", "grain_tip_radius", "modulus", "poisson",
    "texture_memory", "groove_coefficient", "removal_coefficient",
    "inflation", "casing_stiffness", "path_error", "belt_wander", "hand_wander",
}  # fmt: skip
"""What acts through the masking texture and the contact on every cause; a chain names of these only what moves it most."""


@EVERY
def test_draw_0_is_the_strength_of_the_central_job(world, cause):
    many = strength_of(world, cause.key, count=31)
    still = {name: value.number for name, value in world.values().items()}
    alone = strength_of(world, cause.key, count=2, **still)
    assert many.visibility[0] == pytest.approx(alone.visibility[0], rel=1e-6)


@EVERY
def test_the_same_state_gives_the_same_bytes(world, same_bytes, cause):
    one, other = (strength_of(world, cause.key, count=5) for _ in range(2))
    assert same_bytes(one.visibility, other.visibility)
    assert same_bytes([link.number for link in one.chain], [link.number for link in other.chain])


@pytest.mark.parametrize("key", AMPLITUDE)
def test_a_strength_rises_with_its_amplitude_from_nothing(world, key):
    name, amplitudes = AMPLITUDE[key]
    seen = [strength_of(world, key, **{name: amplitude}).visibility for amplitude in amplitudes]
    assert np.all(seen[0] < 1e-6)
    for less, more in pairwise(seen):
        assert np.all(more > less)


@pytest.mark.parametrize("key", ["joint", "wheel", "chatter", "device"])
def test_a_small_strength_is_proportional_to_its_amplitude(world, key):
    name, amplitudes = AMPLITUDE[key]
    one, two = (strength_of(world, key, **{name: factor * 1e-5 * amplitudes[2]}).visibility for factor in (1.0, 2.0))
    assert two == pytest.approx(2.0 * one, rel=1e-4)


@pytest.mark.parametrize("key", ["joint", "wheel"])
def test_the_pressure_never_swings_by_more_than_the_load(world, key):
    # A metre of step or run-out: the whole load goes through the joint, or the wheel has lifted off half of the time.
    state, eye = world.situation(5, **{AMPLITUDE[key][0]: 1.0})
    chain = BY_KEY[key].strength(state, eye).chain
    assert np.all(chain[1].number <= np.maximum(state.last.patch_length / 0.015, 1.0))
    assert np.all(chain[1].number > 0.99 * (1.0 if key == "wheel" else 0.0))
    assert np.all(chain[1].number <= (1.0 if key == "wheel" else np.inf))


@pytest.mark.parametrize(
    ("key", "setup", "unknowns"),
    [
        ("chatter", {"chatter_frequency": math.nan}, {}),
        ("chatter", {}, {"chatter_share": 0.0}),
        ("feed-dip", {"feed_dip_length": math.nan}, {}),
        ("feed-dip", {}, {"feed_dip": 0.0}),
        ("device", {"device_bandwidth": math.nan}, {}),
    ],
)
def test_an_amplitude_that_nobody_measured_gives_what_to_measure_and_never_a_number(world, key, setup, unknowns):
    found = strength_of(world, key, setup=replace(world.setup, **setup), **unknowns)
    assert isinstance(found, Unmeasured)
    assert found.measure


@pytest.mark.parametrize("key", ["chatter", "feed-dip", "device"])
def test_a_cause_whose_clock_is_not_known_has_no_spacing(world, key):
    unknown = replace(world.setup, chatter_frequency=math.nan, feed_dip_length=math.nan, device_bandwidth=math.nan)
    assert BY_KEY[key].pitches(unknown, world.settings, np.full(1, 0.02)) == ()


@pytest.mark.parametrize("kind", KINDS)
def test_only_what_turns_a_wheel_can_print_one(world, kind):
    setup = world.with_setup(wheel_kind=kind)
    wheel = BY_KEY["wheel"]
    turns = kind not in ("slack", "platen")
    assert wheel.applies(setup) is turns
    assert bool(wheel.pitches(setup, world.settings, np.full(1, 0.02))) is turns
    for cause in REGISTER:
        assert cause.applies(setup) is (turns or cause is not wheel)


def test_without_a_wheel_the_wheels_strength_is_no_number(world):
    found = strength_of(world, "wheel", setup=world.with_setup(wheel_kind="platen"), settings=world.settings.with_(force=20.0))
    assert isinstance(found, Unmeasured)


def test_spacings_are_those_of_the_clocks(world):
    patch = np.full(1, 0.02)

    def first(key):
        return {pitch.name: float(pitch.value[0]) for pitch in BY_KEY[key].pitches(world.setup, world.settings, patch)}

    assert first("joint")["every turn of the belt"] == pytest.approx(0.12 * 1.5 / 18.0)
    wheel = list(first("wheel").values())
    assert wheel == pytest.approx([0.12 * math.pi * 0.15 / 18.0 / order for order in (1, 2, 3)])
    assert list(first("chatter").values()) == pytest.approx([0.12 / 60.0])
    assert list(first("device").values()) == pytest.approx([0.12 / 10.0])
    assert list(first("overlap").values()) == pytest.approx([0.025, 0.0125])
    assert list(first("feed-dip").values()) == pytest.approx([0.04])
    assert first("belt-lines") == {}


def test_one_round_has_no_shifted_step_over(world):
    single = world.settings.with_(offsets=(0.0,))
    (only,) = BY_KEY["overlap"].pitches(world.setup, single, np.full(1, 0.02))
    assert only.value[0] == pytest.approx(0.025)


def test_a_thirty_per_cent_dip_is_forty_three_per_cent_of_over_removal(world):
    chain = strength_of(world, "feed-dip", feed_dip=0.3).chain
    (extra,) = [link for link in chain if link.name == "local over-removal"]
    assert extra.number == pytest.approx(np.full(6, 0.3 / 0.7))


def test_a_wheels_swing_is_half_its_run_out_over_the_compliance(world):
    state, eye = world.situation(5)
    chain = BY_KEY["wheel"].strength(state, eye).chain
    swing = chain[1].number
    assert swing == pytest.approx(0.5 * state.unknowns.wheel_runout * state.last.stiffness / state.settings.forces[-1])


def test_a_joint_acts_for_one_patch_length_a_turn(world):
    state, eye = world.situation(5)
    chain = BY_KEY["joint"].strength(state, eye).chain
    rise = state.unknowns.joint_step * state.last.stiffness / state.settings.forces[-1]
    share = state.last.patch_length / 1.5
    first = 2.0 * share * np.sinc(share)
    assert np.all(chain[1].number < rise)
    assert chain[2].number == pytest.approx(chain[1].number * first)
    _, faint = world.situation(5, joint_step=1e-9)
    least = BY_KEY["joint"].strength(world.situation(5, joint_step=1e-9)[0], faint).chain
    assert least[1].number == pytest.approx(1e-9 * state.last.stiffness / state.settings.forces[-1], rel=1e-3)


@pytest.mark.parametrize("key", ["joint", "wheel", "chatter", "device"])
def test_contrasts_of_slopes_and_of_tilt_add_as_squares(world, key):
    state, eye = world.situation(5)
    links = {link.name: link.number for link in BY_KEY[key].strength(state, eye).chain}
    slope, tilt = eye.slope_gain * links["swing of the slopes"], eye.tilt_gain_along * links["tilt of the relief"]
    assert np.all(tilt > 1e-5 * slope)
    assert links["contrast at the worst tilt"] == pytest.approx(np.sqrt(slope**2 + tilt**2))


def test_a_softer_wheel_prints_a_fainter_joint_and_run_out(world):
    for key in ("joint", "wheel"):
        soft, hard = (strength_of(world, key, casing_stiffness=stiffness).visibility for stiffness in (5e6, 100e6))
        assert np.all(soft < hard)


def test_a_patch_as_long_as_the_spacing_smooths_a_swing_away(world):
    # Chatter whose spacing is the patch itself, against one three times as long, at one and the same swing.
    state, _ = world.situation(2, texture_memory=1.0)
    patch = float(state.last.patch_length[0])

    def tilt(pitch):
        setup = world.with_setup(chatter_frequency=0.12 / pitch)
        return strength_of(world, "chatter", count=2, setup=setup, texture_memory=1.0).chain[2].number[0]

    assert tilt(patch) < 1e-3 * tilt(1.5 * patch)


def test_overlap_is_claimed_within_what_a_simulation_found_and_belt_lines_too(world):
    assert strength_of(world, "overlap").claim == (0.3, 2.3)
    assert strength_of(world, "belt-lines").claim == (0.8, 1.05)


def test_belt_lines_stand_beside_their_control_and_a_hand_has_the_control_of_followed_lines(world):
    robot = strength_of(world, "belt-lines")
    hand = strength_of(world, "belt-lines", hand_wander=2e-3)
    assert robot.control == CONTROL_FLOOR
    assert hand.control == CONTROL_FLOOR_FOLLOWED
    assert hand.claim[1] == 1.3
    assert np.all(hand.visibility < robot.visibility)


def test_masking_takes_from_belt_lines(world):
    chain = strength_of(world, "belt-lines").chain
    assert np.all(chain[-1].number < chain[-2].number)


def test_overlap_falls_with_a_softer_edge_and_grows_with_path_error(world):
    hard, soft = (strength_of(world, "overlap", edge_ramp=ramp, path_error=1e-3).visibility[0] for ramp in (2e-3, 12e-3))
    assert soft < hard
    still, shaky = (strength_of(world, "overlap", count=31, path_error=error, belt_wander=0.0).visibility for error in (0.0, 2e-3))
    assert np.median(shaky) > np.median(still)


def test_overlap_of_an_even_lay_without_any_error_and_without_texture_change_is_faint(world):
    even = world.settings.with_(step_over=0.05, offsets=(0.0,), taper=1.0)
    quiet = {"path_error": 0.0, "belt_wander": 0.0, "pressure_exponent": 0.0, "incoming_slope": 1.0}
    assert np.all(strength_of(world, "overlap", settings=even, **quiet).visibility < 0.2)
