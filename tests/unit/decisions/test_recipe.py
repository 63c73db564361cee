"""The chooser by itself, against scoring every candidate in full."""

import math
from dataclasses import replace
from itertools import count as counting

import numpy as np
import pytest

from evenlay.decisions.candidates import Given, Ranges, candidates
from evenlay.decisions.evaluate import outline, score
from evenlay.decisions.recipe import FRONT, SAME, SLACK, Score, choose
from evenlay.decisions.situation import Settings


def plan(number):
    """Settings that stand for a candidate of a toy: its number hides in the force."""
    return Settings(float(number), 18.0, 0.1, 0.02, (0.0,))


def toy(rows):
    """Pool, scores by candidate and how often each was scored in full. A row: time, level, and if need be nervous and breaches."""
    pool = tuple(plan(index + 1) for index in range(len(rows)))
    scores = {}
    for settings, (time, level, *rest) in zip(pool, rows, strict=True):
        nervous, breaches = (*rest, *(level, ())[len(rest) :])
        scores[settings] = Score(time, level, nervous, "overlap", breaches)
    return pool, scores


def chosen_of(rows, *, target=1.0, coarse=None, **more):
    pool, scores = toy(rows)
    rough = scores if coarse is None else toy(coarse)[1]
    return choose(
        pool,
        outline=lambda settings: (rough[settings].time, 0.5 * rough[settings].level),
        coarse=rough.__getitem__,
        full=scores.__getitem__,
        target=target,
        **more,
    )


def front_of(rows):
    """Plain second way: what nothing else beats in time and level at once."""
    kept = [row for row in rows if not any(o[0] <= row[0] and o[1] <= row[1] and (o[0], o[1]) != (row[0], row[1]) for o in rows)]
    return sorted({(time, level) for time, level, *_ in kept})


def shown(choice):
    return [(option.score.time, option.score.level) for option in choice.front]


@pytest.mark.parametrize("seed", range(40))
def test_the_front_is_that_of_scoring_everything_and_the_plan_the_fastest_that_meets_the_target(seed):
    random = np.random.default_rng(seed)
    # Levels fall with time on the whole, far enough apart that nothing ties.
    time = 60.0 * 1.05 ** random.permutation(40)
    level = 4.0 / (time / 60.0) ** 0.9 * np.exp(random.choice([0.0, 0.4, 0.8], 40) + 0.3 * random.standard_normal(40))
    rows = list(zip(time.tolist(), level.tolist(), strict=True))
    true = front_of(rows)
    target = float(random.choice(level))
    choice = chosen_of(rows, target=target)
    assert choice.met
    fastest = min(row for row in rows if row[1] <= target)
    assert shown(choice)[choice.chosen] == fastest
    assert set(shown(choice)) <= set(true)
    assert {true[0], true[-1]} <= set(shown(choice))
    assert len(choice.front) == min(FRONT, len(true))
    assert choice.tried == 40


def test_a_long_front_is_thinned_but_the_plan_taken_stays():
    rows = [(100.0 * 1.1**index, 10.0 * 0.8**index) for index in range(30)]
    for index, (time, level) in enumerate(rows):
        choice = chosen_of(rows, target=level * 1.0001)
        assert shown(choice)[choice.chosen] == (time, level), index
        assert len(choice.front) == FRONT
        assert shown(choice)[0] == rows[0]
        assert shown(choice)[-1] == rows[-1]


@pytest.mark.parametrize("seed", range(20))
def test_noise_of_the_coarse_draws_within_the_slack_costs_no_more_than_the_slack(seed):
    random = np.random.default_rng(100 + seed)
    rows = [(100.0 * 1.15**index, 6.0 * 0.75**index) for index in range(8)]
    wrong = [(time, level * float(np.exp(random.uniform(-0.06, 0.06)))) for time, level in rows]
    choice = chosen_of(rows, coarse=wrong, target=1.0)
    assert shown(choice)[choice.chosen] == min(row for row in rows if row[1] <= 1.0)
    for time, level in front_of(rows):
        assert any(t <= time and found <= level * (1.0 + SLACK) for t, found in shown(choice)) or len(choice.front) == FRONT


def test_a_target_that_nothing_meets_leaves_the_least_visible_and_says_so():
    choice = chosen_of([(10.0, 5.0), (20.0, 3.0), (30.0, 2.0)], target=1.0)
    assert not choice.met
    assert shown(choice)[choice.chosen] == (30.0, 2.0)


def test_a_tie_goes_to_the_plan_least_sensitive_to_path_error():
    steady_is_worse = [(100.0, 0.90, 3.0), (101.0, 0.91, 1.2), (150.0, 0.3, 0.4)]
    steady_is_better = [(100.0, 0.90, 3.0), (101.0, 0.89, 1.2), (150.0, 0.3, 0.4)]
    for rows in (steady_is_worse, steady_is_better):
        choice = chosen_of(rows)
        assert shown(choice)[choice.chosen] == rows[1][:2]
        assert rows[0][:2] not in shown(choice)


def test_a_tie_between_steady_ones_goes_to_the_faster():
    choice = chosen_of([(100.0, 0.90, 1.0), (101.0, 0.89, 1.0)])
    assert shown(choice) == [(100.0, 0.90)]


def test_what_lies_further_apart_than_a_tie_is_no_tie():
    far = 1.0 + 1.1 * SAME
    choice = chosen_of([(100.0, 0.9, 3.0), (100.0 * far, 0.9, 1.0)])
    assert shown(choice) == [(100.0, 0.9)]


def test_a_tie_never_carries_a_plan_over_the_target():
    choice = chosen_of([(100.0, 0.99, 3.0), (101.0, 1.005, 1.0)])
    assert choice.met
    assert shown(choice)[choice.chosen] == (100.0, 0.99)


def test_a_steady_plan_that_a_faster_one_beats_outright_does_not_win_a_tie():
    choice = chosen_of([(80.0, 0.905, 5.0), (100.0, 0.90, 3.0), (101.0, 0.91, 0.95)])
    assert shown(choice) == [(80.0, 0.905), (100.0, 0.90)]


def test_a_chain_of_ties_does_not_drift_away_from_its_first():
    rows = [(100.0 * 1.02**index, 0.9, 9.0 - index) for index in range(8)]
    (option,) = chosen_of(rows).front
    assert option.score.time <= 100.0 * (1.0 + 1.1 * SAME)


def test_plans_that_break_a_limit_are_not_taken_however_fast():
    choice = chosen_of([(10.0, 0.1, 0.1, (("Ra", 0.5),)), (50.0, 0.8)])
    assert shown(choice) == [(50.0, 0.8)]
    assert choice.limits == ()


def test_when_nothing_is_allowed_the_limit_that_every_plan_breaks_is_named_with_its_least_excess():
    rows = [
        (10.0, 0.1, 0.1, (("Ra", 0.5), ("drive power", 0.1))),
        (20.0, 0.2, 0.2, (("Ra", 0.2),)),
        (30.0, 0.3, 0.3, (("Ra", 0.4), ("stock removed", 0.3))),
    ]
    choice = chosen_of(rows)
    assert choice.front == ()
    assert not choice.met
    assert choice.limits == (("Ra", 0.2),)


def test_when_no_single_limit_binds_all_that_clash_are_named():
    rows = [(10.0, 0.1, 0.1, (("drive power", 0.1),)), (20.0, 0.2, 0.2, (("stock removed", 0.3),))]
    assert chosen_of(rows).limits == (("drive power", 0.1), ("stock removed", 0.3))


def test_each_line_of_the_front_says_what_it_gives_up():
    choice = chosen_of([(100.0, 4.0), (200.0, 2.0), (400.0, 0.5)])
    numbers = [[part for part in option.gives_up.split() if part.replace(".", "").isdigit()] for option in choice.front]
    assert numbers == [["8.0"], ["2.0", "4.0"], ["4.0"]]
    (only,) = chosen_of([(100.0, 4.0)]).front
    assert only.gives_up == "the only one"


def test_stopping_at_any_moment_discards_the_partial_result():
    rows = [(100.0 * 1.2**index, 5.0 * 0.7**index) for index in range(6)]
    calls = counting()
    whole = chosen_of(rows, progress=lambda done, total: next(calls) >= 0)
    asked = next(calls)
    assert whole == chosen_of(rows)
    for stop in range(asked):
        steps = counting()
        assert chosen_of(rows, progress=lambda done, total, stop=stop, steps=steps: next(steps) != stop) is None


def test_progress_rises_and_never_passes_its_total():
    seen = []
    chosen_of(
        [(100.0 * 1.2**index, 5.0 * 0.7**index) for index in range(6)], progress=lambda done, total: seen.append((done, total)) or True
    )
    done = [row[0] for row in seen]
    assert done == sorted(done)
    # Once for every candidate outlined, once for every one scored coarsely or passed over, once for every one scored in full.
    assert len(done) == 2 * 6 + 6
    assert all(0 < now <= total for now, total in seen)


def test_a_candidate_whose_outline_is_beaten_is_not_scored_at_all():
    pool, scores = toy([(10.0, 1.0), (20.0, 4.0), (30.0, 0.5)])
    scored = []
    choose(
        pool,
        outline=lambda settings: (scores[settings].time, scores[settings].level),
        coarse=lambda settings: scored.append(settings) or scores[settings],
        full=scores.__getitem__,
        target=0.1,
    )
    assert scored == [pool[0], pool[2]]


def test_a_wheel_that_touches_nowhere_is_named_as_the_reason():
    nothing = Score(math.inf, math.inf, math.inf, "contact", (("contact", math.inf),))
    pool = (plan(1), plan(2))
    choice = choose(pool, outline=lambda _: (math.inf, math.inf), coarse=lambda _: nothing, full=lambda _: nothing, target=1.0)
    assert choice.limits == (("contact", math.inf),)


SMALL = Given(force=40.0, speed=None, feed=None, step_over=None, rounds=None, offsets="even", taper=None)
RANGES = Ranges(force=(20.0, 60.0), speed=(6.0, 24.0), feed=(0.1, 0.4), rounds_max=2)


def real_pool():
    return tuple(candidates(SMALL, RANGES, lambda force, speed: 0.05))


def real_choice(rough, exact, target):
    return choose(
        real_pool(),
        outline=lambda settings: outline(rough, settings),
        coarse=lambda settings: score(rough, settings),
        full=lambda settings: score(exact, settings, thorough=True),
        target=target,
    )


@pytest.mark.slow
def test_on_the_real_bench_choosing_finds_what_scoring_every_candidate_in_full_finds(world):
    rough, exact = world.bench(31), world.bench(131)
    every = [score(exact, settings, thorough=True) for settings in real_pool()]
    every = [worth for worth in every if not worth.breaches]
    assert len(every) > 30
    true = front_of([(worth.time, worth.level) for worth in every])
    for target in (1.0, true[len(true) // 2][1] * 1.0001):
        choice = real_choice(rough, exact, target)
        taken = choice.front[choice.chosen].score
        meeting = [worth for worth in every if worth.level <= target]
        if meeting:
            fastest = min(worth.time for worth in meeting)
            assert choice.met
            assert taken.time <= fastest * (1.0 + SAME)
        else:
            assert not choice.met
            assert taken.level <= min(worth.level for worth in every) * (1.0 + SLACK)
        for time, level in shown(choice):
            assert not any(worth.time < time * (1.0 - SAME) and worth.level < level / (1.0 + SLACK) for worth in every)


def test_on_the_real_bench_the_same_seed_gives_the_same_choice(world, same_bytes):
    choices = [real_choice(world.bench(31), world.bench(61), 1.0) for _ in range(2)]
    assert same_bytes(choices[0], choices[1])


def test_on_the_real_bench_a_limit_that_cannot_be_kept_is_named_with_its_excess(world):
    bounds = world.with_bounds(roughness=0.4e-6)
    choice = real_choice(world.bench(31, bounds=bounds), world.bench(31, bounds=bounds), 1.0)
    assert choice.limits[0][0] == "Ra"
    assert choice.limits[0][1] == pytest.approx(0.8 / 0.4 - 1.0)


def test_the_level_of_an_outline_is_never_above_the_level_of_the_whole(world):
    bench = world.bench(31)
    for settings in real_pool()[::7]:
        time, least = outline(bench, settings)
        whole = score(bench, settings, thorough=True)
        assert time == whole.time
        assert least <= whole.level * (1.0 + 1e-12)
        assert whole.nervous >= whole.level * (1.0 - 1e-12)


def test_an_outline_where_the_wheel_cannot_touch_is_infinite(world):
    hollow = world.bench(5, setup=replace(world.setup, curvature_along=-1.0 / 0.05))
    assert outline(hollow, world.settings) == (math.inf, math.inf)
    assert score(hollow, world.settings).breaches[0][0] == "contact"
