"""One candidate over all draws: worst line, time, limits."""

import math
from dataclasses import replace

import numpy as np
import pytest

from evenlay.decisions.causes import REGISTER, Strength, Unmeasured
from evenlay.decisions.evaluate import (
    INCOMING,
    INCOMING_LEFT,
    NERVOUS,
    at_risk,
    breaches_of,
    evaluate,
    face_time,
    level_of,
    margins_of,
    outline,
    passes_of,
    quantile,
    score,
    score_of,
)
from evenlay.physics.contact.kinds import KINDS, NoContact


def margins(world, settings=None, *, setup=None, bounds=None, count=31, **changes):
    bench = world.bench(count, setup=setup, bounds=bounds, **changes)
    found = evaluate(bench, settings or world.settings)
    return {each.name: each for each in margins_of(found, bench.bounds, bench.weights)}


def breaches(world, *, settings=None, bounds=None, count=31, **changes):
    bench = world.bench(count, bounds=bounds, **changes)
    return dict(breaches_of(evaluate(bench, settings or world.settings), bench.bounds, bench.weights))


def risks(world, *, bounds=None, count=31, **changes):
    bench = world.bench(count, bounds=bounds, **changes)
    return {each.name for each in at_risk(evaluate(bench, world.settings), bench.bounds, bench.weights)}


def test_every_cause_is_evaluated_and_the_worst_is_the_worst_of_each_draw(world):
    found = evaluate(world.bench(31), world.settings)
    assert list(found.strengths) == [cause.key for cause in REGISTER]
    every = np.stack([strength.visibility for strength in found.strengths.values()])
    assert np.array_equal(found.worst, every.max(axis=0))
    assert found.strengths[found.binding].visibility[0] == found.worst[0]


def test_causes_of_unknown_strength_take_no_part(world):
    unknown = replace(world.setup, chatter_frequency=math.nan, feed_dip_length=math.nan, device_bandwidth=math.nan)
    found = evaluate(world.bench(5, setup=unknown), world.settings)
    assert {key for key, strength in found.strengths.items() if isinstance(strength, Unmeasured)} == {"chatter", "feed-dip", "device"}
    assert np.all(np.isfinite(found.worst))
    assert isinstance(found.strengths[found.binding], Strength)


@pytest.mark.parametrize("kind", KINDS)
def test_every_wheel_kind_gives_an_answer_on_a_convex_strip(world, kind):
    setup = world.with_setup(wheel_kind=kind, curvature_along=1.0 / 0.3)
    sleeve = {"belt_tension": 0.0} if kind == "expander" else {}
    found = evaluate(world.bench(31, setup=setup, **sleeve), world.settings.with_(force=20.0))
    assert np.all(np.isfinite(found.worst))
    assert face_time(found.state) > 0.0


def test_a_bench_with_contacts_already_solved_gives_the_same_bytes(world, same_bytes):
    bench = world.bench(31)
    evaluate(bench, world.settings)
    assert bench.solved
    again, fresh = evaluate(bench, world.settings), evaluate(world.bench(31), world.settings)
    assert same_bytes(again.worst, fresh.worst)
    assert same_bytes(again.strengths["overlap"].visibility, fresh.strengths["overlap"].visibility)
    assert score(bench, world.settings, thorough=True) == score(world.bench(31), world.settings, thorough=True)


def test_the_time_of_a_face_is_that_of_its_passes(world):
    found = evaluate(world.bench(5), world.settings)
    count = passes_of(found.state)
    assert face_time(found.state) == pytest.approx(count * ((0.42 + 2 * 0.05) / 0.12 + 1.5) - 1.5, rel=0.02)
    # Two rounds of 300 mm at 25 mm, with what it takes to run past both edges.
    assert 2 * 12 <= count <= 2 * 16


def test_an_outline_has_the_time_of_the_whole(world):
    bench = world.bench(31)
    assert outline(bench, world.settings)[0] == face_time(evaluate(bench, world.settings).state)


def test_the_level_is_the_visibility_kept_with_the_asked_probability(world):
    bench = world.bench(131)
    found = evaluate(bench, world.settings)
    level = level_of(bench, found.worst)
    assert np.mean(found.worst[1:] <= level) == pytest.approx(0.9, abs=0.02)
    sure = replace(bench, bounds=world.with_bounds(probability=0.99))
    assert level_of(sure, found.worst) > level


def test_the_eye_belongs_to_the_level_only_once_it_is_calibrated(world):
    bench = world.bench(131)
    calibrated = replace(bench, bounds=world.with_bounds(eye_counts=True))
    plain, counted = (evaluate(each, world.settings) for each in (bench, calibrated))
    assert counted.worst == pytest.approx(plain.worst * bench.unknowns.eye)
    assert level_of(calibrated, counted.worst) == pytest.approx(quantile((plain.worst * bench.unknowns.eye)[1:], 0.9, bench.weights))
    for key, strength in counted.strengths.items():
        assert strength.visibility == pytest.approx(plain.strengths[key].visibility * bench.unknowns.eye)
        assert strength.chain[-1].number is strength.visibility
        assert "eye" in strength.chain[-1].rests_on
        assert "eye" not in plain.strengths[key].chain[-1].rests_on
    assert outline(calibrated, world.settings)[1] <= score(calibrated, world.settings).level


def test_levels_and_margins_follow_the_weights_of_the_draws(world):
    bench = world.bench(31)
    seen = evaluate(bench, world.settings).worst
    strongest = np.where(seen[1:] >= np.median(seen[1:]), 1.0, 1e-9)
    heavy = replace(bench, weights=strongest / strongest.sum())
    assert level_of(heavy, seen) > level_of(bench, seen)


def test_margins_are_worked_out_by_hand(world):
    rows = margins(world)
    assert set(rows) == {
        "stock removed",
        "Ra",
        "drive power",
        "drive torque",
        "rotation of the wheel",
        "wheel lifting off at its run-out",
        INCOMING,
    }
    forces = world.settings.forces
    assert rows["stock removed"].central == pytest.approx(1e-11 * 18.0 * sum(forces) / (0.12 * 0.025))
    assert rows["drive power"].central == pytest.approx(0.4 * 40.0 * 18.0)
    assert rows["drive torque"].central == pytest.approx(0.4 * 40.0 * 0.075)
    assert rows["Ra"].central == pytest.approx(0.8e-6)
    state = evaluate(world.bench(31), world.settings).state
    assert rows["wheel lifting off at its run-out"].central == pytest.approx(0.5 * 50e-6 * state.last.stiffness[0] / forces[-1])


def test_without_limits_only_a_lifting_wheel_or_a_face_not_finished_can_be_a_breach(world):
    bounded = {name for name, row in margins(world).items() if math.isfinite(row.limit)}
    assert bounded == {"wheel lifting off at its run-out", INCOMING}


def test_a_light_cut_leaves_the_incoming_texture_and_is_no_plan(world):
    light = world.settings.with_(feed=1.0, force=10.0, offsets=(0.0,))
    found = breaches(world, settings=light)
    left = found[INCOMING]
    assert left > 0.0
    share = margins(world, light)[INCOMING].central
    assert left == pytest.approx(share / INCOMING_LEFT - 1.0)


def test_a_hard_wheel_with_run_out_lifts_off_under_a_light_force(world):
    found = breaches(world, settings=world.settings.with_(force=5.0), wheel_runout=0.3e-3, casing_stiffness=100e6)
    assert found["wheel lifting off at its run-out"] > 0.0


LIMITS = [
    ("removal", "stock removed", 1e-11 * 18.0 * 40.0 * 1.6 / (0.12 * 0.025)),
    ("roughness", "Ra", 0.8e-6),
    ("power", "drive power", 288.0),
    ("torque", "drive torque", 1.2),
]


@pytest.mark.parametrize(("field", "name", "central"), LIMITS)
def test_a_limit_is_broken_by_its_excess_over_the_central_value(world, field, name, central):
    over = breaches(world, bounds=world.with_bounds(**{field: central / 1.25}))
    assert over == {name: pytest.approx(0.25, rel=1e-6)}
    assert breaches(world, bounds=world.with_bounds(**{field: 1.0001 * central})) == {}


@pytest.mark.parametrize(("field", "name", "central"), LIMITS)
def test_a_limit_that_only_the_band_reaches_is_at_risk_and_not_broken(world, field, name, central):
    bounds = world.with_bounds(**{field: 1.02 * central})
    assert name in risks(world, bounds=bounds)
    assert breaches(world, bounds=bounds) == {}
    assert name not in risks(world, bounds=world.with_bounds(**{field: 20.0 * central}))
    # What is broken is not called at risk as well.
    assert name not in risks(world, bounds=world.with_bounds(**{field: central / 1.25}))


def test_the_16_per_cent_rule_is_milder_than_the_maximum_rule(world):
    mild, strict = (margins(world, bounds=world.with_bounds(sixteen_percent=rule), count=521)["Ra"] for rule in (True, False))
    assert mild.central == strict.central
    assert mild.likely < strict.likely
    draws = world.draws(521).unknowns.roughness[1:]
    assert mild.likely == pytest.approx(np.quantile(draws, 0.84), rel=0.01)
    assert strict.likely == pytest.approx(np.quantile(draws, 0.95), rel=0.01)


def test_an_air_motor_that_cannot_hold_the_speed_under_load_is_a_breach_and_a_servo_has_no_such_margin(world):
    name = "belt speed against what the air motor reaches under load"
    # 18 m/s on 150 mm are 38.2 turns a second; 1.2 N m of a 4.8 N m stall leave three quarters of the free speed.
    air = world.with_bounds(free_rotation=45.0, stall_torque=4.8)
    assert breaches(world, bounds=air)[name] == pytest.approx(18.0 / (math.pi * 0.15 * 45.0 * 0.75) - 1.0, rel=1e-6)
    assert name not in breaches(world, bounds=replace(air, free_rotation=60.0))
    assert name not in margins(world)


def test_an_air_motor_asked_for_more_than_it_stalls_at_breaks_its_limit_by_a_finite_amount(world):
    name = "belt speed against what the air motor reaches under load"
    found = breaches(world, bounds=world.with_bounds(free_rotation=60.0, stall_torque=1.0))
    assert found[name] > 1e3
    assert math.isfinite(found[name])


def test_a_score_holds_time_level_binding_cause_and_breaches(world):
    bench = world.bench(31)
    found = evaluate(bench, world.settings)
    worth = score(bench, world.settings)
    assert worth == score_of(bench, found)
    assert worth.time == face_time(found.state)
    assert worth.binding == found.binding
    assert worth.breaches == ()
    assert worth.nervous == worth.level


def test_a_broken_limit_is_found_before_any_line_is_worked_out(world):
    bench = world.bench(31, bounds=world.with_bounds(roughness=0.4e-6))
    worth = score(bench, world.settings)
    assert dict(worth.breaches) == {"Ra": pytest.approx(1.0)}
    assert (worth.time, worth.level) == (face_time(evaluate(bench, world.settings).state), math.inf)
    whole = score_of(bench, evaluate(bench, world.settings))
    assert whole.breaches == worth.breaches
    assert math.isfinite(whole.level)


def test_the_nervous_level_is_that_of_twice_the_path_error(world):
    even = world.settings.with_(step_over=0.05, offsets=(0.0,), taper=1.0)
    unknown = {"path_error": (1e-3, 0.8e-3, 1.2e-3), "belt_wander": 0.0, "unrepeated_share": 0.9}
    worth = score(world.bench(31, **unknown), even, thorough=True)
    twice = score(world.bench(31, **{**unknown, "path_error": (2e-3, 1.6e-3, 2.4e-3)}), even)
    assert worth.binding == "overlap"
    assert worth.nervous >= worth.level
    assert worth.nervous == pytest.approx(max(worth.level, twice.level), rel=0.02)
    assert NERVOUS == 2.0


def test_a_wheel_that_cannot_touch_has_an_endless_score_and_evaluating_it_says_why(world):
    bench = world.bench(5, setup=world.with_setup(curvature_along=-1.0 / 0.05))
    with pytest.raises(NoContact):
        evaluate(bench, world.settings)
    worth = score(bench, world.settings)
    assert (worth.time, worth.level, worth.binding) == (math.inf, math.inf, "contact")


def test_a_slack_belt_on_a_flat_face_touches_nothing(world):
    bench = world.bench(5, setup=world.with_setup(wheel_kind="slack"))
    assert score(bench, world.settings).breaches[0][0] == "contact"


def test_a_wheel_that_must_turn_faster_than_its_drive_can_breaks_that_limit(world):
    turns = world.settings.speed / (math.pi * world.setup.wheel_diameter)
    found = breaches(world, bounds=world.with_bounds(rotation=0.8 * turns))
    assert found["rotation of the wheel"] == pytest.approx(0.25)
    assert "rotation of the wheel" not in breaches(world, bounds=world.with_bounds(rotation=1.01 * turns))
