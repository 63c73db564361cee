"""Draws of the unknowns, and the state that settings lead to."""

import math
from dataclasses import fields, replace

import numpy as np
import pytest

from evenlay.decisions.situation import (
    CONTACT_UNKNOWNS,
    HELD_WITHIN,
    TRADE_NAMES,
    UNDER_THE_GRAINS,
    UNKNOWN_NAMES,
    Settings,
    central_unknowns,
    draw_unknowns,
    state_of,
    wheel_of,
)
from evenlay.physics.contact.kinds import KINDS, NEEDED, NoContact
from evenlay.physics.contact.wheels import pass_contact


def test_every_unknown_has_words_of_the_trade_and_no_word_is_left_over():
    assert set(TRADE_NAMES) == set(UNKNOWN_NAMES)
    assert len(set(TRADE_NAMES.values())) == len(UNKNOWN_NAMES)
    assert set(HELD_WITHIN) <= set(UNKNOWN_NAMES)


def test_every_wheel_kind_says_on_which_unknowns_its_contact_rests():
    assert set(CONTACT_UNKNOWNS) == set(KINDS)
    for kind, names in CONTACT_UNKNOWNS.items():
        assert set(names) <= set(UNKNOWN_NAMES)
        assert set(NEEDED[kind]) & set(UNKNOWN_NAMES) <= {*names, "edge_ramp", "grip_friction"}
    assert set(UNDER_THE_GRAINS) <= set(UNKNOWN_NAMES)


@pytest.mark.parametrize("kind", KINDS)
def test_a_contact_moves_with_every_unknown_it_is_said_to_rest_on_and_with_no_other(world, kind):
    settings = world.settings.with_(force=20.0)
    # A slack belt needs a convex face, so all have one. An expander's belt is a sleeve: nothing tensions it.
    setup = world.with_setup(wheel_kind=kind, curvature_along=1.0 / 0.3)
    named = {*CONTACT_UNKNOWNS[kind]}
    sleeve = {"belt_tension": 0.0} if kind == "expander" else {}

    def patch(**changes):
        state = state_of(setup, central_unknowns(world.values(**sleeve, **changes)), settings)
        return float(state.last.patch_length[0])

    base = patch()
    moved = {name for name in UNKNOWN_NAMES if name not in sleeve and patch(**{name: 0.9 * world.values()[name].number}) != base}
    assert moved == named


def test_row_0_holds_the_central_values_and_the_draws_have_the_band(world):
    drawn = world.draws(521)
    for name in UNKNOWN_NAMES:
        value, array = world.values()[name], getattr(drawn.unknowns, name)
        assert array.shape == (522,)
        assert array[0] == value.number
        if value.high > value.low and name not in HELD_WITHIN:
            low, high = np.quantile(array[1:], [0.05, 0.95])
            # A side of the band that ends on zero is bounded there, so its 5 % point lies above.
            assert low == pytest.approx(value.low, rel=0.05, abs=0.06 * (value.high - value.low)), name
            assert high == pytest.approx(value.high, rel=0.05, abs=0.01 * (value.high - value.low)), name
    assert drawn.unknowns.count == 522


def test_draws_stay_within_what_nature_allows(world):
    wild = {"unrepeated_share": (0.5, 0.1, 0.99), "poisson": (0.49, 0.4, 0.4999), "feed_dip": (0.5, 0.1, 0.94)}
    drawn = world.draws(521, **wild)
    for name in wild:
        low, high = HELD_WITHIN[name]
        array = getattr(drawn.unknowns, name)
        assert np.all((array >= low) & (array <= high)), name
        assert array.max() == high, name


def test_only_unknowns_with_a_band_are_active_and_weights_are_equal(world):
    drawn = world.draws(31, friction=0.4, eye=1.0)
    still = {"friction", "eye", "hand_wander"}
    assert set(drawn.active) == set(UNKNOWN_NAMES) - still
    assert drawn.scores.shape == (31, len(drawn.active))
    assert drawn.weights == pytest.approx(np.full(31, 1.0 / 31.0))
    assert np.all(drawn.unknowns.friction == 0.4)


def test_scores_stand_in_the_order_of_the_active_unknowns(world):
    drawn = world.draws(521)
    for name in ("removal_coefficient", "path_error", "eye"):
        score = drawn.scores[:, drawn.active.index(name)]
        array = getattr(drawn.unknowns, name)[1:]
        assert np.array_equal(np.argsort(score, kind="stable"), np.argsort(array, kind="stable")), name


def test_the_same_seed_gives_the_same_bytes_and_another_seed_others(world, same_bytes):
    one, other = (draw_unknowns(world.values(), count=31, seed=7) for _ in range(2))
    assert same_bytes(one, other)
    assert not same_bytes(one, draw_unknowns(world.values(), count=31, seed=8))


def test_an_unknown_that_is_missing_or_foreign_is_named(world):
    values = world.values()
    del values["eye"]
    with pytest.raises(ValueError, match="eye"):
        draw_unknowns(values, count=5, seed=1)
    with pytest.raises(ValueError, match="colour"):
        draw_unknowns({**world.values(), "colour": values["friction"]}, count=5, seed=1)


def test_central_unknowns_and_rows_are_the_first_row(world, same_bytes):
    central = central_unknowns(world.values())
    assert central.count == 1
    assert same_bytes(central, world.draws(31).unknowns.rows(slice(0, 1)))
    some = world.draws(31).unknowns.rows(np.array([3, 5]))
    assert some.count == 2


def test_forces_fall_by_the_taper_round_by_round():
    settings = Settings(40.0, 18.0, 0.12, 0.03, (0.0, 0.01, 0.02), 0.5)
    assert settings.forces == (40.0, 20.0, 10.0)
    assert settings.rounds == 3
    assert settings.with_(force=30.0, taper=1.0).forces == (30.0, 30.0, 30.0)
    assert settings.force == 40.0


def test_stock_removed_is_the_volume_of_every_pass_over_its_step(world):
    state = state_of(world.setup, world.draws(31).unknowns, world.settings)
    for index, force in enumerate(world.settings.forces):
        rate = state.unknowns.removal_coefficient * world.settings.speed * force
        assert state.round_removal[:, index] == pytest.approx(rate / (world.settings.feed * world.settings.step_over))
    assert state.removal == pytest.approx(state.round_removal[:, 0] + state.round_removal[:, 1])


def test_the_state_is_that_of_each_rounds_own_contact(world):
    state = state_of(world.setup, world.draws(5).unknowns, world.settings)
    assert len(state.contacts) == 2
    assert state.last is state.contacts[-1]
    assert np.all(state.contacts[0].patch_length > state.contacts[1].patch_length)
    assert state.takeover_depth == pytest.approx(
        state.unknowns.texture_memory * state.unknowns.removal_coefficient / state.unknowns.groove_coefficient
    )
    assert state.repeat_length == pytest.approx(0.12 * 1.5 / 18.0)
    assert state.lateral_sd == pytest.approx(np.hypot(state.unknowns.path_error, state.unknowns.belt_wander))


def test_contacts_solved_before_give_the_same_bytes(world, same_bytes):
    unknowns = world.draws(31).unknowns
    solved = {}
    first = state_of(world.setup, unknowns, world.settings, solved=solved)
    assert set(solved) == {(force, 18.0) for force in world.settings.forces}
    again = state_of(world.setup, unknowns, world.settings.with_(feed=0.3, step_over=0.02), solved=solved)
    fresh = state_of(world.setup, unknowns, world.settings.with_(feed=0.3, step_over=0.02))
    assert again.contacts[0] is first.contacts[0]
    assert same_bytes(again.contacts, fresh.contacts)
    assert same_bytes(again.round_removal, fresh.round_removal)


def test_draw_0_is_the_central_job_alone(world):
    many = state_of(world.setup, world.draws(31).unknowns, world.settings)
    one = state_of(world.setup, central_unknowns(world.values()), world.settings)
    for found, alone in zip(many.contacts, one.contacts, strict=True):
        # Solved together, draws stop at a common number of turns; each is right to 1e-9 of its force.
        assert found.patch_length[0] == pytest.approx(alone.patch_length[0], rel=1e-7)
        assert found.profile.half_depth_width[0] == pytest.approx(alone.profile.half_depth_width[0], rel=1e-6)
    assert many.round_removal[0] == pytest.approx(one.round_removal[0])


def test_a_wheel_too_big_for_a_hollow_says_why(world):
    with pytest.raises(NoContact, match="hollow"):
        state_of(replace(world.setup, curvature_along=-1.0 / 0.05), world.draws(5).unknowns, world.settings)


def test_the_wheel_of_a_set_up_carries_every_uncertain_part(world):
    unknowns = world.draws(5).unknowns
    wheel = wheel_of(world.setup, unknowns)
    shared = {field.name for field in fields(wheel)} & set(UNKNOWN_NAMES)
    assert len(shared) >= 9
    for name in shared:
        assert getattr(wheel, name) is getattr(unknowns, name) or np.array_equal(getattr(wheel, name), getattr(unknowns, name)), name
    contact = pass_contact(wheel, force=np.full(6, 40.0), speed=np.full(6, 18.0), curvature_along=0.0, curvature_across=0.0)
    assert math.isfinite(contact.patch_length[0])
