"""What swings along one pass of a drawn sample."""

from __future__ import annotations

import numpy as np
import pytest

from evenlay.decisions.causes import joint, wheel
from evenlay.decisions.drawn_tracks import PassLuck, Stretch, arc_start, joint_swing, sideways_track, strength_track, wheel_swing
from evenlay.decisions.eye import eye_of, light_of
from evenlay.decisions.situation import state_of

STILL = {"joint_step": 0.0, "wheel_runout": 0.0, "force_error": 0.0, "feed_dip": 0.0, "chatter_share": 0.0}
FINE = np.linspace(0.1, 0.2, 100_001)
LUCK = PassLuck(5, 2)


@pytest.fixture
def pass_state(world):
    def made(*, setup=None, **unknowns):
        where = setup or world.setup
        return state_of(where, world.draws(**{**STILL, **unknowns}).unknowns, world.settings)

    return made


def strength(state, *, force=40.0, start=0.3, forward=True, luck=LUCK):
    track = strength_track(state, force=force, start=start, forward=forward, stretch=Stretch(0.08, 0.22, 0.15), luck=luck)
    return track.at(FINE)


def test_nothing_swings_where_nothing_is_wrong(pass_state) -> None:
    assert np.all(strength(pass_state()) == 1.0)


def test_the_joint_comes_once_a_turn_keeps_the_mean_and_rises_as_its_cause_says(world, pass_state) -> None:
    state = pass_state(joint_step=30e-6)
    seen = strength(state)
    assert np.mean(seen) == pytest.approx(1.0, abs=1e-3)
    arrivals = FINE[np.flatnonzero(np.diff((seen > 0.5 * (1.0 + np.max(seen))).astype(int)) == 1)]
    assert arrivals.size == 10 and np.diff(arrivals) == pytest.approx(state.repeat_length, abs=2e-6)
    cause = joint.CAUSE.strength(state, eye_of(state, light_of(world.setup, state.unknowns)))
    rise = next(link.number[0] for link in cause.chain if link.name.startswith("rise of the pressure"))
    last = state.settings.forces[-1]
    assert joint_swing(state, last) == pytest.approx(rise)
    assert np.max(strength(state, force=last)) == pytest.approx(1.0 + rise - rise * state.last.patch_length[0] / 1.5, abs=0.02 * rise)


@pytest.mark.parametrize("forward", [True, False])
def test_the_joint_is_under_the_patch_where_the_belt_s_own_place_is_zero(pass_state, forward) -> None:
    state = pass_state(joint_step=30e-6)
    seen = strength(state, forward=forward)
    sense, per_arc, patch = (1.0 if forward else -1.0), 0.12 / 18.0, float(state.contacts[0].patch_length[0])
    belt = 0.3 + sense * FINE / per_arc + 0.5 * patch / per_arc
    away = np.abs((belt + 0.75) % 1.5 - 0.75)
    assert np.max(away[seen > 1.0]) < patch
    assert seen[np.argmin(away)] == pytest.approx(np.max(seen), rel=1e-3)
    assert np.max(seen) > 1.02


def test_the_wheel_swings_once_a_turn_by_half_its_run_out(world, pass_state) -> None:
    state = pass_state(wheel_runout=50e-6)
    seen = strength(state)
    power = np.abs(np.fft.rfft((seen - 1.0) * np.hanning(seen.size)))
    pitch = 0.1 / np.argmax(power)
    assert pitch == pytest.approx(np.pi * 0.15 * 0.12 / 18.0, rel=0.03)
    assert np.max(seen) - 1.0 == pytest.approx(wheel_swing(state, 40.0), rel=0.03)
    cause = wheel.CAUSE.strength(state, eye_of(state, light_of(world.setup, state.unknowns)))
    swing = next(link.number[0] for link in cause.chain if link.name == "swing of the pressure")
    assert wheel_swing(state, state.settings.forces[-1]) == pytest.approx(swing)
    assert not np.allclose(seen, strength(state, luck=PassLuck(5, 3)))


def test_a_belt_without_a_wheel_or_joint_prints_neither(world, pass_state) -> None:
    setup = world.with_setup(wheel_kind="platen", belt_joined=False)
    state = pass_state(setup=setup, wheel_runout=50e-6, joint_step=30e-6)
    assert np.all(strength(state) == 1.0)


def test_chatter_swings_at_its_pitch_only_where_it_is_measured(world, pass_state) -> None:
    seen = strength(pass_state(chatter_share=0.03))
    assert np.max(seen) - 1.0 == pytest.approx(0.03, rel=0.03)
    power = np.abs(np.fft.rfft((seen - 1.0) * np.hanning(seen.size)))
    assert 0.1 / np.argmax(power) == pytest.approx(0.12 / 60.0, rel=0.03)
    assert np.all(strength(pass_state(setup=world.with_setup(chatter_frequency=float("nan")), chatter_share=0.03)) == 1.0)


def test_a_dip_of_the_feed_takes_off_more_in_the_middle_of_the_piece(pass_state) -> None:
    seen = strength(pass_state(feed_dip=0.1))
    assert np.max(seen) == pytest.approx(1.0 / 0.9, rel=3e-3)  # straight pieces over the half wave
    assert abs(FINE[np.argmax(seen)] - 0.15) < 2e-3
    assert np.all(seen[np.abs(FINE - 0.15) > 0.0101] == 1.0)


def test_the_error_of_the_force_differs_from_pass_to_pass(pass_state) -> None:
    state = pass_state(force_error=2.0)
    levels = np.array([strength(state, luck=PassLuck(5, number))[0] for number in range(200)])
    assert np.std(levels) == pytest.approx(2.0 / 40.0, rel=0.15)
    assert np.mean(levels) == pytest.approx(1.0, abs=0.01)


def test_the_belt_starts_anywhere_and_at_the_same_place_for_the_same_seed() -> None:
    starts = np.array([arc_start(1.5, PassLuck(1, number)) for number in range(400)])
    assert np.all((starts >= 0.0) & (starts < 1.5))
    assert np.histogram(starts, bins=4, range=(0.0, 1.5))[0] == pytest.approx([100] * 4, abs=35)
    assert arc_start(1.5, PassLuck(1, 7)) == starts[7] != arc_start(1.5, PassLuck(2, 7))


def test_a_robot_runs_straight_a_dither_swings_and_a_hand_drifts(world, pass_state) -> None:
    stretch = Stretch(0.08, 0.22, 0.15)
    assert np.all(sideways_track(pass_state(), stretch=stretch, luck=LUCK).at(FINE) == 0.0)
    swung = sideways_track(pass_state(setup=world.with_setup(dither=3e-3, dither_length=0.05)), stretch=stretch, luck=LUCK).at(FINE)
    assert np.max(swung) == pytest.approx(3e-3, rel=0.02) and np.min(swung) == pytest.approx(-3e-3, rel=0.02)
    state = pass_state(hand_wander=2e-3)
    walks = np.array([sideways_track(state, stretch=stretch, luck=PassLuck(1, number)).at(np.array([0.1, 0.2])) for number in range(300)])
    assert np.std(walks[:, 1] - walks[:, 0]) == pytest.approx(2e-3, rel=0.15)
