import math

import numpy as np
import pytest

from evenlay.decisions.measurements import MEASUREMENTS, Measurement, Observable, weighing_noise
from evenlay.decisions.situation import UNKNOWN_NAMES
from evenlay.decisions.trials import expected_ratio, rank_trials
from evenlay.quantities.draws import lattice
from evenlay.quantities.known import normal_score

Z = normal_score(lattice(count=521, dimensions=20, seed=4))
ANSWER = 2.0 * Z[:, 0] + Z[:, 1]


@pytest.mark.parametrize("noise", [0.01, 0.05, 0.1, 0.3, 1.0, 3.0])
def test_the_expected_width_is_the_exact_one_of_a_normal_problem(noise):
    exact = math.sqrt((4.0 * noise**2 / (1.0 + noise**2) + 1.0) / 5.0)
    # 521 draws fix a 90 % width to about 2 %.
    assert expected_ratio(answer=ANSWER, observed=[(Z[:, 0], Observable("a", noise=noise))]) == pytest.approx(exact, rel=0.03)


@pytest.mark.parametrize("noise", [0.02, 0.2, 1.0])
def test_two_readings_of_mixtures_are_combined_exactly(noise):
    observed = [(Z[:, 0], Observable("a", noise=noise)), (Z[:, 0] + Z[:, 1], Observable("b", noise=noise))]
    precision = np.eye(2) + (np.diag([1.0, 0.0]) + np.ones((2, 2))) / noise**2
    exact = math.sqrt(np.array([2.0, 1.0]) @ np.linalg.inv(precision) @ np.array([2.0, 1.0]) / 5.0)
    assert expected_ratio(answer=ANSWER, observed=observed) == pytest.approx(exact, rel=0.05)


def test_a_factor_is_judged_on_its_logarithm():
    plain = expected_ratio(answer=ANSWER, observed=[(Z[:, 0], Observable("a", noise=0.1))])
    factor = expected_ratio(answer=np.exp(ANSWER), observed=[(np.exp(Z[:, 0]), Observable("a", relative=0.1))])
    assert factor == pytest.approx(plain, rel=1e-9)


def test_a_plain_second_way_by_rejection_finds_the_same_for_a_crooked_problem():
    random = np.random.default_rng(5)
    z = random.standard_normal((400_000, 2))
    crooked = z[:, 0] + 0.3 * z[:, 0] ** 2 + 0.5 * z[:, 1]
    widths = []
    for index in range(300):
        reading = z[index, 0] + 0.4 * random.standard_normal()
        kept = crooked[random.random(z.shape[0]) < np.exp(-0.5 * ((reading - z[:, 0]) / 0.4) ** 2)]
        widths.append(np.ptp(np.quantile(kept, [0.05, 0.95])))
    plain = np.mean(widths) / np.ptp(np.quantile(crooked, [0.05, 0.95]))
    answer = Z[:, 0] + 0.3 * Z[:, 0] ** 2 + 0.5 * Z[:, 1]
    assert expected_ratio(answer=answer, observed=[(Z[:, 0], Observable("a", noise=0.4))]) == pytest.approx(plain, rel=0.06)


def test_reading_what_does_not_matter_saves_nothing():
    assert expected_ratio(answer=ANSWER, observed=[(Z[:, 9], Observable("a", noise=0.1))]) == pytest.approx(1.0, abs=0.03)
    assert expected_ratio(answer=ANSWER, observed=[]) == 1.0
    assert expected_ratio(answer=np.ones(521), observed=[(Z[:, 0], Observable("a", noise=0.1))]) == 1.0


def test_a_better_instrument_never_saves_less():
    ratios = [expected_ratio(answer=ANSWER, observed=[(Z[:, 0], Observable("a", noise=noise))]) for noise in (0.03, 0.1, 0.3, 1.0, 3.0)]
    assert np.all(np.diff(ratios) > -0.01)


def test_draws_that_already_know_are_not_promised_more():
    after = np.exp(-0.5 * ((Z[:, 0] - 0.5) / 0.3) ** 2)
    observed = [(Z[:, 0], Observable("a", noise=0.3))]
    known = expected_ratio(answer=ANSWER, observed=observed, weights=after)
    exact = math.sqrt((4.0 * 1.0 / (1.0 + 2.0 / 0.09) + 1.0) / (4.0 / (1.0 + 1.0 / 0.09) + 1.0))
    assert known == pytest.approx(exact, rel=0.06)


def test_trials_are_ranked_by_what_they_save_per_minute():
    slow = Measurement("slow", "", "", 60.0, (Observable("a", noise=0.1),))
    quick = Measurement("quick", "", "", 5.0, (Observable("b", noise=0.1),))
    missing = Measurement("missing", "", "", 1.0, (Observable("c", noise=0.1),))
    still = Measurement("still", "", "", 1.0, (Observable("d", noise=0.1),))
    both = Measurement("both", "", "", 65.0, (Observable("a", noise=0.1), Observable("d", noise=0.1)))
    quantities = {"a": Z[:, 0], "b": Z[:, 1], "d": np.ones(521)}
    found = rank_trials(answer=ANSWER, quantities=quantities, measurements=[slow, missing, quick, still, both])
    assert [trial.measurement.name for trial in found] == ["quick", "slow", "both"]
    assert found[1].ratio < found[0].ratio
    assert found[1].ratio == found[2].ratio
    assert found[0].per_minute == pytest.approx((1.0 - found[0].ratio) / 5.0)


def test_the_promised_band_lies_within_the_present_one_also_for_a_factor():
    (found,) = rank_trials(
        answer=np.exp(ANSWER), quantities={"a": Z[:, 0]}, measurements=[Measurement("a", "", "", 5.0, (Observable("a", noise=0.1),))]
    )
    low, high = np.quantile(np.exp(ANSWER), [0.05, 0.95])
    assert low < found.low < 1.0 < found.high < high
    assert math.log(found.high / found.low) == pytest.approx(found.ratio * math.log(high / low), rel=0.02)


def test_an_answer_without_band_ranks_nothing():
    assert rank_trials(answer=np.ones(521), quantities={"modulus": np.exp(Z[:, 0])}) == ()


def test_the_same_seed_gives_the_same_ranking():
    quantities = {name: np.exp(0.3 * Z[:, index]) for index, name in enumerate(("patch_length", "ramp", "removal_coefficient", "eye"))}
    answer = np.exp(Z[:, 0] + 0.5 * Z[:, 2] + 0.2 * Z[:, 3])
    assert rank_trials(answer=answer, quantities=quantities, seed=3) == rank_trials(answer=answer, quantities=quantities, seed=3)


def test_every_measurement_says_what_to_do_and_takes_time():
    names = [measurement.name for measurement in MEASUREMENTS]
    assert len(set(names)) == len(names)
    for measurement in MEASUREMENTS:
        assert measurement.title
        assert measurement.how
        assert measurement.source
        assert 0.0 < measurement.minutes <= 60.0
        assert measurement.observables


def test_more_weighings_are_worth_more_but_never_more_than_the_force_allows():
    noises = [weighing_noise(trials) for trials in (1, 2, 5, 50)]
    assert np.all(np.diff(noises) < 0.0)
    assert noises[-1] > 0.05


@pytest.mark.parametrize("wrong", [{}, {"noise": -1.0}, {"relative": math.nan}, {"noise": math.inf}])
def test_an_instrument_without_scatter_is_refused(wrong):
    with pytest.raises(ValueError, match="scatter"):
        Observable("a", **wrong)


def test_every_measurement_reads_an_unknown_of_the_plan_or_a_size_of_its_contact():
    known = {*UNKNOWN_NAMES, "patch_length", "ramp"}
    assert {seen.quantity for measurement in MEASUREMENTS for seen in measurement.observables} <= known


def test_a_reading_that_leaves_few_draws_even_at_the_widest_kernel_still_gives_a_width():
    # Three exact readings of unknowns that do not matter together: hardly any draw lies near, whatever the kernel.
    observed = [(Z[:, index], Observable("a", noise=1e-6)) for index in range(12)]
    ratio = expected_ratio(answer=ANSWER, observed=observed)
    assert 0.0 <= ratio < 0.6


def test_a_measurement_of_what_the_answer_does_not_depend_on_is_not_named():
    named = set()
    for dimension in range(2, 20):
        blind = Measurement("blind", "", "", 1.0, (Observable("x", noise=0.01),))
        useful = Measurement("useful", "", "", 60.0, (Observable("y", noise=0.01),))
        quantities = {"x": Z[:, dimension], "y": Z[:, 0]}
        named |= {trial.measurement.name for trial in rank_trials(answer=ANSWER, quantities=quantities, measurements=(blind, useful))}
    assert named == {"useful"}


def test_a_measurement_of_what_widens_the_answer_either_way_is_named():
    bent = ANSWER + 2.0 * Z[:, 2] ** 2
    one = Measurement("bent", "", "", 1.0, (Observable("x", noise=0.05),))
    assert [trial.measurement.name for trial in rank_trials(answer=bent, quantities={"x": Z[:, 2]}, measurements=(one,))] == ["bent"]
