import math

import numpy as np
import pytest

from evenlay.physics import removal as r


def bump(count=3, size=41):
    y = np.linspace(-0.03, 0.03, size)
    return y, np.clip((0.02 - np.abs(y)) / np.linspace(0.004, 0.012, count)[:, None], 0.0, 1.0)


def test_volume_of_a_pass_is_coefficient_times_force_times_sliding_length():
    y, load = bump()
    force = np.sum(load, axis=1) * (y[1] - y[0])
    k, v, f, length = np.array([1e-11, 2e-11, 3e-11]), 18.0, 0.12, 0.4
    depth = r.pass_removal(removal_coefficient=k, belt_speed=v, feed=f, load_per_width=load)
    volume = np.sum(depth, axis=1) * (y[1] - y[0]) * length
    expected = r.removed_volume(removal_coefficient=k, force=force, sliding_length=v * length / f)
    assert volume / expected == pytest.approx(1.0, rel=1e-12)


def test_mean_removal_over_the_half_depth_width_holds_the_same_volume():
    mean = r.mean_pass_removal(removal_coefficient=1e-11, belt_speed=18.0, force=35.0, feed=0.12, width=0.05)
    volume = r.removed_volume(removal_coefficient=1e-11, force=35.0, sliding_length=18.0 * 0.4 / 0.12)
    assert mean * 0.05 * 0.4 / volume == pytest.approx(1.0)


def test_removal_is_linear_in_load_and_speed_and_inverse_in_feed():
    _, load = bump()
    one = r.pass_removal(removal_coefficient=1e-11, belt_speed=10.0, feed=0.1, load_per_width=load)
    other = r.pass_removal(removal_coefficient=2e-11, belt_speed=20.0, feed=0.05, load_per_width=3.0 * load)
    assert other[load > 0.0] / one[load > 0.0] == pytest.approx(24.0)


def test_feed_against_the_belt_removes_a_little_more_than_with_it():
    against = r.sliding_speed(belt_speed=18.0, feed=0.12, against=1.0)
    along = r.sliding_speed(belt_speed=18.0, feed=0.12, against=-1.0)
    assert against - along == pytest.approx(0.24)
    assert r.sliding_speed(belt_speed=0.0, feed=0.1, against=-1.0) == pytest.approx(0.1)


def test_a_coefficient_per_draw_meets_a_profile_per_draw():
    _, load = bump()
    k = np.array([1.0, 2.0, 4.0]) * 1e-11
    depth = r.pass_removal(removal_coefficient=k, belt_speed=18.0, feed=0.12, load_per_width=np.ones((3, 5)))
    assert depth[:, 0] / depth[0, 0] == pytest.approx([1.0, 2.0, 4.0])
    assert load.shape == (3, 41)


def test_a_dip_of_30_per_cent_in_feed_removes_43_per_cent_more():
    assert float(r.feed_dip_removal(0.3)) == pytest.approx(0.43, abs=0.005)
    usual = r.mean_pass_removal(removal_coefficient=1e-11, belt_speed=18.0, force=35.0, feed=0.12, width=0.05)
    dipped = r.mean_pass_removal(removal_coefficient=1e-11, belt_speed=18.0, force=35.0, feed=0.12 * 0.7, width=0.05)
    assert dipped / usual - 1.0 == pytest.approx(r.feed_dip_removal(0.3))


def test_a_profile_is_read_as_numpy_reads_it():
    y, load = bump()
    rng = np.random.default_rng(3)
    shared, own = rng.uniform(-0.04, 0.04, 60), rng.uniform(-0.04, 0.04, (3, 60))
    for at in (shared, own):
        got = r.profile_at(y=y, shape=load, at=at)
        for row in range(3):
            expected = np.interp(at if at.ndim == 1 else at[row], y, load[row], left=0.0, right=0.0)
            assert got[row] == pytest.approx(expected, abs=1e-14)


def test_a_profile_is_zero_outside_its_grid_even_where_it_ends_above_zero():
    values = r.profile_at(y=np.array([0.0, 1.0]), shape=np.ones((1, 2)), at=np.array([-1e-9, 0.0, 1.0, 1.0 + 1e-9]))
    assert values.tolist() == [[0.0, 1.0, 1.0, 0.0]]


def test_a_lay_is_the_naive_sum_of_its_passes():
    y, depth = bump()
    rng = np.random.default_rng(5)
    face = np.sort(rng.uniform(0.0, 0.2, 80))
    centres, weights = rng.uniform(-0.01, 0.21, (3, 9)), rng.uniform(0.1, 1.0, (3, 9))
    got = r.lay_removal(face=face, centres=centres, y=y, depth=depth, weights=weights)
    for row in range(3):
        naive = sum(weights[row, p] * np.interp(face - centres[row, p], y, depth[row], left=0.0, right=0.0) for p in range(9))
        assert got[row] == pytest.approx(naive, abs=1e-14)
    shared = r.lay_removal(face=face, centres=centres[0], y=y, depth=depth, weights=weights[0])
    assert shared[0] == pytest.approx(got[0], abs=1e-14)


def test_volume_on_an_endless_face_does_not_depend_on_how_rounds_share_it():
    y, depth = bump()
    face = np.linspace(-0.1, 0.4, 5001)
    one = r.lay_removal(face=face, centres=np.arange(0.0, 0.3, 0.03), y=y, depth=depth)
    many = r.lay_removal(face=face, centres=np.arange(0.0, 0.3, 0.01), y=y, depth=depth, weights=1.0 / 3.0)
    assert np.sum(many, axis=1) == pytest.approx(np.sum(one, axis=1), rel=1e-3)


@pytest.mark.parametrize(
    ("function", "message"),
    [
        (lambda: r.pass_removal(removal_coefficient=math.nan, belt_speed=1.0, feed=0.1, load_per_width=[1.0]), "removal_coefficient"),
        (lambda: r.pass_removal(removal_coefficient=1e-11, belt_speed=-1.0, feed=0.1, load_per_width=[1.0]), "belt_speed"),
        (lambda: r.pass_removal(removal_coefficient=1e-11, belt_speed=1.0, feed=0.0, load_per_width=[1.0]), "feed"),
        (lambda: r.pass_removal(removal_coefficient=1e-11, belt_speed=1.0, feed=0.1, load_per_width=[-1.0]), "load_per_width"),
        (lambda: r.sliding_speed(belt_speed=1.0, feed=0.1, against=math.nan), "against"),
        (lambda: r.feed_dip_removal(1.0), "dip"),
        (lambda: r.feed_dip_removal(math.nan), "dip"),
        (lambda: r.mean_pass_removal(removal_coefficient=1e-11, belt_speed=1.0, force=1.0, feed=0.1, width=0.0), "width"),
        (lambda: r.removed_volume(removal_coefficient=1e-11, force=math.inf, sliding_length=1.0), "force"),
        (lambda: r.profile_at(y=np.array([0.0, 1.0, 3.0]), shape=np.ones((1, 3)), at=np.zeros(1)), "evenly"),
        (lambda: r.profile_at(y=np.array([0.0, 1.0]), shape=np.ones((1, 3)), at=np.zeros(1)), "grid"),
        (lambda: r.grid_step(np.array([0.0]), np.ones((1, 1))), "grid"),
        (lambda: r.grid_step(np.array([0.0, math.nan]), np.ones((1, 2))), "evenly"),
        (
            lambda: r.lay_removal(face=np.zeros(1), centres=np.zeros(1), y=np.array([0.0, 1.0]), depth=np.ones((1, 2)), weights=-1.0),
            "weights",
        ),
    ],
)
def test_what_is_out_of_range_is_refused_by_name(function, message):
    with pytest.raises(ValueError, match=message):
        function()
