"""The adapter from a plan to the grain-by-grain simulation: what is laid, what is taken off, and that chance is kept."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from evenlay.decisions.drawn_grains import DrawnGrains, drawn_grains, incoming_rows
from evenlay.decisions.drawn_passes import Piece, Sheet, drawn_map, drawn_passes, expected_removal, piece_strip
from evenlay.decisions.face import lay_of, whole_face
from evenlay.decisions.lateral import lateral_offsets
from evenlay.decisions.situation import state_of
from evenlay.physics.grains import GrainPopulation

STILL = {"joint_step": 0.0, "wheel_runout": 0.0, "force_error": 0.0, "feed_dip": 0.0, "chatter_share": 0.0}
"""Nothing swings along a pass."""
GRAINS = DrawnGrains(GrainPopulation(4e6, 40e-6, 50e-6, 25e-6), 5e-11, 200e-6, False, 0.0, True)
"""Coarse grains: few of them, so that a test takes a second."""
FLAT = Sheet(0.0, 10e-6, 3)
KINDS = ("solid", "pneumatic", "expander", "slack", "platen")


@pytest.fixture
def lid(world):
    """State of a plan, and its passes over a small piece in the middle of the face."""

    def made(*, piece=(2e-3, 0.03), at=None, sheet=FLAT, setup=None, settings=None, grains=GRAINS, **unknowns):
        where = setup or world.setup
        drawn = world.draws(**{**STILL, **unknowns}).unknowns
        state = state_of(where, drawn, settings or world.settings)
        corner = at or (0.2, 0.135)
        return state, drawn_passes(state, grains, piece=Piece(piece[0], piece[1], *corner), sheet=sheet)

    return made


@pytest.mark.parametrize("kind", KINDS)
def test_what_the_grains_take_off_is_what_the_closed_form_says_for_every_wheel(world, lid, kind) -> None:
    diameter = 0.090 if kind == "expander" else 0.150
    bend = 1.0 / 0.3 if kind == "slack" else 0.0
    length = np.pi * diameter if kind == "expander" else 1.5
    setup = world.with_setup(wheel_kind=kind, wheel_diameter=diameter, belt_length=float(length), curvature_along=bend)
    state, drawn = lid(setup=setup, force_error=2.0)
    assert set(drawn.rounds) == {0, 1}
    height = drawn_map(drawn)
    inside = slice(1000, -1000)  # 4 mm from the ends of the piece, where force is shared with what is not simulated
    found = -np.mean(height[:, inside], dtype=np.float64)
    assert found == pytest.approx(np.mean(expected_removal(drawn, drawn.strip.across)[inside]), rel=0.02)
    assert found > 0.3 * state.removal[0]


def test_removal_expected_of_the_drawn_passes_is_that_of_the_plan_s_own_face(lid) -> None:
    state, drawn = lid(piece=(2e-3, 0.1), at=(0.2, 0.1))
    face = whole_face(state).face
    across = np.linspace(0.101, 0.199, 50)
    assert expected_removal(drawn, across) == pytest.approx(np.interp(across, face.face, face.removal[0]), rel=5e-3)


def test_passes_lie_where_the_plan_lays_them_with_its_own_luck_offsets_and_forces(lid) -> None:
    state, drawn = lid(piece=(2e-3, 0.299), at=(0.2, 0.0005), path_error=0.5e-3, belt_wander=1e-3)
    lay = lay_of(state, 0.3, (np.inf, np.inf))
    luck = lateral_offsets(lateral_sd=state.lateral_sd, passes=lay.centres.size)[0]
    assert [one.centre for one in drawn.passes] == pytest.approx(list(lay.centres + luck))
    assert drawn.rounds == tuple(lay.rounds)
    assert np.std(luck) > 0.5e-3
    for one, turn in zip(drawn.passes, drawn.rounds, strict=True):
        step = one.pressing.place[1] - one.pressing.place[0]
        assert np.sum(one.pressing.pressure) * step * one.pressing.patch_length == pytest.approx(state.settings.forces[turn], rel=1e-6)
    assert [one.forward for one in drawn.passes[:3]] == [True, False, True]
    starts = [one.arc_start for one in drawn.passes]
    assert len(set(starts)) == len(starts) and all(0.0 <= start < 1.5 for start in starts)


def test_all_rounds_run_one_and_the_same_belt(lid) -> None:
    _, drawn = lid()
    assert len({id(one.belt) for one in drawn.passes}) == 1
    assert drawn.passes[0].belt.length == 1.5


def test_only_passes_that_reach_the_piece_are_cut(world, lid) -> None:
    wide = replace(world.settings, step_over=0.12, offsets=(0.0,))
    _, drawn = lid(settings=wide, piece=(2e-3, 0.01), at=(0.2, 0.145), path_error=0.0, belt_wander=0.0)
    assert drawn.passes == () and np.all(expected_removal(drawn, drawn.strip.across) == 0.0)
    assert np.all(drawn_map(drawn) == 0.0)
    _, beside = lid(settings=wide, piece=(2e-3, 0.01), at=(0.2, 0.085), path_error=0.0, belt_wander=0.0)
    assert len(beside.passes) == 1


def test_equal_speed_over_feed_gives_equal_maps(world, lid) -> None:
    _, fast = lid()
    _, slow = lid(settings=replace(world.settings, speed=9.0, feed=0.06))
    assert drawn_map(slow) == pytest.approx(drawn_map(fast), abs=1e-12)
    _, other = lid(settings=replace(world.settings, speed=9.0))
    assert np.max(np.abs(drawn_map(other)[0] - drawn_map(fast)[0])) > 1e-7


def test_the_same_seed_gives_the_same_bytes_on_one_two_and_four_threads(lid) -> None:
    sheet = Sheet(0.05, 10e-6, 7)
    _, drawn = lid(sheet=sheet, piece=(3e-3, 0.008))
    first = drawn_map(drawn, threads=1).tobytes()
    for threads in (2, 4):
        assert drawn_map(lid(sheet=sheet, piece=(3e-3, 0.008))[1], threads=threads).tobytes() == first
    assert drawn_map(lid(sheet=replace(sheet, seed=8), piece=(3e-3, 0.008))[1]).tobytes() != first


@pytest.mark.parametrize("rows", [1, 3, 64])
def test_tiles_leave_the_map_as_it_is(lid, rows) -> None:
    _, drawn = lid(sheet=Sheet(0.05, 10e-6, 7), piece=(3e-3, 0.008))
    assert np.max(np.abs(drawn_map(drawn, tile_rows=rows) - drawn_map(drawn, tile_rows=5))) <= 1e-9


def test_a_stop_hands_out_nothing(lid) -> None:
    _, drawn = lid(piece=(3e-3, 0.008))
    told = []

    def go_on(done, rows):
        told.append((done, rows))
        return done < 4

    assert drawn_map(drawn, tile_rows=2, progress=go_on) is None
    assert told[-1] == (4, drawn.strip.row_count)


def test_a_deeper_take_over_leaves_more_of_the_sheet(lid) -> None:
    _, light = lid(
        sheet=Sheet(0.05, 10e-6, 7), piece=(2e-3, 0.008), grains=replace(GRAINS, groove_coefficient=1e-14), removal_coefficient=1e-14
    )
    kept = drawn_map(light)
    rough = incoming_rows(slope=0.05, length=10e-6, rows=range(kept.shape[0]), samples=kept.shape[1], spacing=light.strip.samples, seed=7)
    assert np.corrcoef(kept.ravel(), rough.ravel())[0, 1] > 0.9


@pytest.mark.parametrize("spacing", [1e-6, 4e-6])
def test_the_sheet_before_has_the_slope_that_is_stated(spacing) -> None:
    rows = incoming_rows(slope=0.063, length=20e-6, rows=range(20), samples=5000, spacing=spacing, seed=1).astype(np.float64)
    # A central difference over 2h of a Gaussian covariance falls short by (1 - exp(-2 h^2 / l^2)) l^2 / (2 h^2).
    share = (1.0 - np.exp(-2.0 * (spacing / 20e-6) ** 2)) * (20e-6 / spacing) ** 2 / 2.0
    slope = np.gradient(rows, spacing, axis=1)[:, 1:-1]
    assert np.sqrt(np.mean(slope**2) / share) == pytest.approx(0.063, rel=0.02)
    assert abs(np.corrcoef(rows[0], rows[1])[0, 1]) < 0.1
    later = incoming_rows(slope=0.063, length=20e-6, rows=range(5, 20), samples=5000, spacing=spacing, seed=1)
    assert np.array_equal(later, rows[5:].astype(np.float32))


def test_rows_follow_the_shortest_repeat_and_samples_the_finer_of_grain_and_light(lid) -> None:
    state, drawn = lid()
    assert state.repeat_length / drawn.strip.rows == pytest.approx(round(state.repeat_length / drawn.strip.rows))
    assert drawn.strip.samples == 4e-6
    fine = replace(GRAINS, size=60e-6)
    assert piece_strip(state, fine, Piece(2e-3, 0.01, 0.0, 0.0)).samples == pytest.approx(2e-6)


def test_a_nonwoven_step_is_not_simulated(world, lid) -> None:
    with pytest.raises(ValueError, match="non-woven"):
        lid(setup=world.with_setup(wheel_kind="nonwoven"))


def test_stated_grains_are_taken_as_they_stand(world) -> None:
    unknowns = world.draws(groove_coefficient=1.7e-10).unknowns
    taken = drawn_grains(unknowns, size=82e-6, hardness=1.27e9, attack_angle=15.0, stated=True)
    assert (taken.population.density, taken.population.height_sd, taken.population.base_radius) == (14.9e6, 16e-6, 20e-6)
    assert taken.population.edge_radius == pytest.approx(82e-6 / 8.0)
    assert taken.groove_coefficient == 1.7e-10
    never_less = world.draws(groove_coefficient=1e-12).unknowns
    assert drawn_grains(never_less, size=82e-6, hardness=1.27e9, attack_angle=15.0, stated=True).groove_coefficient == 1e-11
    assert not taken.fitted


def test_fitted_grains_leave_the_roughness_asked(world) -> None:
    unknowns = world.draws(roughness=0.9e-6).unknowns
    taken = drawn_grains(unknowns, size=82e-6, hardness=1.27e9, attack_angle=15.0, stated=False)
    assert taken.fitted and taken.met and 0.9 < taken.strength < 1.6
    assert taken.population.density < 14.9e6


@pytest.mark.parametrize("wrong", [{"slope": np.nan}, {"length": 0.0}, {"spacing": np.inf}, {"samples": 0}])
def test_a_sheet_that_cannot_be_is_refused(wrong) -> None:
    with pytest.raises(ValueError, match="finite"):
        incoming_rows(**{"slope": 0.1, "length": 1e-5, "rows": range(2), "samples": 10, "spacing": 1e-6, "seed": 1, **wrong})
