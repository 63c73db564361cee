"""The grid of candidates: what it tries, and that what it leaves out could not have been better."""

import itertools

import numpy as np
import pytest

from evenlay.decisions.candidates import (
    LIGHTEST_TAPER,
    Given,
    Ranges,
    candidates,
    motions_for,
    offset_patterns,
    spread,
    step_overs,
    tapers_for,
)
from evenlay.decisions.evaluate import evaluate
from evenlay.physics.ripple import even_offsets, ripple
from evenlay.surface.passes import cycle_time

OPEN = Given(None, None, None, None, None, None, None)
RANGES = Ranges(force=(20.0, 60.0), speed=(5.0, 30.0), feed=(0.05, 0.3), rounds_max=4)


def trapezoid(width, ramp):
    y = np.linspace(-0.06, 0.06, 2401)
    return y, np.clip((0.5 * (width + ramp) - np.abs(y)) / ramp, 0.0, 1.0)[None, :]


def uneven(width, step, rounds, ramp=0.005):
    y, shape = trapezoid(width, ramp)
    return float(ripple(y=y, shape=shape, step_over=step, offsets=even_offsets(step_over=step, rounds=rounds)).peak_to_valley[0])


@pytest.mark.parametrize("rounds", [1, 2, 3, 4, 6, 7, 8])
def test_every_step_over_tried_is_the_width_times_the_rounds_over_a_whole_number_and_removes_evenly(rounds):
    width = 0.050
    steps = step_overs(width, rounds)
    assert list(steps) == sorted(steps, reverse=True)
    assert len(steps) <= 4
    for step in steps:
        assert rounds * width / step == pytest.approx(round(rounds * width / step))
        assert width / 3.0 * 0.999 <= step <= width * 1.001
        assert uneven(width, step, rounds) < 1e-3


def test_seven_rounds_at_35_mm_of_a_50_mm_footprint_are_even_and_neither_six_rounds_nor_34_mm_are():
    assert round(7 * 50 / 35, 9) == 10
    assert uneven(0.050, 0.035, 7) < 1e-4
    assert uneven(0.050, 0.035, 6) > 0.01
    assert uneven(0.050, 0.034, 7) > 20.0 * uneven(0.050, 0.035, 7) + 1e-3


def test_seven_rounds_at_35_mm_are_taken_as_they_are_when_a_job_sets_them():
    given = Given(40.0, 18.0, 0.12, 0.035, 7, "even", 1.0)
    (only,) = candidates(given, RANGES, lambda force, speed: 0.05)
    assert (only.rounds, only.step_over) == (7, 0.035)
    assert uneven(0.050, only.step_over, only.rounds) < 1e-4


@pytest.mark.parametrize(("rounds", "patterns"), [(1, 1), (2, 1), (3, 1), (4, 2), (6, 2)])
def test_offsets_to_try_are_even_ones_and_from_four_rounds_on_golden_ones(rounds, patterns):
    found = offset_patterns(None, 0.03, rounds)
    assert len(found) == patterns
    for offsets in found:
        assert len(offsets) == rounds
        assert offsets[0] == 0.0
        assert all(0.0 <= offset < 0.03 for offset in offsets)
        assert len({round(offset, 9) for offset in offsets}) == rounds
    assert sorted(found[0]) == pytest.approx([0.03 * index / rounds for index in range(rounds)])


def test_golden_offsets_never_fall_together_nor_stand_evenly():
    (golden,) = offset_patterns("golden", 0.03, 6)
    gaps = np.diff([*sorted(golden), 0.03])
    assert gaps.min() > 0.03 / 13.0
    assert np.ptp(gaps) > 1e-3


def test_offsets_that_a_job_sets_are_taken_as_they_are():
    assert offset_patterns((0.0, 0.004), 0.03, 2) == ((0.0, 0.004),)
    assert offset_patterns("even", 0.03, 6) == offset_patterns("even", 0.03, 6)
    assert len(offset_patterns("even", 0.03, 6)) == 1
    given = Given(40.0, 18.0, 0.12, 0.03, None, (0.0, 0.004, 0.011), 1.0)
    assert {settings.rounds for settings in candidates(given, RANGES, lambda force, speed: 0.05)} == {3}


@pytest.mark.parametrize(("force", "least"), list(itertools.product([20.0, 30.0, 45.0, 60.0], [10.0, 20.0, 29.0, 60.0])))
@pytest.mark.parametrize("rounds", [1, 2, 3, 4, 6])
def test_a_taper_never_takes_the_last_round_below_the_least_force(force, least, rounds):
    for taper in tapers_for(force, least, rounds):
        assert 0.0 < taper <= 1.0
        if force >= least:
            assert force * taper ** (rounds - 1) >= least * (1.0 - 1e-12)
    assert tapers_for(force, least, rounds)[0] == 1.0


def test_a_taper_is_as_light_as_the_force_allows_but_no_lighter_than_its_own_least():
    assert tapers_for(40.0, 10.0, 2)[1] == LIGHTEST_TAPER
    assert tapers_for(40.0, 30.0, 2)[1] == pytest.approx(0.75)


def test_no_candidate_leaves_the_ranges_and_none_comes_twice():
    pool = tuple(candidates(OPEN, RANGES, lambda force, speed: 0.05))
    assert len(set(pool)) == len(pool)
    assert len(pool) > 300
    for settings in pool:
        assert RANGES.force[0] * (1 - 1e-12) <= min(settings.forces)
        assert max(settings.forces) <= RANGES.force[1]
        assert RANGES.speed[0] * (1 - 1e-12) <= settings.speed <= RANGES.speed[1] * (1 + 1e-12)
        assert RANGES.feed[0] * (1 - 1e-12) <= settings.feed <= RANGES.feed[1] * (1 + 1e-12)
        assert settings.rounds <= RANGES.rounds_max
        assert settings.step_over <= 0.05 * 1.001


def test_the_order_of_candidates_is_fixed():
    one, other = (tuple(candidates(OPEN, RANGES, lambda force, speed: 0.05)) for _ in range(2))
    assert one == other


def test_what_a_job_sets_is_never_varied():
    given = Given(33.0, 15.0, 0.11, 0.021, 2, "even", 0.8)
    assert given.complete
    (only,) = candidates(given, RANGES, lambda force, speed: 0.05)
    assert (only.force, only.speed, only.feed, only.step_over, only.rounds, only.taper) == (33.0, 15.0, 0.11, 0.021, 2, 0.8)
    assert not OPEN.complete


def test_step_overs_follow_the_width_at_each_force():
    pool = candidates(Given(None, 18.0, 0.12, None, 1, "even", 1.0), RANGES, lambda force, speed: 1e-3 * force)
    widest = {}
    for settings in pool:
        widest[settings.force] = max(widest.get(settings.force, 0.0), settings.step_over)
    assert widest == pytest.approx({20.0: 0.020, 60.0: 0.060})


def test_a_range_without_width_gives_one_value():
    assert spread((0.1, 0.1), 3) == (0.1,)
    assert spread((0.1, 0.4), 1) == (0.1,)
    assert spread((0.1, 0.4), 2) == pytest.approx((0.1, 0.4))


def full_grid(ranges):
    return list(itertools.product(spread(ranges.speed, 3), spread(ranges.feed, 3)))


def time_of(feed):
    return cycle_time(passes=20, length=0.42, feed=feed, run_on=0.05, turn_time=1.5)


@pytest.mark.parametrize("ranges", [RANGES, Ranges((20.0, 60.0), (5.0, 20.0), (0.1, 0.4), 4)])
def test_for_each_ratio_of_the_full_grid_the_fastest_pair_there_is_has_been_kept(ranges):
    kept = motions_for(OPEN, ranges)
    assert len(kept) < len(full_grid(ranges))
    for speed, feed in full_grid(ranges):
        same = [pair for pair in kept if pair[0] / pair[1] == pytest.approx(speed / feed, rel=1e-9)]
        assert any(time_of(pair[1]) <= time_of(feed) for pair in same), (speed, feed)


@pytest.mark.parametrize(
    ("given", "speeds", "feeds"),
    [
        (Given(None, 10.0, None, None, None, None, None), {10.0}, 4),
        (Given(None, None, 0.1, None, None, None, None), {5.0, 12.2, 30.0}, 1),
        (Given(None, 10.0, 0.1, None, None, None, None), {10.0}, 1),
    ],
)
def test_a_speed_or_feed_that_a_job_sets_stands_in_every_pair(given, speeds, feeds):
    kept = motions_for(given, RANGES)
    assert {round(pair[0], 1) for pair in kept} == speeds
    assert len({pair[1] for pair in kept}) == feeds
    assert len(set(kept)) == len(kept)


def test_pairs_of_one_ratio_leave_the_same_lines_wherever_only_the_ratio_counts(world):
    # Overlap, belt lines, joint and wheel know of feed and speed only their ratio; the belt's pull at speed is left out.
    bench = world.bench(7, setup=world.with_setup(belt_mass=0.0))
    slow, fast = (evaluate(bench, world.settings.with_(speed=speed, feed=feed)) for speed, feed in ((9.0, 0.06), (18.0, 0.12)))
    for key in ("overlap", "belt-lines", "joint", "wheel"):
        assert slow.strengths[key].visibility == pytest.approx(fast.strengths[key].visibility, rel=1e-9), key
    for key in ("chatter", "device"):
        assert slow.strengths[key].visibility[0] != pytest.approx(fast.strengths[key].visibility[0], rel=1e-3), key
