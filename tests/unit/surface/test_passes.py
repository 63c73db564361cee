import math

import numpy as np
import pytest

from evenlay.physics.removal import lay_removal, removed_volume
from evenlay.surface import passes as p

Y = np.linspace(-0.03, 0.03, 121)
BOX = np.clip((0.0275 - np.abs(Y)) / 0.005, 0.0, 1.0)[None]


def marks(depth=1e-6, pressure=1.0, count=1):
    return p.Footprint(Y, np.repeat(depth * BOX, count, axis=0), np.repeat(pressure * BOX, count, axis=0))


def one_lay(step=0.035, offsets=(0.0,), face=0.3):
    return p.lay(face_across=face, step_over=step, offsets=offsets, half_depth_width=0.05, ramp=0.005)


def state(face, passes, footprints, memory=1e-6, exponent=0.1, incoming=1.5, lateral=None):
    return p.face_state(
        face=face,
        passes=passes,
        footprints=footprints,
        takeover_depth=memory,
        pressure_exponent=exponent,
        incoming_slope=incoming,
        lateral=lateral,
    )


def naive_state(face, passes, footprints, row, memory, exponent, incoming, lateral):
    """Second way: one point after the other, keeping every pass's share of the texture."""
    removal, slope, owner = np.zeros(face.size), np.zeros(face.size), np.zeros(face.size, dtype=int)
    for spot, place in enumerate(face):
        shares, slopes = [1.0], [incoming]
        for index, number in enumerate(passes.rounds):
            part = footprints[number]
            at = place - passes.centres[index] - lateral[row, index]
            depth = np.interp(at, part.y, part.depth[row], left=0.0, right=0.0)
            cut = np.interp(at, part.y, np.maximum(part.pressure[row], 1e-9) ** exponent, left=0.0, right=0.0)
            taken = 1.0 - math.exp(-depth / memory)
            shares = [share * (1.0 - taken) for share in shares] + [taken]
            slopes.append(cut)
            removal[spot] += depth
        slope[spot] = sum(share * value for share, value in zip(shares, slopes, strict=True))
        owner[spot] = int(np.argmax(shares)) - 1
    return removal, slope, owner


def test_the_sequence_is_that_of_a_point_by_point_sum_of_shares():
    rng = np.random.default_rng(8)
    face = np.sort(rng.uniform(0.0, 0.2, 70))
    passes = one_lay(offsets=(0.0, 0.012), face=0.2)
    footprints = (marks(1.3e-6, 1.2, 2), marks(0.4e-6, 0.5, 2))
    lateral = rng.normal(0.0, 0.002, (2, passes.centres.size))
    got = state(face, passes, footprints, 0.9e-6, 0.17, 1.4, lateral)
    for row in range(2):
        removal, slope, owner = naive_state(face, passes, footprints, row, 0.9e-6, 0.17, 1.4, lateral)
        assert got.removal[row] == pytest.approx(removal, abs=1e-15)
        assert got.slope[row] == pytest.approx(slope, abs=1e-12)
        if row == 0:
            assert got.last_cut.tolist() == owner.tolist()


def test_removal_of_the_state_is_that_of_the_plain_lay():
    face = np.linspace(0.0, 0.3, 301)
    passes = one_lay(offsets=(0.0, 0.01))
    got = state(face, passes, (marks(), marks()))
    assert got.removal == pytest.approx(lay_removal(face=face, centres=passes.centres, y=Y, depth=1e-6 * BOX), abs=1e-18)


def test_shared_places_and_zero_errors_are_the_same():
    face = np.linspace(0.0, 0.3, 301)
    passes = one_lay()
    quiet = state(face, passes, (marks(count=3),))
    zero = state(face, passes, (marks(count=3),), lateral=np.zeros((3, passes.centres.size)))
    assert zero.slope == pytest.approx(quiet.slope, abs=1e-13)
    assert zero.last_cut.tolist() == quiet.last_cut.tolist()


def test_deep_passes_leave_nothing_of_the_sheet_and_light_ones_their_share():
    face = np.linspace(0.1, 0.2, 101)
    deep = state(face, one_lay(0.05), (marks(50e-6),), incoming=3.0)
    smooth_sheet = state(face, one_lay(0.05), (marks(50e-6),), incoming=1.0)
    assert deep.slope == pytest.approx(smooth_sheet.slope, abs=1e-9)
    inside = np.array([0.15])
    light = state(inside, p.Lay(np.array([0.15]), np.array([0]), np.ones(1)), (marks(0.5e-6),), incoming=3.0)
    assert light.slope[0, 0] == pytest.approx(1.0 + 2.0 * math.exp(-0.5))
    assert light.last_cut[0] == p.INCOMING
    assert light.share[0] == pytest.approx(math.exp(-0.5))


def test_the_later_pass_owns_the_overlap_when_it_takes_over_and_not_when_it_is_light():
    face = np.array([0.025])
    passes = p.Lay(np.array([0.0, 0.05]), np.array([0, 1]), np.ones(2))
    heavy = state(face, passes, (marks(3e-6), marks(9e-6)))
    light = state(face, passes, (marks(9e-6), marks(0.2e-6)))
    assert heavy.last_cut.tolist() == [1]
    assert light.last_cut.tolist() == [0]


def test_higher_pressure_cuts_steeper_slopes_by_the_exponent():
    face = np.array([0.15])
    passes = p.Lay(np.array([0.15]), np.array([0]), np.ones(1))
    got = state(face, passes, (marks(50e-6, 2.0),), exponent=0.1)
    assert got.slope[0, 0] == pytest.approx(2.0**0.1)


def test_load_scales_removal_and_pressure_alike():
    face = np.array([0.15])
    centre, first = np.array([0.15]), np.array([0])
    doubled = state(face, p.Lay(centre, first, np.array([2.0])), (marks(20e-6),), exponent=0.2)
    assert doubled.removal[0, 0] == pytest.approx(40e-6)
    assert doubled.slope[0, 0] == pytest.approx(2.0**0.2)


def test_over_an_edge_the_face_carries_the_whole_force_and_the_volume_is_kept():
    """Law: volume is k F x sliding length, whatever hangs over."""
    k, v, f, length, load = 1e-11, 18.0, 0.12, 0.4, 700.0
    force = load * np.sum(BOX) * (Y[1] - Y[0])
    part = p.footprint(y=Y, load_per_width=load * BOX, removal_coefficient=k, belt_speed=v, feed=f)
    face = np.linspace(0.0, 0.2, 20001)
    passes = one_lay(0.035, (0.0, 0.0175), face=0.2)
    kept = p.edge_load(passes=passes, footprints=(part, part), face_across=0.2)
    after = state(face, kept, (part, part))
    volume = np.trapezoid(after.removal[0], face) * length
    sliding = v * length / f * passes.centres.size
    assert volume == pytest.approx(float(removed_volume(removal_coefficient=k, force=force, sliding_length=sliding)), rel=1e-3)
    inside = (passes.centres >= 0.0275) & (passes.centres <= 0.1725)
    assert kept.load[:, inside] == pytest.approx(1.0)
    assert np.all(kept.load[:, ~inside] > 1.0)


def test_a_pass_off_the_face_cannot_carry_its_force():
    off = p.Lay(np.array([-0.05]), np.array([0]), np.ones(1))
    with pytest.raises(ValueError, match="off the face"):
        p.edge_load(passes=off, footprints=(marks(),), face_across=0.2)


def test_edges_of_the_last_cut_follow_the_step_over():
    face = np.linspace(0.1, 0.2, 2001)
    got = state(face, one_lay(0.035), (marks(30e-6),))
    assert np.diff(p.cut_edges(got)) == pytest.approx(0.035, abs=1e-4)


def test_an_even_lay_has_no_tilt_and_an_uneven_one_that_of_its_ramp():
    face = np.linspace(0.1, 0.2, 2001)
    even = state(face, one_lay(0.05), (marks(5e-6),))
    assert np.abs(p.relief_tilt(even)).max() < 1e-9
    uneven = state(face, one_lay(0.08), (marks(5e-6),))
    assert np.abs(p.relief_tilt(uneven)).max() == pytest.approx(5e-6 / 0.005, rel=1e-6)


def test_a_footprint_holds_pressure_in_the_shape_of_its_load():
    load = np.array([[0.0, 300.0, 600.0, 300.0, 0.0]])
    part = p.footprint(y=np.arange(5.0), load_per_width=load, removal_coefficient=1e-11, belt_speed=18.0, feed=0.12, pressure=0.5)
    assert part.pressure.tolist() == [[0.0, 0.25, 0.5, 0.25, 0.0]]
    assert part.depth[0, 2] == pytest.approx(1e-11 * 18.0 / 0.12 * 600.0)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"memory": 0.0}, "takeover_depth"),
        ({"memory": math.nan}, "takeover_depth"),
        ({"exponent": -0.1}, "pressure_exponent"),
        ({"incoming": math.inf}, "incoming_slope"),
        ({"lateral": np.zeros((1, 3))}, "lateral"),
        ({"lateral": np.full((1, 1), math.nan)}, "lateral"),
    ],
)
def test_what_is_out_of_range_is_refused(changes, message):
    passes = p.Lay(np.array([0.15]), np.array([0]), np.ones(1))
    with pytest.raises(ValueError, match=message):
        state(np.array([0.15]), passes, (marks(),), **changes)


def test_a_footprint_without_load_or_pressure_is_refused():
    for load, level in ((np.zeros((1, 5)), 1.0), (np.ones((1, 5)), 0.0), (np.ones((1, 5)), math.nan)):
        with pytest.raises(ValueError, match="some load"):
            p.footprint(y=np.arange(5.0), load_per_width=load, removal_coefficient=1e-11, belt_speed=18.0, feed=0.12, pressure=level)


def test_a_face_in_step_with_the_footprint_gives_what_a_plain_interpolation_gives():
    # Second way: numpy's own interpolation, pass by pass, point by point.
    rng = np.random.default_rng(5)
    y = np.linspace(-0.03, 0.03, 121)
    shape = np.clip((0.0275 - np.abs(y - rng.normal(0, 1e-3, (4, 1)))) / 0.005, 0, 1)
    part = p.Footprint(y, 4e-6 * shape, np.maximum(shape, 0.0))
    face = 0.0005 * np.arange(260)
    lay_ = p.Lay(np.array([-0.01, 0.03, 0.07, 0.11, 0.05]), np.array([0, 0, 0, 0, 0]), np.ones(5))
    off = rng.normal(0, 1.5e-3, (4, 5))
    found = p.face_state(
        face=face, passes=lay_, footprints=(part,), takeover_depth=1e-6, pressure_exponent=0.1, incoming_slope=0.7, lateral=off
    )
    for draw in range(4):
        removal, slope = np.zeros(260), np.full(260, 0.7)
        for index, centre in enumerate(lay_.centres):
            at = face - centre - off[draw, index]
            depth = np.interp(at, y, part.depth[draw], left=0.0, right=0.0)
            cut = np.interp(at, y, np.maximum(part.pressure[draw], 1e-9) ** 0.1)
            removal += depth
            slope += (cut - slope) * (1 - np.exp(-depth / 1e-6))
        np.testing.assert_allclose(found.removal[draw], removal, rtol=1e-9, atol=1e-18)
        np.testing.assert_allclose(found.slope[draw], slope, rtol=1e-9)
